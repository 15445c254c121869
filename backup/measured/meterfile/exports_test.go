package meterfile_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"outlast/backup/measured/meterfile"
	"outlast/catalog/strict"
)

// refused says whether a table is refused at a place, with a reason and a remedy.
func refused(t *testing.T, name, text, want, remedy string) {
	t.Helper()
	d, err := table(t, text, meterfile.TableOptions{})
	var ps strict.Problems
	if !errors.As(err, &ps) || !strings.Contains(err.Error(), want) || !strings.Contains(ps[0].Hint, remedy) {
		t.Errorf("%s: %+v, %v, want %q and %q", name, d, err, want, remedy)
	}
}

// A comma between columns and one before decimals: what is left of the figure is not taken for all of it.
func TestCommasThatPartFigures(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"in the last column", "time,kWh\n2025-02-01 00:00,0,200\n2025-02-01 01:00,1,300\n",
			"t.csv:2:3: found 3 cells, but the head in line 1 names 2 columns"},
		{"beside another", "time,kWh,Status\n2025-02-01 00:00,1,R\n2025-02-01 01:00,0,200,R\n",
			"t.csv:3:4: found 4 cells, but the head in line 1 names 3 columns"},
	} {
		refused(t, c.name, c.text, c.want, "semicolons")
	}
	for _, text := range []string{
		"time,kWh\n2025-02-01 00:00,\"0,25\",\n2025-02-01 01:00,\"0,5\",,\n",
		"time;kWh\n2025-02-01 00:00;0,25;checked\n2025-02-01 01:00;0,5\n",
		"time,kWh,\n2025-02-01 00:00,0.25\n2025-02-01 01:00,0.5\n",
	} {
		d, err := table(t, text, meterfile.TableOptions{})
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		near(t, fmt.Sprintf("%q", text), use(t, d, nil).TakenWh, 750, 1e-9)
	}
}
