// Package trace turns the logged power of one appliance into a load.
//
// [Read] takes a table ([outlast/backup/measured/tabular]) of times and powers, some seconds or a minute apart;
// [Trace.Load] finds what it draws while it runs and while it starts, its rhythm, its hours of a day and its power
// factor, and names every spot that is doubtful; [Load.Text] writes it as it stands in a site file, with a comment
// beside each figure and a drawing.
//
// A reading holds until the next one. Powers are W and VA, times seconds. What happens between two readings nobody
// sees: the power of a start is never less than what is told here, and more where readings are slow.
package trace

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"outlast/backup/measured/tabular"
	"outlast/backup/phrase"
	"outlast/catalog/strict"
)

// What a column of a log may tell.
const (
	kindTime  = tabular.KindTime
	kindDate  = tabular.KindDate
	kindPF    = "power_factor"
	kindVA    = "va"
	kindAmps  = tabular.KindAmps
	kindVolts = tabular.KindVolts
	kindPower = tabular.KindPower
)

var kinds = []tabular.Kind{
	tabular.Times,
	tabular.Dates,
	{ID: kindPF, Number: true, Words: []string{"power factor", "pf", "cos phi", "cosphi", "cos", "leistungsfaktor",
		"factor de potencia", "facteur de puissance"}},
	{ID: kindVA, Number: true, Words: []string{"apparent", "scheinleistung", "aparente", "apparente"},
		Units: []string{"va", "kva"}},
	tabular.Amps,
	tabular.Volts,
	tabular.Power.And("load"),
}

var units = tabular.LogUnits("va", "kva")

// Kinds are the kinds that a user may name, and the units that stand with them.
func Kinds() ([]tabular.Kind, []string) { return kinds, units }

// Options are what a log itself does not tell.
type Options struct {
	Wishes []tabular.Wish
	Dates  string  // "dmy", "mdy" or ""
	Volts  float64 // for amps without volts; 0: not told
}

// MaxReadings is a month of seconds.
const MaxReadings = 2_700_000

// A Trace is what was logged.
type Trace struct {
	From phrase.Phrase // the column of the power, in words

	at     []float64 // seconds, from the first reading on
	w      []float32
	va     []float32 // nil: not logged
	lines  []jump
	isVA   bool // only VA are known: they count as W
	faults faults
}

// A jump is where the lines of readings do not follow one another: the one of reading i is line, and of i+1 line+1, up
// to the next jump.
type jump struct{ i, line int }

// lineOf is the line of a reading.
func (tr *Trace) lineOf(i int) int {
	k, found := slices.BinarySearchFunc(tr.lines, i, func(j jump, i int) int { return j.i - i })
	if !found {
		k--
	}
	return tr.lines[k].line + i - tr.lines[k].i
}

// faults are what is wrong with a log, with the line of the first.
type faults struct{ missing, back, twice, negative fault }

type fault struct{ n, line int }

func (f *fault) add(line int) {
	if f.n++; f.n == 1 {
		f.line = line
	}
}

// columns of a log; the index is -1 for none.
type columns struct {
	moments                    tabular.Moments
	power, va, amps, volts, pf int
	scale                      map[int]float64
}

const mostW = 1e7

// Read reads a log. The error is of type [strict.Problems].
func Read(t *tabular.Table, o Options) (*Trace, error) {
	found, ok := tabular.FindColumns(t, kinds, units, o.Wishes, func(ids map[string]bool) bool {
		return (ids[kindTime] || ids[kindDate]) && (ids[kindPower] || ids[kindVA] || ids[kindAmps])
	})
	if !ok {
		return nil, t.Err()
	}
	tr := &Trace{}
	c, ok := tr.columns(t, found, o)
	if !ok {
		return nil, t.Err()
	}
	for t.Next() {
		if len(tr.at) == MaxReadings {
			t.Report(-1, "cut it into pieces", "found more than %d readings", MaxReadings)
			break
		}
		tr.row(t, c, o)
	}
	switch n := len(tr.at); {
	case t.Err() != nil:
	case n < 3:
		t.ReportAt(0, 0, "", "found %d readings, want more", n)
	case t.Backwards(n, tr.faults.back.n):
	case !slices.ContainsFunc(tr.w, func(w float32) bool { return w > 0 }):
		t.ReportAt(0, 0, "a meter that is clamped the wrong way round logs what is drawn with a minus",
			"no reading is above 0 W: the log tells of no load")
	}
	if err := t.Err(); err != nil {
		return nil, err
	}
	return tr, nil
}

// columns settles which column tells what, and in which unit.
func (tr *Trace) columns(t *tabular.Table, found tabular.Columns, o Options) (c columns, ok bool) {
	c.scale = map[int]float64{}
	at := func(kind string) (int, tabular.Column) {
		if col, ok := found.Of(kind); ok {
			return col.Index, col
		}
		return -1, tabular.Column{}
	}
	c.moments = t.NewMoments(found, o.Dates)
	var col tabular.Column
	c.power, col = at(kindPower)
	tr.From = called(col)
	ok = true
	known := func(i int, col tabular.Column, base string) {
		if i < 0 {
			return
		}
		u := col.UnitAmong(func(u string) bool {
			return slices.Contains(units, u) && strings.HasSuffix(strings.TrimSuffix(u, "s"), base) || base == "w" &&
				strings.HasPrefix(u, "watt")
		})
		switch {
		case u == "":
			t.ReportAt(max(1, found.Line), i, "say it: --column \""+kindPower+"="+strconv.Itoa(i+1)+" W\"",
				"found %s, whose head tells no unit", col.Name())
			ok = false
		case u[0] == 'k':
			c.scale[i] = 1000
		case u[0] == 'm':
			c.scale[i] = 0.001
		default:
			c.scale[i] = 1
		}
	}
	known(c.power, col, "w")
	c.va, col = at(kindVA)
	if c.va >= 0 {
		known(c.va, col, "va")
		if c.power < 0 {
			tr.From = called(col)
		}
	}
	c.amps, col = at(kindAmps)
	if c.amps >= 0 {
		c.scale[c.amps] = 1
		if col.Unit == "ma" {
			c.scale[c.amps] = 0.001
		}
		if c.power < 0 && c.va < 0 {
			tr.From = called(col)
		}
	}
	if c.volts, _ = at(kindVolts); c.volts >= 0 {
		c.scale[c.volts] = 1
	}
	c.pf, _ = at(kindPF)
	if c.power < 0 && c.va < 0 && c.volts < 0 && o.Volts == 0 {
		t.ReportAt(max(1, found.Line), c.amps, "--volts 230", "found amps, and the volts are not told")
		ok = false
	}
	tr.isVA = c.power < 0 && c.pf < 0
	return c, ok
}

func called(c tabular.Column) phrase.Phrase {
	if c.Head == "" {
		return phrase.Of("column %d", c.Index+1)
	}
	return phrase.Of("column %s", strict.Quote(c.Head))
}

// value reads a figure of a column; ok is false where none stands, or it was reported.
func (c *columns) value(t *tabular.Table, i int) (v float64, ok bool) {
	if i < 0 || tabular.Missing(t.Cell(i).Text) {
		return 0, false
	}
	v, behind, ok := t.Number(i)
	if !ok {
		return 0, false
	}
	scale := 1.0
	if s, there := c.scale[i]; there {
		scale = s
	}
	switch strings.ToLower(behind) {
	case "", "w", "va", "a", "v":
	case "kw", "kva":
		scale = 1000
	default:
		t.Report(i, "", "found %q behind the figure, want W, VA, A or V", behind)
		return 0, false
	}
	if v *= scale; math.Abs(v) > mostW {
		t.Report(i, "", "found %g, want at most %g", v, float64(mostW))
		return 0, false
	}
	return v, true
}

// row reads a reading.
func (tr *Trace) row(t *tabular.Table, c columns, o Options) {
	s, ok := t.MomentIn(c.moments)
	if !ok {
		return
	}
	line := t.Line()
	w, hasW := c.value(t, c.power)
	va, hasVA := c.value(t, c.va)
	if !hasVA && c.amps >= 0 {
		amps, ok := c.value(t, c.amps)
		volts, hasVolts := c.value(t, c.volts)
		if !hasVolts {
			volts, hasVolts = o.Volts, o.Volts > 0
		}
		if ok && hasVolts {
			if va = amps * volts; math.Abs(va) > mostW {
				t.Report(c.amps, "", "found %g A at %g V, want at most %g VA", amps, volts, float64(mostW))
				return
			}
			hasVA = true
		}
	}
	if !hasW && c.power < 0 && hasVA {
		w, hasW = va, true
		if pf, ok := c.value(t, c.pf); ok && pf >= 0 && pf <= 1 {
			w = va * pf
		}
	}
	if hasW && !hasVA {
		if pf, ok := c.value(t, c.pf); ok && pf > 0 && pf <= 1 {
			va, hasVA = w/pf, true
		}
	}
	if !hasW {
		tr.faults.missing.add(line)
		return
	}
	if w < 0 {
		if w < -1 {
			tr.faults.negative.add(line)
		}
		w = 0
	}
	n := len(tr.at)
	if n > 0 {
		switch last := tr.at[n-1]; {
		case s == last:
			tr.faults.twice.add(line)
		case s < last:
			tr.faults.back.add(line)
			c.moments.Clock.SetBack(last - s)
			s = last
		}
	}
	if n == 0 || tr.lineOf(n) != line {
		tr.lines = append(tr.lines, jump{n, line})
	}
	tr.at, tr.w = append(tr.at, s), append(tr.w, float32(w))
	if hasVA && !tr.isVA {
		if tr.va == nil {
			tr.va = make([]float32, n, cap(tr.at))
		}
		tr.va = append(tr.va, float32(max(va, 0)))
	} else if tr.va != nil {
		tr.va = append(tr.va, 0)
	}
}
