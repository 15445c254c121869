// Command outlast plans what stays on when the grid fails: which circuits, for how long, and on which inverter and bank.
//
// Everything comes from one site file; see the README. Results go to standard output, everything else to standard error. The
// exit status is 0 when every check passes or is a caution, 1 when a check fails, 2 for bad input or usage.
package main

import (
	"context"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
)

func main() {
	// A run lasts for a blink and holds a few megabytes at a time. Collecting what it leaves behind as often as a server does takes
	// a quarter of that blink; GOGC still rules where it is set.
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(400)
	}
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// run is the whole program with its streams handed in.
func run(args []string, in io.Reader, out, errw io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	root := newRoot()
	root.SetArgs(args)
	root.SetIn(in)
	root.SetOut(out)
	root.SetErr(errw)
	cmd, err := root.ExecuteContextC(ctx)
	return complain(errw, cmd, err)
}
