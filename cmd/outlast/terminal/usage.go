package terminal

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"outlast/catalog/strict"
)

// A UsageError is a mistake in how the program was called, with what to try.
type UsageError struct{ Msg, Hint string }

func (e *UsageError) Error() string { return e.Msg }

// Usage is a [UsageError] of these words; hint may be "".
func Usage(msg, hint string) error { return &UsageError{msg, hint} }

// UsageOf makes a mistake of how the program was called of an error, unless it only tells that the command was
// interrupted.
func UsageOf(err error) error {
	if errors.Is(err, context.Canceled) {
		return err
	}
	return Usage(err.Error(), "")
}

// Tell says something on errw. Names of files and what stands in them come from elsewhere: they are made visible.
func Tell(errw io.Writer, kind, text string) {
	if text != "" {
		fmt.Fprintf(errw, "outlast: %s: %s\n", kind, Visible(text))
	}
}

// TellErrors tells what is wrong with input or usage. It is false where somebody else's words had to do.
func TellErrors(errw io.Writer, err error) bool {
	var problems strict.Problems
	var usage *UsageError
	switch {
	case errors.As(err, &problems):
		for _, p := range problems {
			Tell(errw, "error", p.Error())
			Tell(errw, "hint", p.Hint)
		}
	case errors.As(err, &usage):
		Tell(errw, "error", usage.Msg)
		Tell(errw, "hint", usage.Hint)
	default:
		// The library's own words may have several lines: what else could have been meant.
		lines := strings.Split(strings.ReplaceAll(err.Error(), "\t", "  "), "\n")
		Tell(errw, "error", lines[0])
		for _, line := range lines[1:] {
			fmt.Fprintln(errw, Visible(line))
		}
		return false
	}
	return true
}

// Cause is why a file operation failed, without the name that the message gives already.
func Cause(err error) string {
	var pe *os.PathError
	if errors.As(err, &pe) {
		return pe.Err.Error()
	}
	return err.Error()
}
