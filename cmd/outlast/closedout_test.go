//go:build cgo && (linux || darwin)

package main

import (
	"bytes"
	"errors"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// TestClosedOutput: results that nobody can receive are an error, as they are on a full disk; the null device takes
// them.
func TestClosedOutput(t *testing.T) {
	bin := filepath.Join(t.TempDir(), "outlast")
	if out, err := exec.Command("go", "build", "-o", bin, ".").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	for _, c := range []struct {
		redirect string
		exit     int
	}{{">&-", 2}, {">/dev/null", 0}, {"<>/dev/null >&0", 0}} {
		var errw bytes.Buffer
		cmd := exec.Command("sh", "-c", bin+" catalog "+c.redirect)
		cmd.Stderr = &errw
		exit := 0
		var e *exec.ExitError
		if err := cmd.Run(); errors.As(err, &e) {
			exit = e.ExitCode()
		} else if err != nil {
			t.Fatal(err)
		}
		if exit != c.exit {
			t.Errorf("%s: exit status %d, want %d; said %q", c.redirect, exit, c.exit, errw.String())
		}
		if said := strings.Contains(errw.String(), "standard output cannot be written"); said != (c.exit != 0) {
			t.Errorf("%s: said %q", c.redirect, errw.String())
		}
	}
}
