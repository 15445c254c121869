package sheet

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"outlast/backup"
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/battery"
)

// TestWiringSection: volts of a unit and of the bank, weight, fault current and what limits it.
func TestWiringSection(t *testing.T) {
	unit := battery.Unit{Chemistry: battery.Flooded, NominalV: 2, MinV: 1.75, FloatV: 2.25, ChargeV: 2.4, RatedAh: 100,
		ResistanceMohm: 0.5, MassKg: 7.5}
	p := &backup.Plan{Facts: &facts.Facts{}}
	p.Bank.Bank = battery.Bank{Unit: unit, Series: 24, Strings: 2}
	p.Details.Fault, p.Details.HasFault = p.Bank.ShortCircuit()
	p.Details.ResistanceOhm = p.Bank.ResistanceOhm()
	s := wiringSection(p)
	want := [][]string{{"One unit", "1.75", "2.00", "2.25", "2.40"}, {"Bank", "42.0", "48.0", "54.0", "57.6"}}
	if diff := cmp.Diff(want, inEnglish(t, s.Table).Rows); diff != "" {
		t.Errorf("volts (-want +got):\n%s", diff)
	}
	text := strings.Join(phrase.Strings(s.Lines), "\n")
	// 24 * 0.5 / 2 = 6 milliohm; 50.5904 V at rest when full: 8432 A.
	for _, says := range []string{"24 units in series", "2 strings in parallel", "360 kg, 7.5 kg each", "8432 A",
		"6 milliohm", "One string gives 4216 A"} {
		if !strings.Contains(text, says) {
			t.Errorf("it does not say %q:\n%s", says, text)
		}
	}
	if strings.Contains(text, "switch off before") {
		t.Errorf("a lead-acid bank has no electronics:\n%s", text)
	}
	p.Details.HasFault = false
	if text := strings.Join(phrase.Strings(wiringSection(p).Lines), "\n"); !strings.Contains(text,
		"give resistance_mohm") {
		t.Errorf("it does not name the key that is missing:\n%s", text)
	}
}

// TestDownToWords: rounded up, so that nobody counts on a charge that is too low.
func TestDownToWords(t *testing.T) {
	for _, tt := range []struct {
		d    facts.DownTo
		want string
	}{
		{facts.DownTo{}, "-"},
		{facts.DownTo{Known: true, SoC: 1}, "never"},
		{facts.DownTo{Known: true, Works: true}, "any"},
		{facts.DownTo{Known: true, Works: true, SoC: 0.341}, "35"},
		{facts.DownTo{Known: true, Works: true, SoC: 1}, "100"},
	} {
		if got := downTo(tt.d).String(); got != tt.want {
			t.Errorf("%+v is %q, want %q", tt.d, got, tt.want)
		}
	}
}

// TestChargeSection: volts at three temperatures where the battery is compensated, else at one; what the inverter
// cannot do is said.
func TestChargeSection(t *testing.T) {
	p, five := &backup.Plan{Facts: &facts.Facts{Site: &site.Site{ColdestC: -5, HottestC: 45}}}, -5.0
	p.Bank.Bank = battery.Bank{Unit: battery.Unit{Chemistry: battery.Flooded, ChargeMVPerCellC: &five, EqualiseV: 2.58},
		Series: 24, Strings: 1}
	p.Details.Stages = []facts.StageVolts{{Name: "absorption", At25: 57.6, AtColdest: 61.2, AtHottest: 55.2}}
	s := chargeSection(p)
	if diff := cmp.Diff([]string{"Stage, V", "Bank 25 C", "Bank -5 C", "Bank 45 C", "Unit 25 C", "Unit -5 C",
		"Unit 45 C"}, inEnglish(t, s.Table).Head); diff != "" {
		t.Errorf("head (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff([][]string{{"Absorption", "57.6", "61.2", "55.2", "2.40", "2.55", "2.30"}},
		inEnglish(t, s.Table).Rows); diff != "" {
		t.Errorf("volts (-want +got):\n%s", diff)
	}
	if text := strings.Join(phrase.Strings(s.Lines), "\n"); !strings.Contains(text, "5 mV per cell") ||
		!strings.Contains(text, "equalises") {
		t.Errorf("want the compensation, and that nothing equalises:\n%s", text)
	}
	p.Inverter.Unit.Equalises = true
	if text := strings.Join(phrase.Strings(chargeSection(p).Lines), "\n"); strings.Contains(text, "equalises") {
		t.Errorf("the inverter equalises, yet:\n%s", text)
	}
	p.Site.ColdestC = 25
	if n := len(chargeSection(p).Table.Head); n != 5 {
		t.Errorf("%d columns where the coldest is 25 C, want no column twice", n)
	}
	p.Bank.Unit.ChargeMVPerCellC = nil
	if s := chargeSection(p); len(s.Table.Head) != 3 || !strings.Contains(s.Lines[0].String(), "Not changed") {
		t.Errorf("without compensation: %q %q", s.Table.Head, s.Lines)
	}
}
