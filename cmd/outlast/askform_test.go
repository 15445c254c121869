//go:build !windows

package main

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"
)

// terminalRun is the program on a terminal of its own.
type terminalRun struct {
	t    *testing.T
	cmd  *exec.Cmd
	keys *os.File
	dir  string
	mu   sync.Mutex
	seen bytes.Buffer
	done chan error
}

// onTerminal starts outlast on a terminal, in a folder of its own.
func onTerminal(t *testing.T, dir string, args ...string) *terminalRun {
	t.Helper()
	r := &terminalRun{t: t, cmd: exec.Command("outlast", args...), dir: dir, done: make(chan error, 1)}
	r.cmd.Dir = dir
	r.cmd.Env = append(os.Environ(), "TERM=xterm-256color", "NO_COLOR=1")
	var err error
	if r.keys, err = pty.StartWithSize(r.cmd, &pty.Winsize{Rows: 30, Cols: 100}); err != nil {
		t.Fatal(err)
	}
	read := make(chan struct{})
	go func() {
		defer close(read)
		b := make([]byte, 4096)
		for {
			n, err := r.keys.Read(b) // ends with an error when the program ends
			r.mu.Lock()
			r.seen.Write(b[:n])
			r.mu.Unlock()
			if err != nil {
				return
			}
		}
	}()
	go func() {
		err := r.cmd.Wait()
		<-read
		r.done <- err
	}()
	t.Cleanup(func() {
		r.cmd.Process.Kill()
		r.keys.Close()
	})
	return r
}

func (r *terminalRun) screen() string {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.seen.String()
}

// wait waits until something holds.
func (r *terminalRun) wait(what string, holds func() bool) {
	r.t.Helper()
	for end := time.Now().Add(20 * time.Second); !holds(); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			r.t.Fatalf("waited in vain for %s; kept is\n%s\nseen was\n%q", what, r.kept(), r.screen())
		}
	}
}

// kept is what stands in the file of answers.
func (r *terminalRun) kept() string {
	text, _ := os.ReadFile(filepath.Join(r.dir, "home.answers"))
	return string(text)
}

// types presses keys, and waits until the file of answers holds a line: what is painted may come in pieces, what is
// kept is whole.
func (r *terminalRun) types(keys, line string) {
	r.t.Helper()
	if _, err := r.keys.WriteString(keys); err != nil {
		r.t.Fatal(err)
	}
	if line != "" {
		r.wait(line, func() bool { return strings.Contains(r.kept(), "\n"+line+"\n") })
	}
}

// asks waits until a question is painted that begins a form: before, the terminal is not the form's, and Enter is
// another key.
func (r *terminalRun) asks(question string) {
	r.t.Helper()
	r.wait(question, func() bool { return strings.Contains(r.screen(), question) })
}

// rests waits until nothing more is painted: a key only goes where it should once the field that it is for has been
// reached.
func (r *terminalRun) rests() {
	r.t.Helper()
	const quiet = 400 * time.Millisecond
	since, n := time.Now(), -1
	r.wait("rest", func() bool {
		if now := len(r.screen()); now != n {
			since, n = time.Now(), now
		}
		return time.Since(since) > quiet
	})
}

// ends waits for the end, and gives the exit status.
func (r *terminalRun) ends() int {
	r.t.Helper()
	select {
	case err := <-r.done:
		var exit *exec.ExitError
		if err != nil && !errors.As(err, &exit) {
			r.t.Fatal(err)
		}
		return r.cmd.ProcessState.ExitCode()
	case <-time.After(60 * time.Second):
		r.t.Fatalf("it does not end; seen was\n%q", r.screen())
		return 0
	}
}

const (
	enter = "\r"
	down  = "\x1b[B"
	back  = "\x1b[Z"
	clear = "\x15"
)

// TestForm goes through the whole interview on a terminal.
func TestForm(t *testing.T) {
	r := onTerminal(t, t.TempDir(), "init", "--ask", "home.toml")
	r.asks("What is the home called?")
	r.types("Drystone"+enter, "name: Drystone")
	r.types(enter, "supply: 230")
	r.types("54.2"+enter, "latitude: 54.2")
	r.types(enter, "altitude: ?")
	r.asks("For how many hours")
	r.types("0"+enter, "") // refused, and asked again
	r.asks("want a number from 0.01 to 8760 h")
	r.types(clear+"24"+enter, "hours: 24")
	r.types(down+enter, "battery-stands: cellar")
	r.types("41 F"+enter, "coldest: 41 F")
	r.types(enter, "hottest: ?")
	r.asks("Space picks, / finds")
	r.types("/chest"+enter, "")
	r.types(" "+enter, "stays-on: chest-freezer")
	r.asks("> chest-freezer")
	r.types(", ?"+enter, "") // who knows no more leaves the list as it is: it is not taken back
	r.asks(`no appliance is called "?"`)
	if kept := r.kept(); !strings.Contains(kept, "\nstays-on: chest-freezer\n") {
		t.Errorf("kept is\n%s", kept)
	}
	r.types("\x7f\x7f\x7f, led lamp x 8"+enter, "stays-on: chest-freezer, led lamp x 8")
	r.asks("Does anybody depend on a machine")
	r.types(enter, "") // nobody is picked
	r.asks("none, or names such as")
	r.types("none"+enter, "depends-on: none")
	r.asks("Which inverter is there")
	r.types("none"+enter, "inverter: none")
	r.asks("Which battery is there")
	r.types("lfp-51-100"+enter, "battery: lfp-51-100")
	r.asks("How many solar panels")
	r.types("none"+enter, "panels: none")
	r.asks("Which generator is there")
	r.types("none"+enter, "")
	if status := r.ends(); status != 0 {
		t.Errorf("status %d", status)
	}
	screen := r.screen()
	for _, want := range []string{"outlast: wrote home.toml; its first plan:", "Drystone: ",
		"Not known, and assumed in the site file", "- Hottest air at the inverter: 40 C"} {
		if !strings.Contains(screen, want) {
			t.Errorf("%q was not seen on\n%s", want, screen)
		}
	}
	text, err := os.ReadFile(filepath.Join(r.dir, "home.toml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"name = \"Drystone\"", "coldest_c = 5\n", "use = \"chest-freezer\"", "quantity = 8",
		"use = \"lfp-51-100\" "} {
		if !strings.Contains(string(text), want) {
			t.Errorf("%q does not stand in\n%s", want, text)
		}
	}
	if kept := r.kept(); kept != "" {
		t.Errorf("answers are left behind:\n%s", kept)
	}
}

// TestFormGoesBack changes an answer of the same part, and takes a supply that is none of the choices.
func TestFormGoesBack(t *testing.T) {
	r := onTerminal(t, t.TempDir(), "init", "--ask", "home.toml")
	r.asks("What is the home called?")
	r.types("Mill"+enter, "name: Mill")
	r.rests()
	r.types(back, "")
	r.rests()
	r.types(clear+"Old mill"+enter, "name: Old mill")
	r.rests()
	r.types(down+down+down+down+enter, "")
	r.rests()
	r.types("10"+enter, "latitude: 10")
	r.rests()
	r.types("5"+enter, "altitude: 5")
	r.asks("volts to neutral, x and phases")
	r.types("100x2"+enter, "supply: 100x2")
	r.types("\x03", "")
	if status := r.ends(); status != exitStopped {
		t.Errorf("status %d", status)
	}
	if got := strings.Count(r.kept(), "\n"); got != 5 {
		t.Errorf("kept is\n%s", r.kept())
	}
}

// TestFormStopped: whatever ends an interview, what was answered is kept, what was half typed is not, and one can go
// on.
func TestFormStopped(t *testing.T) {
	for _, tt := range []struct {
		name   string
		stop   func(r *terminalRun) error
		status int
	}{
		{"Ctrl-C", func(r *terminalRun) error { _, err := r.keys.WriteString("\x03"); return err }, exitStopped},
		{"signal", func(r *terminalRun) error { return r.cmd.Process.Signal(os.Interrupt) }, exitStopped},
		{"terminal closed", func(r *terminalRun) error { return r.cmd.Process.Signal(syscall.SIGHUP) }, -1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if tt.status < 0 && signal.Ignored(syscall.SIGHUP) {
				t.Skip("started so that a terminal that closes stops nothing, and what is started from here is so too")
			}
			r := onTerminal(t, t.TempDir(), "init", "--ask", "home.toml")
			r.asks("What is the home called?")
			r.types("Drystone"+enter, "name: Drystone")
			r.types(enter, "supply: 230")
			r.rests()
			r.types("54", "")
			r.rests()
			if err := tt.stop(r); err != nil {
				t.Fatal(err)
			}
			if status := r.ends(); status != tt.status {
				t.Errorf("status %d, want %d", status, tt.status)
			}
			if kept := r.kept(); !strings.HasSuffix(kept, "\nname: Drystone\nsupply: 230\n") {
				t.Errorf("kept is\n%s", kept)
			}
			if says := "outlast: stopped, what was answered is kept in home.answers\r\noutlast: hint: go on with: " +
				"outlast init --ask --answers home.answers home.toml\r\n"; tt.status == exitStopped && !strings.HasSuffix(r.screen(), says) {
				t.Errorf("it says\n%q", r.screen())
			}
			if _, err := os.Stat(filepath.Join(r.dir, "home.toml")); err == nil {
				t.Error("a site file was written")
			}
			t.Chdir(r.dir)
			var out, errw bytes.Buffer
			rest := "54\n\n24\ncellar\n\n\nrouter\n\nnone\n\n\nnone\nnone\n"
			if status := run([]string{"init", "--ask", "--answers", "home.answers", "home.toml"},
				strings.NewReader(rest), &out, &errw); status != 0 || !strings.Contains(out.String(), "Drystone: ") {
				t.Errorf("status %d, %s%s", status, out.String(), errw.String())
			}
		})
	}
}

// TestPlainOnTerminal: --plain asks line by line there too, and Ctrl-C keeps what was answered.
func TestPlainOnTerminal(t *testing.T) {
	r := onTerminal(t, t.TempDir(), "init", "--ask", "--plain", "home.toml")
	r.asks("What is the home called?")
	r.types("Drystone\n", "name: Drystone")
	r.types("230\n", "supply: 230")
	r.types("54", "")
	r.types("\x03", "")
	if status := r.ends(); status != exitStopped || !strings.HasSuffix(r.kept(), "\nname: Drystone\nsupply: 230\n") {
		t.Errorf("status %d, kept is\n%s", status, r.kept())
	}
}

// The form speaks the language of the interview, to the words of its keys.
func TestFormInGerman(t *testing.T) {
	r := onTerminal(t, t.TempDir(), "init", "--ask", "--lang", "de", "home.toml")
	r.asks("Wie heißt das Haus?")
	r.asks("enter weiter")
	r.types("Mühle"+enter, "name: Mühle")
	r.types(enter, "supply: 230")
	r.types("hoch"+enter, "")
	r.asks("„hoch“ gefunden, erwartet wird eine Zahl")
	r.types("\x03", "")
	if status := r.ends(); status == 0 {
		t.Error("an interview that was broken off ends with status 0")
	}
	for _, want := range []string{"was beantwortet ist, ist in home.answers erhalten", "weiter mit: outlast init --ask --lang de --answers home.answers home.toml"} {
		if !strings.Contains(r.screen(), want) {
			t.Errorf("%q was not seen on\n%s", want, r.screen())
		}
	}
}
