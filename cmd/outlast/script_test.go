package main

import (
	"errors"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"outlast/backup/browsertest"
)

func TestMain(m *testing.M) { testscript.Main(stopping{m}, map[string]func(){"outlast": main}) }

// stopping are tests that stop the browser at their end.
type stopping struct{ m *testing.M }

func (s stopping) Run() int {
	defer browsertest.Stop()
	return s.m.Run()
}

// TestScript runs the scripts below testdata/script, one for each behaviour of the command line.
func TestScript(t *testing.T) {
	sites, err := filepath.Abs("../../testdata/sites")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script", RequireExplicitExec: true, RequireUniqueNames: true, UpdateScripts: *update,
		Setup: func(e *testscript.Env) error {
			e.Setenv("SITES", sites)
			// Under -race a process sleeps a second before it ends, a minute for all scripts.
			e.Setenv("GORACE", "atexit_sleep_ms=0")
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"exits": exits, "files": justFiles},
	})
}

// exits runs a program and wants just that exit status: exits 2 outlast plan. (`! exec` is content with any status but
// 0.)
func exits(ts *testscript.TestScript, neg bool, args []string) {
	want, err := strconv.Atoi(append(args, "")[0])
	if neg || err != nil || len(args) < 2 {
		ts.Fatalf("usage: exits STATUS PROGRAM ARGS...")
	}
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%v", err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}

// justFiles wants a folder to hold just the named files: files out plan.txt. It finds what a temporary file would leave
// behind.
func justFiles(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) == 0 {
		ts.Fatalf("usage: files FOLDER NAMES...")
	}
	found, err := filepath.Glob(filepath.Join(ts.MkAbs(args[0]), "*"))
	ts.Check(err)
	hidden, err := filepath.Glob(filepath.Join(ts.MkAbs(args[0]), ".*"))
	ts.Check(err)
	want := map[string]bool{}
	for _, name := range args[1:] {
		want[name] = true
	}
	for _, path := range append(found, hidden...) {
		if name := filepath.Base(path); !want[name] {
			ts.Fatalf("%s holds %s, which nobody asked for", args[0], name)
		} else {
			delete(want, name)
		}
	}
	for name := range want {
		ts.Fatalf("%s does not hold %s", args[0], name)
	}
}
