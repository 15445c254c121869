package backup_test

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"outlast/backup/verdict"
)

// TestMoreStringsAreNamed: a bank of one string has the capacity that is needed, but gives or takes too little. Own, by
// hand: (50 W + 3000 W/0.8) / 45 V = 84.4 A.
func TestMoreStringsAreNamed(t *testing.T) {
	small := func() *house {
		return newHouse().set("bank.strings", 0).set("outage.autonomy_h", 0.1).load("Heater", "running_w = 3000").
			set("bank.pulse_a", 1000).set("bank.max_discharge_a", 100)
	}
	for _, tt := range []struct {
		what  string
		house *house
		check string
		says  string // "" where no number of strings helps
	}{
		{"two give enough", small().set("bank.max_discharge_a", 43), "dc-current", "; 2 strings would do"},
		{"three do", small().set("bank.max_discharge_a", 42), "dc-current", "; 3 strings would do"},
		{"more than are usual side by side are not proposed", small().set("bank.max_discharge_a", 21),
			"dc-current", ""},
		{"the inverter gives too little itself", small().set("bank.max_discharge_a", 43).set("inverter.max_discharge_a",
			84), "dc-current", ""},
		{"a start", small().set("bank.pulse_a", 150).set("bank.max_discharge_a", 90).load("Pump",
			"running_w = 100; starting_va = 6000; starting_pf = 1"),
			"dc-surge-current", "; 2 strings would do"},
		{"the charger gives 40 A, a unit takes 14 A", small().set("bank.max_charge_a", 14), "bank-charge-rate",
			"; 3 strings would do"},
	} {
		p := tt.house.plan(t)
		c := check(t, p, tt.check)
		if p.Bank.Strings != 1 || c.Status != "fail" {
			t.Errorf("%s: %d strings, %s %s (%s), want one string and a failure", tt.what, p.Bank.Strings, c.ID,
				c.Status, c.Reason)
		}
		if tt.says == "" && strings.Contains(c.Reason.String(), "would do") ||
			!strings.HasSuffix(c.Reason.String(), tt.says) {
			t.Errorf("%s: %q, want %q at its end", tt.what, c.Reason, tt.says)
		}
	}
}

// TestNamedStringsWouldDo: a bank that is given so many strings passes the check, and with one less it does not. The
// lowest charge of the plan falls with every string where the cut-off decides it, so a start then meets an emptier
// bank.
func TestNamedStringsWouldDo(t *testing.T) {
	named := map[string]int{}
	for _, pulseVA := range []int{0, 4500, 7000} {
		for mohm := 10; mohm <= 160; mohm += 10 {
			weak := func(strings int) *house {
				h := newHouse().set("bank.strings", strings).set("bank.resistance_mohm",
					mohm).set("bank.max_parallel", 12).
					set("outage.autonomy_h", 0.1).set("bank.pulse_a", 1000).set("bank.max_discharge_a", 1000).
					set("inverter.max_discharge_a", 1000).load("Heater", "running_w = 3000")
				if pulseVA > 0 {
					h.load("Pump", fmt.Sprintf("running_w = 100; starting_va = %d; starting_pf = 1", pulseVA))
				}
				return h
			}
			status := func(id string, strings int) verdict.Status { return check(t, weak(strings).plan(t), id).Status }
			p := weak(0).plan(t)
			for _, id := range []string{"dc-cutoff", "surge-sag"} {
				c := check(t, p, id)
				at := namedStrings.FindStringSubmatch(c.Reason.String())
				if at == nil {
					continue
				}
				named[id]++
				n, err := strconv.Atoi(at[1])
				if err != nil {
					t.Fatal(err)
				}
				if status(id, n) == verdict.Fail || status(id, n-1) != verdict.Fail {
					t.Errorf("%s, %d mohm, start of %d VA: %q; with %d strings it is %s, with %d %s", id, mohm, pulseVA,
						c.Reason, n, status(id, n), n-1, status(id, n-1))
				}
			}
		}
	}
	if named["dc-cutoff"] == 0 || named["surge-sag"] == 0 {
		t.Errorf("strings were named %v times, want both checks among them", named)
	}
}

var namedStrings = regexp.MustCompile(`; (\d+) strings? would do$`)
