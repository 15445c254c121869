//go:build !windows

package files

import (
	"context"
	"errors"
	"os"
	"syscall"
	"time"
)

// lockFile opens a file, which appears where there is none, and waits until no other run has it locked. Closing gives
// the lock back, and so does the end of the program, whatever ends it.
func lockFile(ctx context.Context, path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o644)
	if err != nil {
		return nil, err
	}
	for {
		err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		switch {
		case err == nil, errors.Is(err, errors.ErrUnsupported), errors.Is(err, syscall.ENOLCK): // some network drives have no locks
			return f, nil
		case !errors.Is(err, syscall.EWOULDBLOCK) && !errors.Is(err, syscall.EINTR):
			f.Close()
			return nil, err
		}
		select {
		case <-ctx.Done():
			f.Close()
			return nil, ctx.Err()
		case <-time.After(lockEvery):
		}
	}
}
