package manual

import "testing"

// TestRendered: what a terminal shows of a page.
func TestRendered(t *testing.T) {
	const page = "# A title\n\nSome `words` that\nare wrapped.\n\n- one item\n  and more of it\n- another\n```\n" +
		"$ a long command that goes on | b\nx   y\n```\nEnd.\n"
	const want = "A title\n-------\n\nSome words that are\nwrapped.\n\n- one item and more\n  of it\n- another\n" +
		"$ a long command that goes on \\\n    | b\nx   y\nEnd.\n"
	if got := rendered(page, 20); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}
