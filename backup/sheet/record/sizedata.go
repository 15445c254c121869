package record

import (
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/sizing"
	"outlast/backup/verdict"
)

type sizingJSON struct {
	Site     string       `json:"site"`
	Carried  []string     `json:"carried" doc:"circuits that are sized for, by label"`
	HeldOff  []string     `json:"held_off" doc:"on the backup board as well, with nothing that is to be used in an outage"`
	Left     []string     `json:"left_on_main" doc:"of those that may go on either board"`
	Targets  []targetJSON `json:"targets"`
	Cautions []string     `json:"cautions"`
}

// SizeSchema is the JSON Schema of what a search for equipment writes.
func SizeSchema(id, title string) map[string]any { return schemaOf[sizingJSON](id, title) }

type targetJSON struct {
	AutonomyH float64    `json:"autonomy_h"`
	Pairs     int        `json:"pairs"`
	Worked    int        `json:"worked"`
	Count     int        `json:"passing_count"`
	Standing  []failJSON `json:"standing" doc:"checks that fail with every inverter and battery; passing is what passes all others"`
	Passing   []fitJSON  `json:"passing"`
	Front     []fitJSON  `json:"front"`
	Misses    []missJSON `json:"misses"`
	Own       ownJSON    `json:"own"`
}

// fitJSON is a combination that passes.
type fitJSON struct {
	Inverter  string   `json:"inverter"`
	Count     int      `json:"count"`
	Battery   string   `json:"battery"`
	Series    int      `json:"series"`
	Strings   int      `json:"strings"`
	Units     int      `json:"units"`
	Price     *float64 `json:"price"`
	MassKg    *float64 `json:"mass_kg"`
	EnergyWh  float64  `json:"energy_wh"`
	AutonomyH float64  `json:"autonomy_h"`
	AtLeast   bool     `json:"at_least"`
	Cautions  []string `json:"cautions"`
	Tightest  string   `json:"tightest"`
	Margin    *float64 `json:"margin"`
}

// missJSON is a combination that fails; without a battery the inverter fails by itself.
type missJSON struct {
	Inverter string     `json:"inverter"`
	Count    int        `json:"count"`
	Battery  *string    `json:"battery"`
	Series   int        `json:"series"`
	Strings  int        `json:"strings"`
	Failing  []failJSON `json:"failing"`
}

// ownJSON is the design of the file, as its plan has it.
type ownJSON struct {
	missJSON
	Verdict   string   `json:"verdict"`
	AutonomyH float64  `json:"autonomy_h"`
	AtLeast   bool     `json:"at_least"`
	Price     *float64 `json:"price"`
	MassKg    *float64 `json:"mass_kg"`
	Carried   []string `json:"carried" doc:"circuits, by label"`
	LeavesOut []string `json:"leaves_out" doc:"of those that are sized for"`
	Besides   []string `json:"besides" doc:"beyond them"`
}

func ownToJSON(o sizing.Own) ownJSON {
	worst := verdict.Pass
	switch {
	case len(o.Failing) > 0:
		worst = verdict.Fail
	case o.Cautions > 0:
		worst = verdict.Caution
	}
	return ownJSON{missJSON: missToJSON(o.Miss), Verdict: string(worst), AutonomyH: o.AutonomyH, AtLeast: o.Capped,
		Price: o.Price, MassKg: known(o.MassKg, o.MassKg > 0),
		Carried: append([]string{}, o.Carried...), LeavesOut: append([]string{}, o.LeavesOut...),
		Besides: append([]string{}, o.Besides...)}
}

type failJSON struct {
	ID     string   `json:"id"`
	Demand float64  `json:"demand"`
	Limit  *float64 `json:"limit"`
	Unit   string   `json:"unit"`
	Reason string   `json:"reason"`
}

func fitToJSON(f sizing.Fit) fitJSON {
	return fitJSON{Inverter: f.Inverter.ID, Count: f.Count, Battery: f.Unit.ID, Series: f.Series, Strings: f.Strings,
		Units: f.Units(), Price: f.Price,
		MassKg: known(f.MassKg, f.MassKg > 0), EnergyWh: f.EnergyWh,
		AutonomyH: f.AutonomyH, AtLeast: f.Capped, Cautions: append([]string{}, f.Cautions...), Tightest: f.Tightest,
		Margin: known(f.Margin, !math.IsInf(f.Margin, 0))}
}

func missToJSON(m sizing.Miss) missJSON {
	out := missJSON{Inverter: m.Inverter.ID, Count: m.Count, Series: m.Series, Strings: m.Strings,
		Failing: []failJSON{}}
	if m.Unit != nil {
		out.Battery = &m.Unit.ID
	}
	for _, c := range m.Failing {
		out.Failing = append(out.Failing, failToJSON(c))
	}
	return out
}

func failToJSON(c verdict.Check) failJSON {
	return failJSON{ID: c.ID, Demand: c.Demand, Limit: known(c.Limit, c.HasLimit), Unit: c.Unit,
		Reason: c.Reason.String()}
}

func sizingToJSON(s Sizing, top int) sizingJSON {
	carried, heldOff, left := s.Targets[0].Carried(s.Site)
	out := sizingJSON{Site: s.Site.Name, Carried: append([]string{}, carried...),
		HeldOff: append([]string{}, heldOff...), Left: append([]string{}, left...),
		Cautions: phrase.Strings(slices.Concat(SizeCautions(s), facts.SafetyTexts()))}
	for _, z := range s.Targets {
		t := targetJSON{AutonomyH: z.AutonomyH, Pairs: z.Pairs, Worked: z.Worked, Count: len(z.Passing),
			Standing: []failJSON{}, Passing: []fitJSON{}, Front: []fitJSON{}, Misses: []missJSON{},
			Own: ownToJSON(z.Own)}
		for _, c := range z.Standing {
			t.Standing = append(t.Standing, failToJSON(c))
		}
		for _, f := range z.Passing[:Cut(len(z.Passing), top)] {
			t.Passing = append(t.Passing, fitToJSON(f))
		}
		for _, f := range z.Front[:Cut(len(z.Front), top)] {
			t.Front = append(t.Front, fitToJSON(f))
		}
		for _, m := range z.Misses[:Cut(len(z.Misses), top)] {
			t.Misses = append(t.Misses, missToJSON(m))
		}
		out.Targets = append(out.Targets, t)
	}
	return out
}

func SizeJSON(w io.Writer, s Sizing, top int) error {
	return encodeJSON(w, sizingToJSON(s, top))
}

// SizeCSV is one combination a row: the lists one after the other, told by their names.
func SizeCSV(w io.Writer, s Sizing, top int, spreadsheet bool) error {
	rows := [][]string{{"autonomy_h", "list", "no", "inverter", "count", "battery", "series", "strings", "units",
		"price", "mass_kg", "energy_wh", "lasts_h", "at_least", "cautions", "tightest", "margin_pct", "failing"}}
	optional := func(v *float64) string {
		if v == nil {
			return ""
		}
		return Decimal(*v)
	}
	for _, t := range sizingToJSON(s, top).Targets {
		hours := Decimal(t.AutonomyH)
		fits := func(list string, fits []fitJSON) {
			for i, f := range fits {
				rows = append(rows, []string{hours, list, strconv.Itoa(i + 1), Guard(f.Inverter), strconv.Itoa(f.Count),
					Guard(f.Battery), strconv.Itoa(f.Series), strconv.Itoa(f.Strings),
					strconv.Itoa(f.Units), optional(f.Price), optional(f.MassKg), Decimal(f.EnergyWh),
					Decimal(f.AutonomyH), strconv.FormatBool(f.AtLeast), Guard(strings.Join(f.Cautions, ", ")),
					Guard(f.Tightest), Decimal(100 * orEmpty(f.Margin)), ""})
			}
		}
		miss := func(list string, no int, m missJSON) []string {
			battery := ""
			if m.Battery != nil {
				battery = *m.Battery
			}
			var ids []string
			for _, c := range m.Failing {
				ids = append(ids, c.ID)
			}
			return []string{hours, list, strconv.Itoa(no), Guard(m.Inverter), strconv.Itoa(m.Count), Guard(battery),
				strconv.Itoa(m.Series), strconv.Itoa(m.Strings),
				strconv.Itoa(m.Series * m.Strings), "", "", "", "", "", "", "", "", Guard(strings.Join(ids, ", "))}
		}
		for i, c := range t.Standing {
			row := make([]string, len(rows[0]))
			row[0], row[1], row[2], row[len(row)-1] = hours, "standing", strconv.Itoa(i+1), Guard(c.ID)
			rows = append(rows, row)
		}
		fits("passing", t.Passing)
		fits("front", t.Front)
		for i, m := range t.Misses {
			rows = append(rows, miss("miss", i+1, m))
		}
		own := miss("own", 1, t.Own.missJSON)
		own[9], own[10], own[12], own[13] = optional(t.Own.Price), optional(t.Own.MassKg), Decimal(t.Own.AutonomyH),
			strconv.FormatBool(t.Own.AtLeast)
		rows = append(rows, own)
	}
	return WriteRows(w, rows, spreadsheet)
}

// A Sizing is what a catalog offers for one site, for one autonomy or several.
type Sizing struct {
	Site    *site.Site // as the file describes it
	Targets []*sizing.Sizes
}

// SizeCautions are those of equipment, beside what every sheet ends with.
func SizeCautions(s Sizing) []phrase.Phrase {
	supplied := s.Targets[0].Site
	return append(facts.MedicalTexts(supplied, supplied.Loads),
		phrase.Of("Prices and weights are those of the catalog, inverters and batteries alone: no cables, devices, racks or work."),
		phrase.Of("The generic entries are classes of equipment, not products: "+
			"what is bought is to be planned with its own data sheet."))
}

// Cut is how many of n are shown.
func Cut(n, top int) int {
	if top > 0 {
		return min(n, top)
	}
	return n
}
