// Package terminal is how the program speaks to who sits at the keyboard: messages with a hint, the words of others made
// harmless, how wide a text may be, whether colours are welcome, and a bar for what takes long.
//
// What a user can put right comes back as an error of [Usage], or as the [strict.Problems] of a file; [TellErrors]
// writes either on standard error. Standard output is [StandardOutput], behind [Watched] where nobody looks at errors.
package terminal

import (
	"io"
	"os"
	"strconv"

	"golang.org/x/term"

	"outlast/backup/sheet"
)

// The width of text: that of the terminal within bounds, else 80.
const plainWidth, maxWidth = 80, 160

// Width is how wide text on w gets to be.
func Width(w io.Writer) int {
	f, ok := onTerminal(w)
	if !ok {
		return plainWidth
	}
	width, _, err := term.GetSize(int(f.Fd()))
	if err != nil || width == 0 {
		width = plainWidth
		if n, err := strconv.Atoi(os.Getenv("COLUMNS")); err == nil {
			width = n
		}
	}
	return min(max(width, sheet.MinWidth), maxWidth)
}

// Coloured says whether colours are welcome on w.
func Coloured(w io.Writer) bool {
	_, ok := onTerminal(w)
	_, noColour := os.LookupEnv("NO_COLOR")
	return ok && !noColour && os.Getenv("TERM") != "dumb"
}

// onTerminal gives the terminal that w writes on, if it does.
func onTerminal(w io.Writer) (*os.File, bool) {
	f, ok := file(w)
	return f, ok && term.IsTerminal(int(f.Fd()))
}
