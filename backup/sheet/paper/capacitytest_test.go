package paper_test

import (
	"fmt"
	"strings"
	"testing"

	"outlast/backup/measured/banklog"
	"outlast/backup/measured/tabular"
	"outlast/backup/sheet/paper/words"
)

// TestHeadsOfTheLogAreRead: the heads that the sheet of the capacity test tells are those that compare knows, in every
// language.
func TestHeadsOfTheLogAreRead(t *testing.T) {
	for _, lang := range words.Languages() {
		list, ok := words.In(lang)
		if !ok {
			t.Fatal(lang)
		}
		heads := strings.Split(list["capacity.heads"], ", ")
		var b strings.Builder
		b.WriteString(strings.Join(heads, ";") + "\n")
		for i := range 6 {
			fmt.Fprintf(&b, "10:%02d;500;52,%d;%d\n", i, 9-i, 100-i)
		}
		table, err := tabular.Open("log.csv", strings.NewReader(b.String()), tabular.Options{})
		if err != nil {
			t.Fatal(err)
		}
		l, err := banklog.Read(table, banklog.Options{})
		if err != nil {
			t.Errorf("%s: %q: %v", lang, heads, err)
			continue
		}
		if !l.HasLoadW || !l.HasVolts || !l.HasSoC || l.HasBankW {
			t.Errorf("%s: %q: %+v", lang, heads, l.At(0))
		}
	}
}
