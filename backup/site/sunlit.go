package site

import (
	"slices"

	"outlast/backup/calendar"
	"outlast/backup/phrase"
	"outlast/backup/solar"
)

// Sunlit is the site's arrays under their skies. What no draw of days changes is worked out once.
//
// Power is on the bank's side: each tracker input takes its max_w at most.
type Sunlit struct {
	Cautions []phrase.Phrase

	site   *Site
	panels []panel
	limits []float64 // what each of inputs takes, W
	inputs []int
	drawn  bool // some array has a table of months, whose days are drawn; files of hourly weather are what they are
}

// panel is one array: under a table of months or under a file of hourly weather.
type panel struct {
	array solar.Array
	input int // in Sunlit.inputs
	sky   *solar.Sky
	file  *solar.Weather
}

// sunDraws is how many draws of the days of sun a figure rests on, where they are drawn: as many as of the rhythms of loads.
const sunDraws = SpreadDraws

// Sunlit makes the arrays ready to be drawn. Without arrays it is nil; the error may be errNoSun.
func (s *Site) Sunlit() (*Sunlit, error) {
	if len(s.Arrays) == 0 {
		return nil, nil
	}
	sun := &Sunlit{site: s}
	for i, a := range s.Arrays {
		p := panel{array: solar.Array{StringSet: a.StringSet(), Plane: a.Plane()}, file: a.Hours}
		switch m, ok := s.Monthly(a); {
		case p.file != nil:
		case !ok:
			return nil, ErrNoSun
		case i > 0 && sun.panels[i-1].sky != nil && slices.Equal(a.MonthlyKWhM2Day, s.Arrays[i-1].MonthlyKWhM2Day):
			p.sky = sun.panels[i-1].sky // most arrays of a home are under the same figures
		default:
			var err error
			if p.sky, err = m.Sky(); err != nil {
				return nil, err
			}
		}
		sun.drawn = sun.drawn || p.sky != nil
		for _, c := range p.cautions() {
			if !slices.ContainsFunc(sun.Cautions, func(o phrase.Phrase) bool { return o.String() == c.String() }) {
				sun.Cautions = append(sun.Cautions, c)
			}
		}
		if p.input = slices.Index(sun.inputs, a.Input); p.input < 0 {
			p.input = len(sun.inputs)
			sun.inputs, sun.limits = append(sun.inputs, a.Input), append(sun.limits, s.inputLimitW(a.Input))
		}
		sun.panels = append(sun.panels, p)
	}
	return sun, nil
}

func (p *panel) cautions() []phrase.Phrase {
	if p.file != nil {
		return p.file.Cautions
	}
	return p.sky.Cautions()
}

// month is the weather of one month, 1 to 12, in a draw.
func (p *panel) month(month int, seed uint64) ([]solar.Hour, error) {
	if p.file != nil {
		return p.file.Month(month), nil
	}
	return p.sky.Month(month, solar.DrawnDays, seed)
}

// Draws is how many draws tell the spread of what the arrays give: one where nothing is drawn.
func (s *Sunlit) Draws() int {
	if s.drawn {
		return sunDraws
	}
	return 1
}

// Month is what the arrays give in one month, 1 to 12, of a draw, hour by hour, W.
func (s *Sunlit) Month(month int, seed uint64) ([]float64, error) {
	receivers, err := s.receivers()
	if err != nil {
		return nil, err
	}
	hours, _, err := s.receive(month, seed, receivers)
	return hours, err
}

// receivers are the arrays for several draws of one month.
func (s *Sunlit) receivers() ([]*solar.Receiver, error) {
	out := make([]*solar.Receiver, len(s.panels))
	for i := range s.panels {
		var err error
		if out[i], err = s.panels[i].array.Receiver(); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// receive also gives the receipt of each array, its month added up.
func (s *Sunlit) receive(month int, seed uint64, receivers []*solar.Receiver) (w []float64, sums []solar.Receipt, err error) {
	byInput := make([][]float64, len(s.inputs))
	sums = make([]solar.Receipt, len(s.panels))
	for i := range s.panels {
		p := &s.panels[i]
		hours, err := p.month(month, seed)
		if err != nil {
			return nil, nil, err
		}
		got, err := receivers[i].Receive(hours)
		if err != nil {
			return nil, nil, err
		}
		if byInput[p.input] == nil {
			byInput[p.input] = make([]float64, len(got))
		}
		for h, r := range got {
			byInput[p.input][h] += r.DCWh
			sums[i] = sums[i].Plus(r)
		}
	}
	w = make([]float64, 24*calendar.DaysIn[month-1])
	for input, hours := range byInput {
		for h, v := range hours {
			w[h] += min(v, s.limits[input])
		}
	}
	return w, sums, nil
}

// Year is the months of one draw, one after the other: 8,760 hourly means from 1 January, 00:00 standard time, W.
func (s *Sunlit) Year(seed uint64) ([]float64, error) {
	year := make([]float64, 0, solar.HoursPerYear)
	for month := 1; month <= 12; month++ {
		hours, err := s.Month(month, seed)
		if err != nil {
			return nil, err
		}
		year = append(year, hours...)
	}
	return year, nil
}

// A SunMonth is what the arrays give on the days of a month.
type SunMonth struct {
	MeanWh float64 // of a day; every draw has the same mean of the sun on the horizontal
	Days   Tenths  // Wh, of single days
	Draws  int     // of the month; 1 where a file of hourly weather says what its days are

	ByDraw [][]float64     // Wh by day, of each draw
	Sums   []solar.Receipt // of each array, all draws together
}

// Tenths are the values below which 10, 50 and 90 % of the cases lie.
type Tenths struct{ P10, P50, P90 float64 }

// SunMonth draws one month, 1 to 12.
func (s *Sunlit) SunMonth(month int) (m SunMonth, err error) {
	receivers, err := s.receivers()
	if err != nil {
		return m, err
	}
	m.Draws = s.Draws()
	m.Sums = make([]solar.Receipt, len(s.panels))
	var all []float64
	for seed := range uint64(m.Draws) {
		hours, sums, err := s.receive(month, FirstSunSeed+seed, receivers)
		if err != nil {
			return m, err
		}
		for i := range sums {
			m.Sums[i] = m.Sums[i].Plus(sums[i])
		}
		days := make([]float64, len(hours)/24)
		for h, w := range hours {
			days[h/24] += w
		}
		m.ByDraw = append(m.ByDraw, days)
		all = append(all, days...)
	}
	for _, wh := range all {
		m.MeanWh += wh / float64(len(all))
	}
	m.Days = TenthsOf(all)
	return m, nil
}

// FirstSunSeed is the seed of the first draw of a plan.
const FirstSunSeed = 1

// TenthsOf sorts values and tells their spread: each is the smallest of them such that no less than its share is no larger.
func TenthsOf(values []float64) Tenths {
	slices.Sort(values)
	at := func(tenth int) float64 { return values[(tenth*len(values)+9)/10-1] }
	return Tenths{at(1), at(5), at(9)}
}

// SpreadDraws is enough for the tenths of a distribution to be told apart, and little enough not to be waited for.
const SpreadDraws = 20
