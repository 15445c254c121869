package live

import (
	"errors"
	"fmt"
	"testing"
)

// A name that will not do on some system is refused on all, in a word that the page has a text for, by the question as by
// the function.
func TestNamesOfFiles(t *testing.T) {
	table := tableOf(t, "six-lines")
	for _, tt := range []struct{ name, code string }{
		{"home.toml", ""}, {"Größe zwei.toml", ""}, {"console.toml", ""}, {"com.toml", ""}, {"com10.toml", ""}, {"a.con.toml", ""},
		{"con.toml", "name-device"}, {"CON.toml", "name-device"}, {"Nul.2026.toml", "name-device"}, {"aux .x.toml", "name-device"},
		{"prn.toml", "name-device"}, {"COM1.toml", "name-device"}, {"lpt³.toml", "name-device"}, {"conout$.toml", "name-device"},
		{"home.toml.", "name-ending"}, {"home.toml ", "name-ending"}, {"home .toml", "name-blanks"}, {" home.toml", "name-blanks"},
		{"a:b.toml", "name-folder"}, {"a/b.toml", "name-folder"}, {"a\\b.toml", "name-folder"}, {".home.toml", "name-point"},
		{"a\u200bb.toml", "name-signs"},
	} {
		var bad *BadName
		code := ""
		if errors.As(CheckName(tt.name), &bad) {
			code = bad.Code
		}
		if code != tt.code {
			t.Errorf("%q: %q, want %q", tt.name, code, tt.code)
		}
		got := ask[struct{ Text, Error, Code string }](t, table, "text", fmt.Sprintf(`{"name": %q}`, tt.name))
		if got.Code != tt.code || (got.Error == "") != (tt.code == "") || (got.Text == "") != (tt.code != "") {
			t.Errorf("asked for %q: %q, %q, %d bytes", tt.name, got.Code, got.Error, len(got.Text))
		}
	}
}
