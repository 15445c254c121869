// Package pdf has a browser print the HTML of a report. The program holds none: [Browser] finds one that is installed,
// and [Write] has it print in a profile of its own.
package pdf

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"outlast/cmd/outlast/terminal"
)

// browsers are the names under which Chromium is installed. It runs as a process of its own: the program holds no
// browser.
var browsers = []string{"chromium", "chromium-browser", "chrome"}

// longestPrint ends a browser that hangs. A large home prints in some seconds.
const longestPrint = 2 * time.Minute

// printByHand is what to do without a browser, or with one that fails.
const printByHand = "write HTML (-o home.html), open it in any browser and print it, with headers and footers off"

// Browser gives the program that prints: the one asked for, or the first that is installed.
func Browser(asked string) (string, error) {
	names := browsers
	if asked != "" {
		names = []string{asked}
	}
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path, nil
		}
	}
	return "", terminal.Usage(fmt.Sprintf("no Chromium is installed that could print the PDF (looked for %s)",
		strings.Join(names, ", ")),
		printByHand+"; or name the program with --chromium")
}

// Write has a browser print a page. The page loads nothing, the browser gets a profile of its own, and both are
// removed afterwards.
func Write(ctx context.Context, out io.Writer, browser string, page []byte) (err error) {
	dir, err := os.MkdirTemp("", "outlast-pdf-*")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, removeSoon(dir)) }()
	html, pdf := filepath.Join(dir, "report.html"), filepath.Join(dir, "report.pdf")
	if err := os.WriteFile(html, page, 0o600); err != nil {
		return err
	}
	ctx, stop := context.WithTimeout(ctx, longestPrint)
	defer stop()
	args := []string{"--headless", "--disable-gpu", "--no-first-run",
		"--user-data-dir=" + filepath.Join(dir, "profile"), "--no-pdf-header-footer", "--print-to-pdf=" + pdf}
	if os.Geteuid() == 0 {
		args = append(args, "--no-sandbox") // the sandbox refuses root
	}
	var said bytes.Buffer
	cmd := exec.CommandContext(ctx, browser, append(args, "file:///"+strings.TrimPrefix(filepath.ToSlash(html),
		"/"))...)
	cmd.Stdout, cmd.Stderr, cmd.WaitDelay = &said, &said, 5*time.Second
	failed := cmd.Run()
	if errors.Is(context.Cause(ctx), context.Canceled) {
		return context.Canceled
	}
	data, err := os.ReadFile(pdf)
	if failed != nil || err != nil || !bytes.HasPrefix(data, []byte("%PDF-")) {
		return terminal.Usage(fmt.Sprintf("%s did not print the PDF: %s", browser, whyNot(failed, said.String())),
			printByHand)
	}
	_, err = out.Write(data)
	return err
}

// whyNot is the last line of what a browser said, or how it ended.
func whyNot(failed error, said string) string {
	lines := strings.Split(strings.TrimSpace(said), "\n")
	if last := strings.TrimSpace(lines[len(lines)-1]); last != "" {
		return last
	}
	if failed != nil {
		return failed.Error()
	}
	return "it wrote none"
}

// removeSoon removes the folder of a browser, whose helpers may still write into it for a moment.
func removeSoon(dir string) (err error) {
	for range 20 {
		if err = os.RemoveAll(dir); err == nil {
			return nil
		}
		time.Sleep(50 * time.Millisecond)
	}
	return err
}
