package terminal

import (
	"io"
	"os"
	"syscall"
)

// StandardOutput is where results go. One that was closed at the start takes nothing, and says so.
func StandardOutput() io.Writer {
	if stdoutClosed() {
		return closedOutput{}
	}
	return os.Stdout
}

type closedOutput struct{}

func (closedOutput) Write([]byte) (int, error) {
	return 0, &os.PathError{Op: "write", Path: os.Stdout.Name(), Err: syscall.EBADF}
}
