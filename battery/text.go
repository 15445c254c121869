package battery

import (
	"fmt"
	"strings"
)

// A Text is prose that is not written yet: an English format with its arguments, texts among them. [Text.String] writes it in English;
// whoever writes for people of another language translates the formats. Symbols marks a format that is the same in all of them.
type Text struct {
	Format  string
	Args    []any
	Symbols bool
}

// say makes a text of a literal, so that the languages can be held against the source.
func say(format string, args ...any) Text { return Text{Format: format, Args: args} }

// symbols makes a text of what needs no translation: numbers of a formula, a name.
func symbols(format string, args ...any) Text { return Text{format, args, true} }

// String writes the text in English.
func (t Text) String() string {
	if len(t.Args) == 0 && !strings.Contains(t.Format, "%") {
		return t.Format
	}
	return fmt.Sprintf(t.Format, t.Args...)
}

// An Error is an error whose text may be told in another language.
type Error struct{ Text Text }

// Error writes the error in English, behind the name of the package.
func (e Error) Error() string { return "battery: " + e.Text.String() }
