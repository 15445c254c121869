package backup

import (
	"errors"

	"outlast/battery"
	"outlast/catalog"
	"outlast/catalog/strict"
	"outlast/loads"
)

// ReadSite reads a site file against a catalog.
//
// The error is of type [strict.Problems] and names every fault of the file, each with its place. file is only used for
// that; src is the text.
func ReadSite(file string, src []byte, cat *catalog.Catalog) (*Site, error) {
	root, err := strict.Parse(file, src, &fileKeys)
	if err != nil {
		return nil, err
	}
	r := &reader{root: root, cat: cat, site: &Site{File: file}}
	r.readHome()
	r.readCircuits()
	r.readLoads()
	r.readArrays()
	r.readGenerator()
	r.equip(r.site, r.equipment())
	r.readOptions()
	r.site.Defaults = root.Defaults()
	for i := range r.site.Options {
		r.site.Options[i].Site.Defaults = r.site.Defaults
	}
	if ps := root.Problems(); ps != nil {
		return nil, ps
	}
	return r.site, nil
}

type reader struct {
	root *strict.Table
	cat  *catalog.Catalog
	site *Site
}

func (r *reader) readHome() {
	t, s := r.root.Table("site"), r.site
	if t != nil {
		s.Name, _ = t.Text("name")
		s.NominalV, _ = t.Number("nominal_v")
		s.Phases, _ = t.Whole("phases")
		s.FrequencyHz, _ = t.Number("frequency_hz")
		s.AltitudeM, _ = t.Number("altitude_m")
		s.ColdestC, _ = t.Number("coldest_c")
		s.HottestC, _ = t.Number("hottest_c")
		s.Latitude = optional(t, "latitude")
		s.Longitude = optional(t, "longitude")
		s.UTCOffsetH = optional(t, "utc_offset_h")
		if len(r.root.Tables("array")) > 0 {
			t.Require("latitude")
		}
	}
	if b := r.root.Table("board"); b != nil {
		s.Ways, _ = b.Whole("ways")
	}
}

func optional(t *strict.Table, key string) *float64 {
	if v, ok := t.Number(key); ok {
		return &v
	}
	return nil
}

// equipment is the tables that an option may change.
type equipment struct{ outage, practice, inverter, bank *strict.Table }

func (r *reader) equipment() equipment {
	return equipment{r.root.Table("outage"), r.root.Table("practice"), r.root.Table("inverter"), r.root.Table("bank")}
}

// over lays an option's tables over the site's. With another `use`, the site's own figures for the old equipment go.
func (e equipment) over(option *strict.Table) equipment {
	lay := func(name string, base *strict.Table, keep ...string) *strict.Table {
		t := option.Table(name)
		if t == nil || base == nil {
			return base
		}
		if t.Has("use") {
			return t.Over(base.Only(keep...))
		}
		return t.Over(base)
	}
	return equipment{
		outage:   lay("outage", e.outage),
		practice: lay("practice", orEmpty(e.practice, option.Table("practice"))),
		inverter: lay("inverter", e.inverter, "count"),
		bank:     lay("bank", e.bank, "strings"),
	}
}

// orEmpty lets an option add a table that the file does not have.
func orEmpty(base, option *strict.Table) *strict.Table {
	if base == nil {
		return option
	}
	return base
}

// equip reads outage, practice, inverter and bank into s and checks them against each other.
func (r *reader) equip(s *Site, e equipment) {
	s.Practice = readPractice(e.practice)
	if e.outage != nil {
		r.readOutage(s, e.outage)
	}
	inverterOK := e.inverter != nil && r.readInverter(s, e.inverter)
	bankOK := e.bank != nil && r.readBank(s, e.bank)
	if bankOK && e.outage != nil {
		dod, _ := s.Unit.DoD(s.Practice.MaxDoD)
		if reserve := s.Outage.Reserve; reserve > 0 && reserve <= 1-dod {
			e.outage.Report("reserve", "", "found %g, want more than %g: a bank that may be emptied to %g has nothing to give below it", reserve, 1-dod, 1-dod)
		}
	}
	if !inverterOK || !bankOK {
		return
	}
	series, fits, err := battery.Series(s.Unit, s.Inverter.NominalDCV, s.Inverter.DCMinV, s.Inverter.DCMaxV, s.ColdestC, s.Inverter.Equalises)
	if err != nil {
		at := "nominal_v"
		if !e.bank.Has(at) && e.bank.Has("use") {
			at = "use"
		}
		e.bank.Report(at, "", "units of %g V make no bank for an inverter of %g V, want one within 20 %% of it", s.Unit.NominalV, s.Inverter.NominalDCV)
		return
	}
	s.Series, s.SeriesFits = series, fits
}

func readPractice(t *strict.Table) (p Practice) {
	if t == nil {
		t = strict.Empty(&practiceKeys)
	}
	p.Margin, _ = t.Number("margin")
	p.Growth, _ = t.Number("growth")
	p.EndOfLife, _ = t.Number("end_of_life")
	p.MaxDoD, _ = t.Number("max_dod")
	p.Confidence, _ = t.Number("confidence")
	return p
}

func (r *reader) readOutage(s *Site, t *strict.Table) {
	s.Outage.AutonomyH, _ = t.Number("autonomy_h")
	s.Outage.Month, _ = t.Whole("month")
	s.Outage.Reserve, _ = t.Number("reserve")
	s.Outage.Start = WorstStart
	if start, ok := t.Text("start"); ok && start != "worst" {
		minute, err := parseClock(start)
		if err != nil || minute == dayMin {
			t.Report("start", "", "found %s, want \"worst\" or a time of day from \"00:00\" to \"23:59\"", strict.Quote(start))
			return
		}
		s.Outage.Start = minute
	}
}

// lookup reports an id that the catalog does not have.
func lookup[T any](t *strict.Table, find func(string) (T, error)) (base *T, ok bool) {
	id, given := t.Text("use")
	if !given {
		return nil, !t.Has("use")
	}
	v, err := find(id)
	if err != nil {
		var unknown *catalog.UnknownID
		hint := "outlast catalog lists what there is"
		if errors.As(err, &unknown) && unknown.Nearest != "" {
			hint = "did you mean \"" + unknown.Nearest + "\"?"
		}
		t.Report("use", hint, "found %s, want an id of the catalog", strict.Quote(id))
		return nil, false
	}
	return &v, true
}

func (r *reader) readInverter(s *Site, t *strict.Table) bool {
	base, ok := lookup(t, r.cat.Inverter)
	if !ok {
		return false
	}
	s.InverterCount, _ = t.Whole("count")
	if s.Inverter, ok = catalog.DecodeInverter(t, base); !ok {
		return false
	}
	if base == nil {
		s.Inverter.ID = ownID
	}
	for _, d := range s.Inverter.Defaults {
		t.NoteDefault(d.Key, withUnit(d.Value, d.Unit))
	}
	if n := s.Inverter.Phases * s.InverterCount; s.Phases > 0 && s.InverterCount > 0 && n%s.Phases != 0 {
		t.Report("count", "", "%d units of %d phases give %d phases, want a multiple of the site's %d", s.InverterCount, s.Inverter.Phases, n, s.Phases)
		return false
	}
	if v := s.Inverter.OutputV; v > 0 && s.NominalV > 0 && (v < 0.8*s.NominalV || v > 1.2*s.NominalV) {
		at := "output_v"
		if !t.Has(at) {
			at = "use"
		}
		t.Report(at, "", "the inverter gives %g V, want the site's %g V, line to neutral", v, s.NominalV)
		return false
	}
	return true
}

// ownID stands for equipment that the site file describes itself.
const ownID = "own"

func (r *reader) readBank(s *Site, t *strict.Table) bool {
	base, ok := lookup(t, r.cat.Battery)
	if !ok {
		return false
	}
	s.Strings, _ = t.Whole("strings")
	u, ok := catalog.DecodeBattery(t, base)
	if !ok {
		return false
	}
	if base == nil {
		u.ID = ownID
	}
	var defaults []battery.Default
	s.Unit, defaults = u.WithDefaults()
	for _, d := range defaults {
		t.NoteDefault(d.Key, withUnit(d.Value, d.Unit))
	}
	return true
}

func (r *reader) readArrays() {
	for _, t := range r.root.Tables("array") {
		base, ok := lookup(t, r.cat.Module)
		if !ok {
			continue
		}
		var a Array
		a.Module, _ = catalog.DecodeModule(t, base)
		if base == nil {
			a.Module.ID = ownID
		}
		a.ModulesPerString, _ = t.Whole("modules_per_string")
		a.Strings, _ = t.Whole("strings")
		a.TiltDeg, _ = t.Number("tilt_deg")
		a.AzimuthDeg, _ = t.Number("azimuth_deg")
		a.Input, _ = t.Whole("input")
		a.MonthlyKWhM2Day, _ = t.Numbers("monthly_kwh_m2_day")
		a.Weather, _ = t.Text("weather")
		r.site.Arrays = append(r.site.Arrays, a)
	}
}

func (r *reader) readGenerator() {
	t := r.root.Table("generator")
	if t == nil {
		return
	}
	base, ok := lookup(t, r.cat.Generator)
	if !ok {
		return
	}
	var g Generator
	g.Generator, _ = catalog.DecodeGenerator(t, base)
	if base == nil {
		g.ID = ownID
	}
	g.StartSoC, _ = t.Number("start_soc")
	g.StopSoC, _ = t.Number("stop_soc")
	if g.StopSoC <= g.StartSoC {
		t.Report("stop_soc", "", "found %g, want more than start_soc, which is %g", g.StopSoC, g.StartSoC)
	}
	r.site.Generator = &g
}

func (r *reader) readOptions() {
	names := map[string]bool{}
	for _, t := range r.root.Tables("option") {
		name, ok := t.Text("name")
		if ok && names[name] {
			t.Report("name", "", "found %s a second time, want each name once", strict.Quote(name))
		}
		names[name] = true
		variant := *r.site
		variant.Options = nil
		r.equip(&variant, r.equipment().over(t))
		r.site.Options = append(r.site.Options, Option{Name: name, Site: &variant})
	}
}

func (r *reader) readCircuits() {
	seen := map[string]bool{}
	for _, t := range r.root.Tables("circuit") {
		var c loads.Circuit
		id, ok := t.Text("id")
		if ok && seen[id] {
			t.Report("id", "", "found %s a second time, want each id once", strict.Quote(id))
		}
		seen[id] = true
		c.ID, c.Label = id, id
		if label, ok := t.Text("label"); ok {
			c.Label = label
		}
		c.BreakerA, _ = t.Number("breaker_a")
		c.CableMM2, _ = t.Number("cable_mm2")
		c.LengthM, _ = t.Number("length_m")
		board, _ := t.Text("board")
		c.Board = loads.Board(board)
		if c.Phase, ok = t.Whole("phase"); ok && r.site.Phases > 0 && c.Phase > r.site.Phases {
			t.Report("phase", "", "found %d, want 0 (all phases) or one of the site's %d", c.Phase, r.site.Phases)
		}
		r.site.Circuits = append(r.site.Circuits, c)
	}
}
