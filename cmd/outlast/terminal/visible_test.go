package terminal

import "testing"

func TestVisible(t *testing.T) {
	for in, want := range map[string]string{
		"cottage.toml": "cottage.toml", "Küche 冷.toml": "Küche 冷.toml", "a\x1b[0m": `a\x1b[0m`, "a\nb": `a\nb`,
		"\u202eb": `\u202eb`, "\u2028": `\u2028`,
		"\xff\xfe": `\xff\xfe`, "\U000e0041": `\U000e0041`, "\ufffd": "\ufffd", "": "",
	} {
		if got := Visible(in); got != want {
			t.Errorf("visible(%q) = %q, want %q", in, got, want)
		}
	}
}
