// Command outlast plans what stays on when the grid fails: which circuits, for how long, and on which inverter and
// bank.
//
// Everything comes from one site file; see the README. Results go to standard output, everything else to standard
// error. The exit status is 0 when every check passes or is a caution, 1 when a check fails, 2 for bad input or usage,
// 130 when interrupted.
package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"time"

	"github.com/spf13/cobra"

	_ "outlast/cmd/outlast/room" // see there: it comes before what fills large tables
	"outlast/cmd/outlast/terminal"
)

func main() {
	// A run lasts for a blink and holds a few megabytes at a time. Collecting what it leaves behind as often as a
	// server does takes a quarter of that blink; GOGC still rules where it is set.
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(400)
	}
	os.Exit(run(os.Args[1:], os.Stdin, terminal.StandardOutput(), os.Stderr))
}

// run is the whole program with its streams handed in.
func run(args []string, in io.Reader, out, errw io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	context.AfterFunc(ctx, stop) // who interrupts twice is not caught again
	return runUntil(ctx, args, in, out, errw)
}

// runUntil is run until ctx is done. Everything that takes long looks at ctx; what does not, a read from a terminal or
// a pipe that nobody fills, is not waited for.
func runUntil(ctx context.Context, args []string, in io.Reader, out, errw io.Writer) int {
	root := newRoot()
	printed := &terminal.Watched{W: out}
	root.SetArgs(args)
	root.SetIn(in)
	root.SetOut(printed)
	root.SetErr(errw)
	type end struct {
		cmd *cobra.Command
		err error
	}
	ended := make(chan end, 1)
	go func() {
		cmd, err := root.ExecuteContextC(ctx)
		ended <- end{cmd, err}
	}()
	tell := func(e end) int {
		if printed.Err != nil {
			e.err = terminal.Usage("standard output cannot be written: "+terminal.Cause(printed.Err), "")
		}
		return complain(errw, e.cmd, e.err)
	}
	select {
	case e := <-ended:
		return tell(e)
	case <-ctx.Done():
	}
	select {
	case e := <-ended:
		return tell(e)
	case <-time.After(stopWithin):
		fmt.Fprintln(errw, "outlast: stopped")
		return exitStopped
	}
}

// stopWithin is how long an interrupted command may take to put things in order.
const stopWithin = 400 * time.Millisecond
