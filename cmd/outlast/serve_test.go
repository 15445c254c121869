package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"
)

// lockedBuffer is written by a command while a test reads it.
type lockedBuffer struct {
	sync.Mutex
	b bytes.Buffer
}

func (l *lockedBuffer) Write(p []byte) (int, error) {
	l.Lock()
	defer l.Unlock()
	return l.b.Write(p)
}

func (l *lockedBuffer) String() string {
	l.Lock()
	defer l.Unlock()
	return l.b.String()
}

// serving runs serve on a copy of the cottage until the test ends it, and gives the link and the path of the copy.
func serving(t *testing.T, args ...string) (link, path string, end func() (status int, took time.Duration)) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "sites", "cottage.toml"))
	if err != nil {
		t.Fatal(err)
	}
	path = filepath.Join(t.TempDir(), "home.toml")
	if err := os.WriteFile(path, text, 0o640); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	var out, errw lockedBuffer
	ended := make(chan int, 1)
	go func() {
		ended <- runUntil(ctx, append([]string{"serve", path}, args...), strings.NewReader(""), &out, &errw)
	}()
	for range 400 {
		if link = regexp.MustCompile(`http://\S+`).FindString(out.String()); link != "" {
			break
		}
		time.Sleep(25 * time.Millisecond)
	}
	if link == "" {
		cancel()
		t.Fatalf("no link: status %d, %q %q", <-ended, out.String(), errw.String())
	}
	return link, path, func() (int, time.Duration) {
		begin := time.Now()
		cancel()
		status := <-ended
		if errw.String() != "" {
			t.Errorf("stderr %q", errw.String())
		}
		return status, time.Since(begin)
	}
}

// asked asks the server as the page does.
func asked(t *testing.T, url, body string) (answer map[string]any) {
	t.Helper()
	response, err := http.Post(url, "application/json", strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	defer response.Body.Close()
	if err := json.NewDecoder(response.Body).Decode(&answer); err != nil {
		t.Fatal(err)
	}
	return answer
}

// TestServe: a page is opened, answered, saved with a copy beside the file, and papers are made; Ctrl-C is the usual
// end.
func TestServe(t *testing.T) {
	link, path, end := serving(t)
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	revision := asked(t, link+"file", "{}")["revision"].(string)
	if got := asked(t, link+"answer?revision="+revision, `{"lang": "de"}`); got["site"] != "Wattle Bend cottage" ||
		got["month_name"] != nil {
		t.Errorf("the answer is %v", got["site"])
	}
	for n, hours := range []string{"36", "48"} {
		got := asked(t, link+"save?revision="+revision,
			`{"changes": [{"do": "set", "table": "outage", "key": "autonomy_h", "value": `+hours+`}]}`)
		want := []string{"home.toml.bak", "home.toml.bak2"}[n]
		if got["saved"] != true || got["copy"] != want {
			t.Fatalf("saved: %v", got)
		}
		revision = got["revision"].(string)
		now, err := os.ReadFile(path)
		if err != nil || string(now) != strings.Replace(string(before), "autonomy_h = 24\n",
			"autonomy_h = "+hours+"\n", 1) {
			t.Errorf("%v: the file is\n%.500s", err, now)
		}
	}
	if copied, err := os.ReadFile(path + ".bak"); err != nil || !bytes.Equal(copied, before) {
		t.Errorf("the copy: %v, %d bytes", err, len(copied))
	}
	for _, name := range []string{path, path + ".bak"} {
		if info, err := os.Stat(name); runtime.GOOS != "windows" && (err != nil || info.Mode().Perm() != 0o640) {
			t.Errorf("%s has other permissions: %v, %v", name, info, err)
		}
	}
	for name, ok := range map[string]bool{"other.toml": true, "../other.toml": false, "home.toml": false} {
		if got := asked(t, link+"save-as?revision="+revision,
			`{"name": "`+name+`", "changes": []}`); (got["saved"] == true) != ok {
			t.Errorf("save as %s: %v", name, got)
		}
	}
	response, err := http.Post(link+"papers?revision="+revision, "application/x-www-form-urlencoded",
		strings.NewReader("question={}"))
	if err != nil {
		t.Fatal(err)
	}
	papers, err := io.ReadAll(response.Body)
	if response.Body.Close(); err != nil || !bytes.Contains(papers, []byte("Wattle Bend cottage")) ||
		!bytes.Contains(papers, []byte("<!DOCTYPE html>")) {
		t.Errorf("papers: %v, %.200s", err, papers)
	}
	if status, took := end(); status != 0 || took > half {
		t.Errorf("status %d after %v", status, took)
	}
}

// TestServeFindsAPort: where the usual port is taken another one is found; one that was asked for is not replaced.
func TestServeFindsAPort(t *testing.T) {
	if l, err := net.Listen("tcp", usualAddress); err == nil { // else somebody else has it, which does as well
		defer l.Close()
	}
	link, path, end := serving(t)
	if !strings.HasPrefix(link, "http://127.0.0.1:") || strings.HasPrefix(link, "http://"+usualAddress) {
		t.Errorf("the link is %s", link)
	}
	host := strings.Split(link, "/")[2]
	var out, errw bytes.Buffer
	if status := run([]string{"serve", "--listen", host, path}, strings.NewReader(""), &out, &errw); status != 2 ||
		!strings.Contains(errw.String(), "cannot be opened") {
		t.Errorf("--listen %s: status %d, %q", host, status, errw.String())
	}
	if status, _ := end(); status != 0 {
		t.Errorf("status %d", status)
	}
}

// TestServeRefuses: what is no site file is not served.
func TestServeRefuses(t *testing.T) {
	for _, args := range [][]string{{"serve"}, {"serve", "-"}, {"serve", "a.toml", "b.toml"}, {"serve", "no-such.toml"},
		{"serve", filepath.Join("..", "..", "testdata", "broken", "typos.toml")}, {"serve", "."}} {
		var out, errw bytes.Buffer
		if status := run(args, strings.NewReader(""), &out, &errw); status != 2 || out.Len() > 0 || errw.Len() == 0 {
			t.Errorf("%q: status %d, stdout %q, stderr %q", args, status, out.String(), errw.String())
		}
	}
}

// TestLiveReport: the page in one file carries all that it needs, and is about the page alone.
func TestLiveReport(t *testing.T) {
	if testing.Short() {
		t.Skip("the engine may have to be built: not in short mode")
	}
	path := filepath.Join(t.TempDir(), "home.html")
	var out, errw bytes.Buffer
	if status := run([]string{"report", "--live", "--lang", "fr", "-o", path,
		filepath.Join("..", "..", "testdata", "sites", "town-flat.toml")}, strings.NewReader(""), &out,
		&errw); status != 0 {
		t.Fatalf("status %d, %s", status, errw.String())
	}
	page, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"default-src 'none'; script-src 'sha256-", `"lang":"fr"`, `class="outlast-engine"`,
		`id="outlast-home"`} {
		if !bytes.Contains(page, []byte(want)) {
			t.Errorf("the page has no %s", want)
		}
	}
	for _, not := range []string{"src=\"http", "href=\"http", `src="page.js"`, `href="page.css"`} {
		if bytes.Contains(page, []byte(not)) {
			t.Errorf("the page loads something: %s", not)
		}
	}
	for _, flags := range [][]string{{"--format", "markdown"}, {"--for", "owner"}, {"--annex"}, {"--every-start"},
		{"--date", "2026-05-04"}, {"--tables", "x"}} {
		errw.Reset()
		if status := run(append([]string{"report", "--live", filepath.Join("..", "..", "testdata", "sites",
			"town-flat.toml")}, flags...), strings.NewReader(""), &out, &errw); status != 2 ||
			!strings.Contains(errw.String(), "--live") {
			t.Errorf("%q: status %d, %s", flags, status, errw.String())
		}
	}
}
