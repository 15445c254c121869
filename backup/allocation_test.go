package backup_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"outlast/backup"
	"outlast/backup/facts"
	"outlast/backup/phrase"
)

// circuitOf finds a circuit of a plan.
func circuitOf(t testing.TB, p *backup.Plan, id string) facts.Circuit {
	t.Helper()
	for _, c := range p.Circuits {
		if c.ID == id {
			return c
		}
	}
	t.Fatalf("the plan has no circuit %q", id)
	return facts.Circuit{}
}

// either adds a circuit that may go on either board, with one load of its own.
func (h *house) either(id, load string) *house {
	return h.circuit(id, `board = "either"`).load("Load of "+id, fmt.Sprintf("circuit = %q; %s", id, load))
}

// TestDecided: which circuits come in, and what is said of the others. The house carries 4000 W and 5000 VA; its bank
// of 4 strings gives 15 360 Wh, of which 50 W standby consumption and an efficiency of 0.8 leave 1188.8 W for 10 h,
// unless a test gives a larger one.
func TestDecided(t *testing.T) {
	// roomy has a bank that is never short.
	roomy := func() *house { return newHouse().set("bank.strings", 40) }
	for _, tt := range []struct {
		what  string
		house *house
		in    string   // ids that are chosen
		says  []string // "id: part of its reason"
	}{
		{"all fit", roomy().either("b", "running_w = 1000").either("c", "running_w = 3000"), "b c",
			[]string{"b: chosen"}},
		{"used in full", roomy().load("A", "running_w = 1000").either("b", "running_w = 3000"), "b", nil},
		{"a watt more", roomy().load("A", "running_w = 1000").either("b", "running_w = 3001"), "",
			[]string{"b: left out because of inverter-continuous-w, 1 W over, even beside the fixed circuits alone"}},
		// Priority 1 takes 2500 of the 4000 W; 1400 W of priority 2 come beside it, then 1600 W do not, nor do 200 W of
		// priority 5.
		{"the more important first", roomy().either("b", "running_w = 1600; priority = 2").either("c",
			"running_w = 2500; priority = 1").
			either("d", "running_w = 1400; priority = 2").either("e", "running_w = 200; priority = 5"), "c d",
			[]string{
				`b: left out because of inverter-continuous, 500 VA over; it would fit in place of "c", which counts for more`,
				`e: left out because of inverter-continuous-w, 100 W over; it would fit in place of "d", which counts for more`}},
		// Two loads of priority 2 beat one, though that one is larger.
		{"the number of loads counts", roomy().either("b", "running_w = 4000; priority = 2").either("c",
			"running_w = 100; priority = 2").
			either("d", "running_w = 100; priority = 2"), "c d",
			[]string{
				`b: left out because of inverter-continuous-w, 200 W over; it would fit in place of "c" and "d", ` +
					`which together count for more`}},
		{"ties: less energy", roomy().either("b", "running_w = 3000; hours_per_day = 2").either("c",
			"running_w = 3000; hours_per_day = 1").
			either("d", "running_w = 3000; hours_per_day = 3"), "c", nil},
		{"ties: the smaller id", roomy().either("d", "running_w = 3000").either("c", "running_w = 3000").either("e",
			"running_w = 3000"), "c", nil},
		{"vectors, not sums", roomy().either("b", "running_w = 2400; power_factor = 0.6").either("c",
			"running_w = 1400"), "b c", nil}, // sqrt(3800^2 + 3200^2) = 4968, and not 5400 VA
		{"nothing on it is used", roomy().either("b", "running_w = 100; held_off = true"), "",
			[]string{"b: left out: nothing on it is used"}},
		{"out of season", roomy().set("outage.month", 7).either("b", "running_w = 100; months = [1]"), "",
			[]string{"b: left out: nothing on it is used"}},
		{"ways", roomy().put("board", "ways = 2").either("b", "running_w = 100; priority = 2").either("c",
			"running_w = 100; priority = 1"), "c",
			[]string{
				`b: left out because of board-ways, 1 circuits over; it would fit in place of "c", ` +
					`which counts for more; it would fit with one more way`}},
		// 2100 W at 200 V are 10.5 A. On the main board that is not the plan's business, on the backup board it fails.
		{"its own breaker", roomy().circuit("b", `board = "either"; breaker_a = 10`).load("B",
			`circuit = "b"; running_w = 2100; hours_per_day = 1; priority = 1`).
			either("c", "running_w = 100"), "c",
			[]string{"b: left out because of circuit-breaker, 0.5 A over, even beside the fixed circuits alone"}},
		{"no way is left", roomy().put("board", "ways = 1").either("b", "running_w = 100"), "",
			[]string{"b: left out because of board-ways, 1 circuits over, even beside the fixed circuits alone; " +
				"it would fit with one more way"}},
		// 1188 W last, 1189 W do not: the bank is given, so it decides.
		{"the given bank just lasts", newHouse().either("b", "running_w = 1188"), "b", nil},
		{"the given bank is short", newHouse().either("b", "running_w = 1189"), "",
			[]string{"b: left out because of bank-capacity", "b: it would fit with 1 more string"}},
		{"a bank that is sized grows", newHouse().set("bank.strings", 0).either("b", "running_w = 2500"), "b", nil},
		{"the start", roomy().load("A", "running_w = 1000").either("b", "running_w = 1000; starting_va = 9001"), "",
			[]string{"b: left out because of inverter-surge, 1 VA over, even beside"}},
		{"held off while the grid is there", roomy().set("inverter.pass_through_a", 10).load("A", "running_w = 1000").
			either("b", "running_w = 100").load("Kettle", `circuit = "b"; running_w = 1000; held_off = true`), "",
			[]string{"b: left out because of pass-through, 0.5 A over, even beside"}},
		// 1000 W on one of three phases count as 3000 W, of 2400.
		{"the generator, of the phase with the most load", roomy().put("generator",
			"rated_va = 3000; power_factor = 0.8; phases = 3").set("site.phases", 3).set("inverter.phases", 3).
			either("b", "running_w = 1000"), "", []string{"b: left out because of generator-running, 600 W over, " +
			"counted as 3 times the phase with the most load, even beside"}},
		{"the generator, of one phase", roomy().put("generator", "rated_va = 3000; power_factor = 0.8").
			either("b", "running_w = 3000"), "", []string{"b: left out because of generator-running, 600 W over, even beside"}},
		// A broken check does not keep out what leaves it as it is: 5000 W at noon fail, 1000 W at night change
		// nothing.
		{"beside a check that fails anyway", roomy().load("A",
			`running_w = 5000; hours_per_day = 1; when = ["12:00-13:00"]`).
			either("b", `running_w = 1000; hours_per_day = 1; when = ["22:00-23:00"]`).either("c",
			`running_w = 1; hours_per_day = 1; when = ["12:00-13:00"]`), "b",
			[]string{"c: left out because of inverter-continuous"}},
	} {
		t.Run(tt.what, func(t *testing.T) {
			p := tt.house.plan(t)
			var in []string
			for _, c := range p.Circuits {
				if c.OnBackup && c.Asked == "either" {
					in = append(in, c.ID)
				}
			}
			if got := strings.Join(in, " "); got != tt.in {
				t.Errorf("chosen %q, want %q", got, tt.in)
			}
			if !p.Allocation.Proven {
				t.Error("not proven")
			}
			for _, says := range tt.says {
				id, want, _ := strings.Cut(says, ": ")
				if c := circuitOf(t, p, id); !strings.Contains(c.Reason().String(), want) {
					t.Errorf("%s: %q, want %q in it", id, c.Reason(), want)
				}
			}
		})
	}
}

// TestHelps: what would let a circuit in. The house carries 4000 W.
func TestHelps(t *testing.T) {
	roomy := func() *house { return newHouse().set("bank.strings", 40) }
	for _, tt := range []struct {
		what  string
		house *house
		want  []string // of circuit "b"
	}{
		{"one load of its own", roomy().load("A", "running_w = 3000").either("b", "running_w = 600").load("Heater",
			`circuit = "b"; running_w = 2000; priority = 5`),
			[]string{`"Heater" not used in an outage`, "2 inverters instead of 1"}},
		{"what counts least of its own", roomy().load("A", "running_w = 3000").either("b",
			"running_w = 600; priority = 1").
			load("P", `circuit = "b"; running_w = 410; priority = 4`).load("Q",
			`circuit = "b"; running_w = 410; priority = 5`),
			[]string{`"Q" and "P" not used in an outage`, "2 inverters instead of 1"}},
		{"not what is medical", roomy().load("A", "running_w = 3000; priority = 1").either("b",
			"running_w = 300; medical = true; priority = 5").
			load("Q", `circuit = "b"; running_w = 300; priority = 1`).load("R",
			`circuit = "b"; running_w = 600; priority = 3`),
			[]string{`"R" not used in an outage`, "2 inverters instead of 1"}},
		{"not that for which it is wanted", roomy().load("A", "running_w = 3000; priority = 1").either("b",
			"running_w = 900; priority = 2").
			load("Q", `circuit = "b"; running_w = 200; priority = 3`),
			[]string{`"Q" not used in an outage`, "2 inverters instead of 1"}},
		{"its only load is no help", roomy().load("A", "running_w = 3000; priority = 1").either("b",
			"running_w = 1001; priority = 5"), []string{"2 inverters instead of 1"}},
		{"one load elsewhere that counts for less", roomy().load("A", "running_w = 500; priority = 5").load("B",
			"running_w = 2600; priority = 1").
			either("b", "running_w = 1000; priority = 2"), []string{`"A" not used in an outage`,
			"2 inverters instead of 1"}},
		{"strings", newHouse().either("b", "running_w = 2000"), []string{"3 more strings"}},    // 25 500 Wh are 664 Ah
		{"no number of strings within reach", newHouse().either("b", "running_w = 3900"), nil}, // 49 250 Wh are 1283 Ah
		{"a way and strings", newHouse().put("board", "ways = 1").either("b", "running_w = 2000"),
			[]string{"3 more strings and one more way"}},
		{"inverters and strings", newHouse().either("b", "running_w = 4100"), nil},
		{"inverters and strings within reach", newHouse().set("bank.strings", 12).either("b", "running_w = 4100"),
			[]string{"2 inverters instead of 1 and 2 more strings"}}, // 52 250 Wh with two are 1361 Ah, 14 strings
	} {
		t.Run(tt.what, func(t *testing.T) {
			p := tt.house.plan(t)
			if len(p.Allocation.LeftOut()) != 1 {
				t.Fatalf("%d circuits are left out, want one", len(p.Allocation.LeftOut()))
			}
			if got := phrase.Strings(p.Allocation.LeftOut()[0].Helps); !slices.Equal(got, tt.want) {
				t.Errorf("helps %q, want %q: %s", got, tt.want, circuitOf(t, p, "b").Reason())
			}
		})
	}
}

// TestHelpsOfTheCatalog: the next larger inverter is named, and not one that is too small.
func TestHelpsOfTheCatalog(t *testing.T) {
	h := newHouse().replace("inverter", `use = "inverter-3k-48"`).set("site.nominal_v", 230).set("bank.strings", 60).
		put("bank", "equalise_v = 54").either("b", "running_w = 4500")
	o := h.plan(t).Allocation.LeftOut()[0]
	// two of them have 6 kVA
	if want := []string{"an inverter of 5.00 kVA (hybrid-5k-48)"}; !slices.Equal(phrase.Strings(o.Helps), want) {
		t.Errorf("helps %q, want %q", o.Helps, want)
	}
	h.set("inverter.count", 2).either("c", "running_w = 1; priority = 1").loads[0] = strings.Replace(h.loads[0], "4500",
		"7500", 1)
	for _, o := range h.plan(t).Allocation.LeftOut() {
		if want := []string{"inverters of 5.00 kVA (hybrid-5k-48)"}; o.ID != "b" ||
			!slices.Equal(phrase.Strings(o.Helps), want) {
			t.Errorf("%s helps %q, want %q", o.ID, o.Helps, want)
		}
	}
}
