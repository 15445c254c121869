package site

import (
	"reflect"
	"slices"
	"sync"

	"outlast/backup/outage"
	"outlast/backup/phrase"
	"outlast/backup/solar"
)

// skies are the arrays of a home under their skies, before an inverter limits what they give. They are the same for all
// options of a home, and each draw of a month is worked out once for all of them.
type skies struct {
	Cautions []phrase.Phrase

	place  solar.Place
	airC   float64
	arrays []Array

	panels []panel
	inputs []int
	drawn  bool // some array has a table of months, whose days are drawn; files of hourly weather are what they are
	months [12]monthDraws
}

// panel is one array: under a table of months or under a file of hourly weather.
type panel struct {
	array solar.Array
	input int // in skies.inputs
	sky   *solar.Sky
	file  *solar.Weather
}

// monthDraws are the draws of one month that are known. They share receivers, for which the sun stands where it did in
// the draw before.
type monthDraws struct {
	mu        sync.Mutex
	receivers []*solar.Receiver
	known     map[uint64]received
	summed    []*summed
	hours     []solar.Hour // of one sky, for use again
}

// summed is all draws of a month under the limits of some inverter. It is shared, and nobody may change it.
type summed struct {
	limits []float64
	month  SunMonth

	mu    sync.Mutex
	hours []float64 // of the first draws, as many as anybody asked for
}

// received is what the arrays give in a draw of a month, by tracker input: Wh by hour.
type received [][]float64

// A firmament keeps what a home and its options have in common: their skies, and the outages under them.
type firmament struct {
	skies *knownSkies
	days  outage.KnownDays
}

func newFirmament() *firmament { return &firmament{skies: &knownSkies{}} }

// knownSkies are found by all that they are made of, so that a home that is changed shares them with what it was.
type knownSkies struct {
	mu   sync.Mutex
	list []*skies
}

// mostSkies is how many are kept: a file may have 32 options.
const mostSkies = 33

// UnderSkyOf lets a site and its options take what another one knows of its sky already. Where their arrays, their place
// or their climate differ, they share nothing. It is for a site that nobody uses yet.
func (s *Site) UnderSkyOf(other *Site) { s.under.skies = other.under.skies }

// KnownDays are shared by the options of a home.
func (s *Site) KnownDays() *outage.KnownDays {
	if s.under == nil {
		return &outage.KnownDays{}
	}
	return &s.under.days
}

// of is the skies of a site; without a firmament they are made anew.
func (f *firmament) of(s *Site) (*skies, error) {
	if f == nil {
		return newSkies(s)
	}
	known := f.skies
	known.mu.Lock()
	defer known.mu.Unlock()
	for _, k := range known.list {
		if k.place == s.Place() && k.airC == s.airC() && reflect.DeepEqual(k.arrays, s.Arrays) {
			return k, nil
		}
	}
	k, err := newSkies(s)
	if err != nil {
		return nil, err
	}
	if len(known.list) == mostSkies {
		known.list = slices.Delete(known.list, 0, 1)
	}
	known.list = append(known.list, k)
	return k, nil
}

func newSkies(s *Site) (*skies, error) {
	k := &skies{place: s.Place(), airC: s.airC(), arrays: slices.Clone(s.Arrays)}
	for i, a := range s.Arrays {
		p := panel{array: solar.Array{StringSet: a.StringSet(), Plane: a.Plane()}, file: a.Hours}
		switch m, ok := s.Monthly(a); {
		case p.file != nil:
		case !ok:
			return nil, ErrNoSun
		case i > 0 && k.panels[i-1].sky != nil && slices.Equal(a.MonthlyKWhM2Day, s.Arrays[i-1].MonthlyKWhM2Day):
			p.sky = k.panels[i-1].sky // most arrays of a home are under the same figures
		default:
			var err error
			if p.sky, err = m.Sky(); err != nil {
				return nil, err
			}
		}
		k.drawn = k.drawn || p.sky != nil
		for _, c := range p.cautions() {
			if !slices.ContainsFunc(k.Cautions, func(o phrase.Phrase) bool { return o.String() == c.String() }) {
				k.Cautions = append(k.Cautions, c)
			}
		}
		if p.input = slices.Index(k.inputs, a.Input); p.input < 0 {
			p.input = len(k.inputs)
			k.inputs = append(k.inputs, a.Input)
		}
		k.panels = append(k.panels, p)
	}
	return k, nil
}

func (p *panel) cautions() []phrase.Phrase {
	if p.file != nil {
		return p.file.Cautions
	}
	return p.sky.Cautions()
}

// month is the weather of one month, 1 to 12, in a draw; held may be used for it.
func (p *panel) month(month int, seed uint64, held *[]solar.Hour) ([]solar.Hour, error) {
	if p.file != nil {
		return p.file.Month(month), nil
	}
	hours, err := p.sky.AppendMonth((*held)[:0], month, solar.DrawnDays, seed)
	*held = hours
	return hours, err
}

// receivers makes the arrays ready to be drawn.
func (k *skies) receivers() (all []*solar.Receiver, err error) {
	all = make([]*solar.Receiver, len(k.panels))
	for i := range k.panels {
		if all[i], err = k.panels[i].array.Receiver(); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// weather hands the hours of a month, 1 to 12, in a draw to each array in turn; held may be used for them.
func (k *skies) weather(month int, seed uint64, held *[]solar.Hour, each func(i int, hours []solar.Hour) error) error {
	var hours []solar.Hour
	for i := range k.panels {
		p := &k.panels[i]
		var err error
		if i == 0 || p.sky == nil || p.sky != k.panels[i-1].sky { // the weather of a sky is the same for all of them
			if hours, err = p.month(month, seed, held); err != nil {
				return err
			}
		}
		if err := each(i, hours); err != nil {
			return err
		}
	}
	return nil
}

// draw is what the arrays give in one month, 1 to 12, of a draw.
func (k *skies) draw(month int, seed uint64) (received, error) {
	m := &k.months[month-1]
	m.mu.Lock()
	defer m.mu.Unlock()
	if got, known := m.known[seed]; known {
		return got, nil
	}
	if m.receivers == nil {
		var err error
		if m.receivers, err = k.receivers(); err != nil {
			return nil, err
		}
		m.known = map[uint64]received{}
	}
	got := make(received, len(k.inputs))
	if err := k.weather(month, seed, &m.hours, func(i int, hours []solar.Hour) error {
		of := &got[k.panels[i].input]
		if *of == nil {
			*of = make([]float64, len(hours))
		}
		return m.receivers[i].AddDC(hours, *of)
	}); err != nil {
		return nil, err
	}
	m.known[seed] = got
	return got, nil
}
