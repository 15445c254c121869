package files

import (
	"context"
	"io"
	"os"
	"runtime/debug"

	"outlast/catalog/strict"
	"outlast/cmd/outlast/terminal"
)

// StandardInput is what messages call standard input, "-" on the command line.
const StandardInput = "standard input"

// Read takes the text of a file, or of standard input for "-". name is what messages call it.
func Read(ctx context.Context, in io.Reader, path string) (name string, src []byte, err error) {
	if name = path; path == "-" {
		name = StandardInput
	}
	src, err = Interruptible(ctx, func() ([]byte, error) { return ReadNow(in, path, name) })
	return name, src, err
}

// Interruptible does something that may block without looking at ctx, such as a read, and does not wait for it once ctx
// is done.
func Interruptible[T any](ctx context.Context, do func() (T, error)) (T, error) {
	type outcome struct {
		value T
		err   error
	}
	done := make(chan outcome, 1)
	go func() {
		value, err := do()
		done <- outcome{value, err}
	}()
	select {
	case o := <-done:
		return o.value, o.err
	case <-ctx.Done():
		var none T
		return none, ctx.Err()
	}
}

// ReadNow reads a file, or standard input for "-", and waits for it. name is what messages call it.
func ReadNow(in io.Reader, path, name string) ([]byte, error) {
	if path == "-" {
		return strict.Read(name, in)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, strict.Problems{{File: path, Msg: "cannot be opened: " + terminal.Cause(err)}}
	}
	defer f.Close()
	if info, err := f.Stat(); err == nil && info.IsDir() {
		return nil, strict.Problems{{File: path, Msg: "is a folder, want a file"}}
	}
	return strict.Read(path, f)
}

// Open opens a file that may be long, or standard input for "-". name is what messages call it.
func Open(in io.Reader, path string) (r io.ReadCloser, name string, err error) {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(75) // a log may be long: here memory counts, not the last blink as in main
	}
	if path == "-" {
		return io.NopCloser(in), StandardInput, nil
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, path, strict.Problems{{File: path, Msg: "cannot be opened: " + terminal.Cause(err)}}
	}
	if info, err := f.Stat(); err == nil && info.IsDir() {
		f.Close()
		return nil, path, strict.Problems{{File: path, Msg: "is a folder, want a file"}}
	}
	return f, path, nil
}
