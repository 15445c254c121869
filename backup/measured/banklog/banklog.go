// Package banklog reads what a monitor has logged of a battery bank in an outage, or in a test of its capacity.
//
// [Read] takes a table ([outlast/backup/measured/tabular]) of times with whatever else stands there: power at the loads
// or at the bank, amps, volts, state of charge, temperature. Columns are found by their words in four languages or
// named by the user. A [Log] keeps every reading; what it tells of the bank is the business of package capacity.
//
// Powers are W, amps and volts those of the bank, states of charge 0 to 1, times seconds from the first reading on.
// Above 0 a bank is discharged: logs with the other sign are turned, where they prove it, and asked back where they do
// not.
package banklog

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"outlast/backup/measured/tabular"
)

// What a column of a log may tell.
const (
	kindTime  = tabular.KindTime
	kindDate  = tabular.KindDate
	kindSoC   = "soc"
	kindTemp  = "temperature"
	kindLoadW = "load_power"
	kindBankW = "bank_power"
	kindPower = tabular.KindPower
	kindAmps  = tabular.KindAmps
	kindVolts = tabular.KindVolts
)

var kinds = []tabular.Kind{
	tabular.Times,
	tabular.Dates,
	{ID: kindSoC, Number: true, Words: []string{"soc", "state of charge", "charge level", "ladezustand", "ladestand",
		"fullstand", "estado de carga", "nivel de carga", "etat de charge", "niveau de charge"}},
	{ID: kindTemp, Number: true, Words: []string{"temperature", "temp", "temperatur", "temperatura"},
		Units: []string{"c", "degc", "f", "degf", "fahrenheit"}},
	{ID: kindBankW, Number: true, Words: []string{"battery power", "batt power", "bank power", "dc power",
		"battery w", "batterieleistung", "akkuleistung", "leistung batterie", "dc leistung", "potencia bateria",
		"potencia de la bateria", "potencia cc", "potencia dc", "puissance batterie", "puissance de la batterie",
		"puissance cc", "puissance dc"}},
	{ID: kindLoadW, Number: true, Words: []string{"load power", "load", "loads", "ac power", "ac load", "output power",
		"consumption", "last", "lastleistung", "ac leistung", "ausgangsleistung", "verbrauch", "consumo",
		"potencia de salida", "potencia ca", "potencia de las cargas", "consommation", "puissance de sortie",
		"puissance ca", "puissance des charges"}},
	tabular.Power,
	tabular.Amps,
	tabular.Volts,
}

// Words beside "power" that tell where it was measured.
var (
	bankWords = []string{"battery", "batt", "bank", "dc", "batterie", "akku", "bateria", "cc", "accu"}
	loadWords = []string{"load", "loads", "ac", "output", "house", "home", "haus", "last", "verbraucher", "cargas",
		"casa",
		"ca", "salida", "charges", "maison", "sortie"}
)

var units = tabular.LogUnits("c", "degc", "f", "degf", "fahrenheit")

// Kinds are the kinds that a user may name, and the units that stand with them.
func Kinds() ([]tabular.Kind, []string) { return kinds, units }

// A Sign says how a log writes the discharge of the bank.
type Sign string

// The signs; [SignFound] leaves it to the log to prove.
const (
	SignFound    Sign = ""
	SignPositive Sign = "positive"
	SignNegative Sign = "negative"
)

// Options are what a log itself does not tell.
type Options struct {
	Wishes []tabular.Wish
	Dates  string // "dmy", "mdy" or ""
	// Discharge is the sign of amps and of power at the bank.
	Discharge Sign
	// FromH and ToH cut the log, in hours from its first reading; ToH 0: to its end.
	FromH, ToH float64
}

// MaxReadings is a year of minutes, or a week of seconds.
const MaxReadings = 700_000

// A Reading holds until the next one. What was not logged is NaN.
type Reading struct {
	AtS                                   float64 // from the first reading of the log on
	LoadW, BankW, Amps, Volts, SoC, TempC float32
}

// A Log is what was logged.
type Log struct {
	chunks [][]Reading // of chunkLen each but the last: a slice that grows would need its memory twice
	// HasX says that the log has a column of the kind, with at least one figure in it.
	HasLoadW, HasBankW, HasAmps, HasVolts, HasSoC, HasTemp bool
	// BeginS is the first moment as the log has it: seconds from 1970 where HasDate, from midnight where not; elapsed
	// says that the log only counts from its start.
	BeginS           float64
	HasDate, Elapsed bool
	// Turned says that the log writes a discharge with a minus.
	Turned bool
	// Missing is how many rows tell nothing of what was drawn; Back how often the clock was set back.
	Missing, Back int
	StepS         float64 // the middle one of the times between two readings
}

const chunkLen = 16_384

// Len is the number of readings.
func (l *Log) Len() int {
	if n := len(l.chunks); n > 0 {
		return (n-1)*chunkLen + len(l.chunks[n-1])
	}
	return 0
}

// At is a reading, from 0.
func (l *Log) At(i int) *Reading { return &l.chunks[i/chunkLen][i%chunkLen] }

func (l *Log) add(x Reading) {
	n := len(l.chunks)
	if n == 0 || len(l.chunks[n-1]) == chunkLen {
		l.chunks, n = append(l.chunks, make([]Reading, 0, chunkLen)), n+1
	}
	l.chunks[n-1] = append(l.chunks[n-1], x)
}

// Moment writes the moment some seconds after the first reading.
func (l *Log) Moment(s float64) string {
	switch at := l.BeginS + s; {
	case l.Elapsed || math.Abs(at) > 1e11:
		return fmt.Sprintf("%d:%02d h", int(s)/3600, int(s)/60%60)
	case l.HasDate:
		return time.Unix(int64(at), 0).UTC().Format("2006-01-02 15:04")
	default:
		m := int(math.Mod(at, 86_400)) / 60
		return fmt.Sprintf("%02d:%02d", m/60, m%60)
	}
}

type columns struct {
	moments                              tabular.Moments
	soc, temp, loadW, bankW, amps, volts int // the index; -1 for none
	scale                                map[int]float64
	fahrenheit                           bool // the temperatures
}

// Read reads a log. The error is of type [strict.Problems].
func Read(t *tabular.Table, o Options) (*Log, error) {
	found, ok := tabular.FindColumns(t, kinds, units, o.Wishes, func(ids map[string]bool) bool {
		return (ids[kindTime] || ids[kindDate]) && (ids[kindPower] || ids[kindLoadW] || ids[kindBankW] || ids[kindAmps])
	})
	if !ok {
		return nil, t.Err()
	}
	c, ok := settle(t, found, o)
	if !ok {
		return nil, t.Err()
	}
	l := &Log{}
	r := reader{t: t, c: c, o: o, l: l}
	for t.Next() {
		if l.Len() == MaxReadings {
			t.Report(-1, "cut it into pieces", "found more than %d readings", MaxReadings)
			break
		}
		r.row()
	}
	l.HasDate, l.Elapsed = c.moments.Clock.HasDate, c.moments.Counted && !c.moments.Clock.HasDate
	if t.Err() == nil {
		r.end()
	}
	if err := t.Err(); err != nil {
		return nil, err
	}
	return l, nil
}

// settle decides which column tells what, and in which unit.
func settle(t *tabular.Table, found tabular.Columns, o Options) (c columns, ok bool) {
	c.scale, ok = map[int]float64{}, true
	at := func(kind string) (int, tabular.Column) {
		if col, ok := found.Of(kind); ok {
			return col.Index, col
		}
		return -1, tabular.Column{}
	}
	c.moments = t.NewMoments(found, o.Dates)
	line := max(1, found.Line)
	watts := func(kind string) int {
		i, col := at(kind)
		if i < 0 {
			return -1
		}
		switch u := col.UnitAmong(func(u string) bool {
			return u == "w" || u == "kw" || u == "watt" || u == "watts"
		}); u {
		case "":
			t.ReportAt(line, i, fmt.Sprintf("say it: --column \"%s=%d W\"", kind, i+1),
				"found %s, whose head tells no unit", col.Name())
			ok = false
		case "kw":
			c.scale[i] = 1000
		default:
			c.scale[i] = 1
		}
		return i
	}
	c.loadW, c.bankW = watts(kindLoadW), watts(kindBankW)
	amps, ampsCol := at(kindAmps)
	if c.amps = amps; ampsCol.Unit == "ma" {
		c.scale[amps] = 0.001
	}
	switch i, col := at(kindPower); {
	case i < 0:
	case c.bankW < 0 && col.Has(bankWords...):
		c.bankW = watts(kindPower)
	case c.loadW < 0 && col.Has(loadWords...):
		c.loadW = watts(kindPower)
	case c.loadW < 0 && c.bankW < 0 && c.amps < 0:
		t.ReportAt(line, i, fmt.Sprintf("say which: --column \"%s=%d W\" or --column \"%s=%d W\"", kindLoadW, i+1,
			kindBankW, i+1),
			"found %s, and whether it is of the loads or of the bank is not told: the inverter stands between",
			col.Name())
		ok = false
	}
	c.volts, _ = at(kindVolts)
	c.soc, _ = at(kindSoC)
	temp, tempCol := at(kindTemp)
	c.temp, c.fahrenheit = temp, tempCol.UnitAmong(func(u string) bool {
		return u == "f" || u == "degf" || u == "fahrenheit"
	}) != ""
	for _, i := range []int{c.volts, c.soc, c.temp} {
		if i >= 0 {
			t.NoThousands(i)
		}
	}
	return c, ok
}

type reader struct {
	t *tabular.Table
	c columns
	o Options
	l *Log

	began          bool
	rows           int // with a moment
	firstS, last   float64
	percent, share int // readings of the state of charge above 1.5, above 1 up to 1.5
}

// value reads a figure of a column within bounds; NaN where none stands or it was reported.
func (r *reader) value(i int, low, high float64, unit string) float32 {
	none := float32(math.NaN())
	if i < 0 || tabular.Missing(r.t.Cell(i).Text) {
		return none
	}
	v, behind, ok := r.t.Number(i)
	if !ok {
		return none
	}
	scale, there := r.c.scale[i]
	if !there {
		scale = 1
	}
	switch b := strings.ToLower(behind); {
	case b == "", b == strings.ToLower(unit), b == "c" && unit == "°C", b == "f" && unit == "°F":
	case b == "kw" && unit == "W":
		scale = 1000
	default:
		r.t.Report(i, "", "found %q behind the figure, want %s", behind, unit)
		return none
	}
	if v *= scale; !(v >= low && v <= high) {
		r.t.Report(i, "", "found %g %s, want %g to %g", v, unit, low, high)
		return none
	}
	return float32(v)
}

// The bounds of what a bank of a home may show.
const mostW, mostA, mostV, leastC, mostC = 1e7, 1e5, 2000, -60, 120

// celsius is the temperature of a row.
func (r *reader) celsius() float32 {
	if !r.c.fahrenheit {
		return r.value(r.c.temp, leastC, mostC, "°C")
	}
	return (r.value(r.c.temp, leastC*1.8+32, mostC*1.8+32, "°F") - 32) / 1.8
}

func (r *reader) row() {
	t, c, l := r.t, &r.c, r.l
	s, ok := t.MomentIn(c.moments)
	if !ok {
		return
	}
	r.rows++
	if !r.began {
		r.began, r.firstS, r.last = true, s, s
		l.BeginS = s
	}
	if s < r.last {
		l.Back++
		c.moments.Clock.SetBack(r.last - s)
		s = r.last
	}
	r.last = s
	at := s - r.firstS
	x := Reading{AtS: at, LoadW: r.value(c.loadW, -mostW, mostW, "W"), BankW: r.value(c.bankW, -mostW, mostW, "W"),
		Amps: r.value(c.amps, -mostA, mostA, "A"), Volts: r.value(c.volts, 0, mostV, "V"),
		SoC: r.value(c.soc, 0, 110, "%"), TempC: r.celsius()}
	switch {
	case x.SoC > 1.5:
		r.percent++
	case x.SoC > 1:
		r.share++
	}
	if at < r.o.FromH*3600 || r.o.ToH > 0 && at > r.o.ToH*3600 {
		return
	}
	has := func(v float32) bool { return v == v }
	if !has(x.LoadW) && !has(x.BankW) && !has(x.Amps) {
		l.Missing++
	}
	l.HasLoadW = l.HasLoadW || has(x.LoadW)
	l.HasBankW = l.HasBankW || has(x.BankW)
	l.HasAmps = l.HasAmps || has(x.Amps)
	l.HasVolts = l.HasVolts || has(x.Volts)
	l.HasSoC = l.HasSoC || has(x.SoC)
	l.HasTemp = l.HasTemp || has(x.TempC)
	l.add(x)
}

// leastReadings: fewer tell nothing of how a bank behaves.
const leastReadings = 5

// end settles what only the whole log tells: percent or share, and the sign.
func (r *reader) end() {
	l, t := r.l, r.t
	n := l.Len()
	if t.Backwards(r.rows, l.Back) {
		return
	}
	if n < leastReadings {
		t.ReportAt(0, 0, "", "found %d readings between --from and --to, want at least %d", n, leastReadings)
		return
	}
	if l.HasSoC {
		switch {
		case r.percent > 0:
			for i := range n {
				l.At(i).SoC = min(1, l.At(i).SoC/100)
			}
		case r.share > 0:
			t.ReportAt(0, 0, "want 0 to 1, or percent from 0 to 100",
				"the state of charge is never above 1.5, but above 1: is it percent?")
			return
		}
	}
	steps := make([]float32, 0, n)
	for i := 1; i < n; i++ {
		if d := l.At(i).AtS - l.At(i-1).AtS; d > 0 {
			steps = append(steps, float32(d))
		}
	}
	if len(steps) == 0 {
		t.ReportAt(0, 0, "", "all readings are of one moment")
		return
	}
	slices.Sort(steps)
	l.StepS = max(0.001, math.Round(1000*float64(steps[len(steps)/2]))/1000)
	r.turn()
	begin := l.At(0).AtS
	l.BeginS += begin
	for i := range n {
		l.At(i).AtS -= begin
	}
}

// mixedShare: a sign is proved by the figures alone where so little of what was counted has the other one: noise of a
// shunt at rest.
const mixedShare = 0.02

// turn gives a discharge the sign above 0.
func (r *reader) turn() {
	l := r.l
	if !l.HasBankW && !l.HasAmps {
		return
	}
	of := func(x *Reading) float64 {
		switch {
		case x.BankW == x.BankW:
			return float64(x.BankW)
		case x.Amps == x.Amps:
			return float64(x.Amps)
		}
		return 0
	}
	var plus, minus float64
	var socWithPlus float64 // how the state of charge moves with the sign
	for i := 1; i < l.Len(); i++ {
		a, b := l.At(i-1), l.At(i)
		v, dt := of(a), b.AtS-a.AtS
		plus += max(0, v) * dt
		minus += max(0, -v) * dt
		if d := float64(b.SoC - a.SoC); d == d {
			switch {
			case v > 0:
				socWithPlus += d
			case v < 0:
				socWithPlus -= d
			}
		}
	}
	sign := r.o.Discharge
	if sign == SignFound {
		switch {
		case minus <= mixedShare*(plus+minus):
			sign = SignPositive
		case plus <= mixedShare*(plus+minus):
			sign = SignNegative
		case l.HasSoC && math.Abs(socWithPlus) > 0.05:
			if sign = SignPositive; socWithPlus > 0 {
				sign = SignNegative
			}
		default:
			r.t.ReportAt(0, 0, "say it: --discharge positive or --discharge negative",
				"amps or power of the bank have both signs, and which of them is discharge is not told")
			return
		}
	}
	if sign == SignNegative {
		l.Turned = true
		for i := range l.Len() {
			x := l.At(i)
			x.BankW, x.Amps = -x.BankW, -x.Amps
		}
	}
}
