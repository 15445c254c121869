package columns

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestBankWiring: few units and strings one by one, of more the first two and the last; every unit has one number.
func TestBankWiring(t *testing.T) {
	for _, tt := range []struct {
		series, strings int
		want            string
	}{
		{1, 1, `
(+)--[1]--(-)`},
		{4, 1, `
(+)--[1]--[2]--[3]--[4]--(-)`},
		{24, 1, `
(+)--[ 1]--[ 2]-- ... --[24]--(-)`},
		{1, 2, `
(+)--+--[1]--+
     |       |
     +--[2]--+--(-)`},
		{5, 3, `
(+)--+--[ 1]--[ 2]-- ... --[ 5]--+
     |                           |
     +--[ 6]--[ 7]-- ... --[10]--+
     |                           |
     +--[11]--[12]-- ... --[15]--+--(-)`},
		{2, 6, `
(+)--+--[ 1]--[ 2]--+
     |              |
     +--[ 3]--[ 4]--+
     |              |
     :              :
     |              |
     +--[11]--[12]--+--(-)`},
	} {
		got := BankWiring(tt.series, tt.strings)
		if diff := cmp.Diff(strings.Split(tt.want[1:], "\n"), got); diff != "" {
			t.Errorf("%d strings of %d (-want +got):\n%s", tt.strings, tt.series, diff)
		}
	}
	// The largest bank that can be written down still fits a page, in plain characters.
	for _, line := range BankWiring(750, 1000) {
		if len(line) > 72 || strings.ContainsFunc(line, func(r rune) bool { return r > 126 || r < 32 }) {
			t.Errorf("%q, want at most 72 plain characters", line)
		}
	}
}
