package files

import (
	"context"
	"errors"
	"os"
	"syscall"
	"time"
)

// sharingViolation is what Windows answers when somebody else has a file open and shares it with nobody
// (ERROR_SHARING_VIOLATION).
const sharingViolation = syscall.Errno(32)

// lockFile opens a file that nobody else has open meanwhile; it appears where there is none. Closing gives it free, and
// so does the end of the program, whatever ends it.
func lockFile(ctx context.Context, path string) (*os.File, error) {
	name, err := syscall.UTF16PtrFromString(path)
	if err != nil {
		return nil, err
	}
	for {
		h, err := syscall.CreateFile(name, syscall.GENERIC_READ|syscall.GENERIC_WRITE, 0, nil, syscall.OPEN_ALWAYS,
			syscall.FILE_ATTRIBUTE_NORMAL, 0)
		if err == nil {
			return os.NewFile(uintptr(h), path), nil
		}
		if !errors.Is(err, sharingViolation) {
			return nil, &os.PathError{Op: "open", Path: path, Err: err}
		}
		select {
		case <-ctx.Done():
			return nil, ctx.Err()
		case <-time.After(lockEvery):
		}
	}
}
