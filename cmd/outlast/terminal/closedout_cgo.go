//go:build cgo && (linux || darwin)

package terminal

// The run-time system of Go opens the null device in the place of a stream that is closed, before any Go code runs.
// What asks before it must be in C.

/*
#include <fcntl.h>

static int stdout_closed;

__attribute__((constructor)) static void look(void) { stdout_closed = fcntl(1, F_GETFD) == -1; }

static int stdout_was_closed(void) { return stdout_closed; }
*/
import "C"

// stdoutClosed says whether the program was started with its standard output closed.
func stdoutClosed() bool { return C.stdout_was_closed() != 0 }
