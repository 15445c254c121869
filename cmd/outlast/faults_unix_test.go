//go:build unix

package main

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"
)

// outlast is the program as a process of its own (see TestMain).
func outlast(t *testing.T, folder string, args ...string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	return &exec.Cmd{Path: self, Args: append([]string{"outlast"}, args...), Dir: folder,
		Env: append(os.Environ(), "GORACE=atexit_sleep_ms=0")}
}

// faultySites puts a folder of homes, two of them, into a folder of their own.
func faultySites(t *testing.T) string {
	t.Helper()
	folder := filepath.Join(t.TempDir(), "homes")
	for _, home := range []string{"town-flat", "cottage"} {
		src, err := os.ReadFile("../../testdata/sites/" + home + ".toml")
		if err != nil {
			t.Fatal(err)
		}
		if err := os.MkdirAll(folder, 0o755); err != nil {
			t.Fatal(err)
		}
		put(t, folder, home+".toml", string(src))
	}
	return folder
}

// writers are the commands that write a file; OUT is its name, HOMES a folder of sites.
var writers = [][]string{
	{"plan", "-o", "OUT", "HOMES/cottage.toml"}, {"plan", "--format", "csv", "-o", "OUT", "HOMES"},
	{"plan", "--format", "jsonl", "-o", "OUT", "HOMES"},
	{"plan", "--summary", "-o", "OUT", "HOMES"}, {"size", "-o", "OUT", "HOMES/town-flat.toml"},
	{"outage", "-o", "OUT", "HOMES/cottage.toml"},
	{"outage", "--every-start", "-o", "OUT", "HOMES/cottage.toml"}, {"report", "-o", "OUT", "HOMES/cottage.toml"},
}

// filled puts names into the arguments of a command.
func filled(args []string, homes, out string) []string {
	var filled []string
	for _, a := range args {
		filled = append(filled, strings.NewReplacer("HOMES", homes, "OUT", out).Replace(a))
	}
	return filled
}

const oldText = "the old file, which is somebody's only copy\n"

// onlyOld wants a folder to hold the old file as it was, or the names, and nothing else.
func onlyOld(t *testing.T, what any, folder string, names ...string) {
	t.Helper()
	if text, err := os.ReadFile(filepath.Join(folder, "old")); err != nil || string(text) != oldText {
		t.Errorf("%v: the old file is %q, %v", what, text, err)
	}
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if e.Name() != "old" && !slices.Contains(names, e.Name()) {
			t.Errorf("%v: %s lies there", what, e.Name())
		}
	}
}

// TestDiskFull: on a disk without room every command ends with 2 and says so, and leaves the old file as it was and
// nothing beside it; init leaves nothing.
func TestDiskFull(t *testing.T) {
	homes, disk := faultySites(t), t.TempDir()
	if err := mountSmall(disk); err != nil {
		t.Skipf("a small disk cannot be mounted: %v", err)
	}
	defer func() {
		if err := unmount(disk); err != nil {
			t.Error(err)
		}
	}()
	put(t, disk, "old", oldText)
	filler, err := os.Create(filepath.Join(disk, "filler"))
	if err != nil {
		t.Fatal(err)
	}
	defer filler.Close()
	for err == nil {
		_, err = filler.Write(make([]byte, 1024))
	}
	if !errors.Is(err, syscall.ENOSPC) {
		t.Fatal(err)
	}
	for _, args := range append(writers, []string{"init", "OUT.toml"},
		[]string{"report", "--tables", "OUT-tables", "HOMES/cottage.toml"},
		[]string{"init", "--hours", "4", "--with", "led-lamp", "OUT.toml"}) {
		args = filled(args, homes, filepath.Join(disk, "old"))
		var out, errw bytes.Buffer
		status := run(args, strings.NewReader(""), &out, &errw)
		if status != 2 || !strings.Contains(errw.String(), syscall.ENOSPC.Error()) ||
			strings.Count(errw.String(), "outlast: error: ") != 1 {
			t.Errorf("%q: status %d, %s", args, status, errw.String())
		}
		onlyOld(t, args, disk, "filler")
	}
}

// TestReadOnlyFolder: a folder that takes no file leaves the old one as it was.
func TestReadOnlyFolder(t *testing.T) {
	homes, folder := faultySites(t), t.TempDir()
	put(t, folder, "old", oldText)
	if err := os.Chmod(folder, 0o555); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod(folder, 0o755)
	if err := os.WriteFile(filepath.Join(folder, "probe"), nil, 0o644); err == nil {
		os.Remove(filepath.Join(folder, "probe"))
		if err := mountReadOnly(folder); err != nil { // root may write anywhere else
			t.Skipf("this user may write into any folder, and none can be made that takes nothing: %v", err)
		}
		defer func() {
			if err := unmount(folder); err != nil {
				t.Error(err)
			}
		}()
	}
	for _, args := range append(writers, []string{"init", "OUT.toml"},
		[]string{"report", "--tables", "OUT-tables", "HOMES/cottage.toml"}) {
		args = filled(args, homes, filepath.Join(folder, "old"))
		var out, errw bytes.Buffer
		status := run(args, strings.NewReader(""), &out, &errw)
		if status != 2 || !strings.Contains(errw.String(), "cannot be written: ") {
			t.Errorf("%q: status %d, %s", args, status, errw.String())
		}
		onlyOld(t, args, folder)
	}
}

// TestFullDevice: a device that takes nothing is an error, whichever way it is reached.
func TestFullDevice(t *testing.T) {
	if _, err := os.Stat("/dev/full"); errors.Is(err, fs.ErrNotExist) {
		t.Skip("there is no /dev/full")
	}
	homes := faultySites(t)
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer full.Close()
	for _, args := range writers {
		args = filled(args, homes, "/dev/full")
		var out, errw bytes.Buffer
		if status := run(args, strings.NewReader(""), &out, &errw); status != 2 ||
			!strings.Contains(errw.String(), "/dev/full cannot be written: "+syscall.ENOSPC.Error()) {
			t.Errorf("%q: status %d, %s", args, status, errw.String())
		}
		errw.Reset()
		args = slices.DeleteFunc(args, func(a string) bool { return a == "-o" || a == "/dev/full" })
		if status := run(args, strings.NewReader(""), full, &errw); status != 2 ||
			!strings.Contains(errw.String(), "standard output cannot be written: "+syscall.ENOSPC.Error()) {
			t.Errorf("%q: status %d, %s", args, status, errw.String())
		}
	}
}

// TestKilledWhileWriting: whenever a command is killed, the file is the old one or the new one, whole.
func TestKilledWhileWriting(t *testing.T) {
	if testing.Short() {
		t.Skip("kills some hundred processes")
	}
	homes := faultySites(t)
	killed, finished := 0, 0
	for _, args := range append(writers, []string{"init", "OUT"}) {
		folder := t.TempDir()
		path := filepath.Join(folder, "result")
		fresh := args[0] == "init" // what writes a new file only
		args = filled(args, homes, path)
		start := time.Now()
		whole := outlast(t, folder, args...)
		if err := whole.Run(); whole.ProcessState == nil || whole.ProcessState.ExitCode() > 1 {
			t.Fatalf("%q: %v", args, err)
		}
		took := time.Since(start)
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		const times = 30
		for i := range times {
			if fresh {
				os.Remove(path)
			} else {
				put(t, folder, "result", oldText)
			}
			cmd := outlast(t, folder, args...)
			if err := cmd.Start(); err != nil {
				t.Fatal(err)
			}
			time.Sleep(took * time.Duration(i) / (times - 3)) // most files are written at the very end
			_ = cmd.Process.Kill()                            // it may be over
			if err := cmd.Wait(); err != nil && !cmd.ProcessState.Exited() {
				killed++
			} else {
				finished++
			}
			got, err := os.ReadFile(path)
			switch {
			case fresh && errors.Is(err, fs.ErrNotExist):
			case err != nil:
				t.Errorf("%q killed: %v", args, err)
			case string(got) != oldText && !bytes.Equal(got, want):
				t.Errorf("%q killed: %d bytes that are neither the old file nor the new one of %d", args, len(got),
					len(want))
			}
		}
	}
	if killed < 20 || finished == 0 {
		t.Errorf("%d processes were killed and %d finished: this test sees too few", killed, finished)
	}
}
