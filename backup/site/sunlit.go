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
	*skies
	limits   []float64       // what each of inputs takes, W
	Cautions []phrase.Phrase // those of the skies too
}

// sunDraws is how many draws of the days of sun a figure rests on, where they are drawn: as many as of the rhythms of
// loads.
const sunDraws = SpreadDraws

// Sunlit makes the arrays ready to be drawn. Without arrays it is nil; the error may be errNoSun.
func (s *Site) Sunlit() (*Sunlit, error) {
	if len(s.Arrays) == 0 {
		return nil, nil
	}
	k, err := s.under.of(s)
	if err != nil {
		return nil, err
	}
	sun := &Sunlit{skies: k, Cautions: k.Cautions}
	if len(s.Inverter.Inputs) == 0 {
		sun.Cautions = append(slices.Clip(k.Cautions), phrase.Of("The data of the inverter name no solar input: the array is "+
			"counted as if it were connected."))
	}
	for _, input := range k.inputs {
		sun.limits = append(sun.limits, s.inputLimitW(input))
	}
	return sun, nil
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
	got, err := s.draw(month, seed)
	if err != nil {
		return nil, err
	}
	hours := make([]float64, 0, 24*calendar.DaysIn[month-1])
	return s.appendLimited(hours, got, month), nil
}

// appendLimited appends what the inverter takes of a draw of a month, hour by hour, W.
func (s *Sunlit) appendLimited(hours []float64, got received, month int) []float64 {
	for h := range 24 * calendar.DaysIn[month-1] {
		hours = append(hours, s.taken(got, h))
	}
	return hours
}

// taken is what the inverter takes in one hour of a draw, W.
func (s *Sunlit) taken(got received, h int) (w float64) {
	for input, limit := range s.limits {
		w += min(got[input][h], limit)
	}
	return w
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

	ByDraw [][]float64 // Wh by day, of each draw
}

// Tenths are the values below which 10, 50 and 90 % of the cases lie.
type Tenths struct{ P10, P50, P90 float64 }

// SunMonth draws one month, 1 to 12. Options whose inputs take as much share it: what it holds is only read.
func (s *Sunlit) SunMonth(month int) (SunMonth, error) {
	k, err := s.summed(month)
	if err != nil {
		return SunMonth{}, err
	}
	return k.month, nil
}

// FirstDraws is what the arrays give in one month, 1 to 12, of so many of the draws that a plan rests on, one after the
// other: hour by hour, W. It is shared as [Sunlit.SunMonth] is.
func (s *Sunlit) FirstDraws(month, draws int) ([]float64, error) {
	k, err := s.summed(month)
	if err != nil {
		return nil, err
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	hours := 24 * calendar.DaysIn[month-1]
	k.hours = slices.Grow(k.hours, max(0, hours*draws-len(k.hours)))
	for len(k.hours) < hours*draws {
		got, err := s.draw(month, FirstSunSeed+uint64(len(k.hours)/hours))
		if err != nil {
			return nil, err
		}
		k.hours = s.appendLimited(k.hours, got, month)
	}
	return k.hours[: hours*draws : hours*draws], nil
}

// summed is what is known of one month under these limits.
func (s *Sunlit) summed(month int) (*summed, error) {
	of := &s.months[month-1]
	find := func() *summed {
		of.mu.Lock()
		defer of.mu.Unlock()
		if i := slices.IndexFunc(of.summed, func(k *summed) bool { return slices.Equal(k.limits, s.limits) }); i >= 0 {
			return of.summed[i]
		}
		return nil
	}
	if k := find(); k != nil {
		return k, nil
	}
	m, err := s.sum(month)
	if err != nil {
		return nil, err
	}
	of.mu.Lock()
	defer of.mu.Unlock()
	k := &summed{limits: s.limits, month: m}
	of.summed = append(of.summed, k)
	return k, nil
}

// sum draws one month.
func (s *Sunlit) sum(month int) (m SunMonth, err error) {
	m.Draws = s.Draws()
	n := calendar.DaysIn[month-1]
	all := make([]float64, 0, m.Draws*n)
	for seed := range uint64(m.Draws) {
		got, err := s.draw(month, FirstSunSeed+seed)
		if err != nil {
			return m, err
		}
		days := make([]float64, n)
		for h := range 24 * n {
			days[h/24] += s.taken(got, h)
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

// Receipts follows the sun of one month, 1 to 12, from the sky to the terminals of each array, all draws added up.
// Only the working asks for it: what is counted with needs no more than the end of that way.
func (s *Sunlit) Receipts(month int) ([]solar.Receipt, error) {
	receivers, err := s.receivers()
	if err != nil {
		return nil, err
	}
	var held []solar.Hour
	var receipts []solar.Receipt
	sums := make([]solar.Receipt, len(s.panels))
	for draw := range uint64(s.Draws()) {
		if err := s.weather(month, FirstSunSeed+draw, &held, func(i int, hours []solar.Hour) (err error) {
			if receipts, err = receivers[i].Receive(hours, receipts[:0]); err != nil {
				return err
			}
			var sum solar.Receipt
			for _, r := range receipts {
				sum = sum.Plus(r)
			}
			sums[i] = sums[i].Plus(sum)
			return nil
		}); err != nil {
			return nil, err
		}
	}
	return sums, nil
}

// FirstSunSeed is the seed of the first draw of a plan.
const FirstSunSeed = 1

// TenthsOf sorts values and tells their spread: each is the smallest of them such that no less than its share is no
// larger.
func TenthsOf(values []float64) Tenths {
	slices.Sort(values)
	at := func(tenth int) float64 { return values[(tenth*len(values)+9)/10-1] }
	return Tenths{at(1), at(5), at(9)}
}

// SpreadDraws is enough for the tenths of a distribution to be told apart, and little enough not to be waited for.
const SpreadDraws = 20
