package sheet

// Package paper writes the same plans with the same care; these are the parts of it that both need.

// Clean takes control characters and unseen marks, those that turn the direction of writing among them, out of a user's text.
func Clean(s string) string { return clean(s) }

// Figure writes a number of a check with the digits that its unit deserves.
func Figure(v float64, unit string) string { return figure(v, unit) }

// Guard keeps a spreadsheet from taking a user's text for a formula.
func Guard(s string) string { return guard(s) }

// EscapeMarkdown keeps a text from being read as Markdown or HTML.
func EscapeMarkdown(s string) string { return escape(s) }
