package trace

import (
	"math"

	"outlast/backup/draft"
	"outlast/backup/phrase"
)

// Of a whole day, readings cover so much, and miss so much at once at most: what is missing is taken to be as the rest of
// the readings, and hours of one time of day may be unlike them.
const (
	wholeDayShare = 0.95
	longestGapS   = hourS
)

// A day is 24 hours of the log, counted from its first reading; or several without any, one behind the other.
type day struct {
	span
	several int
	whole   bool
	ended   bool // the log does not end in it
}

// findDays parts the log into days, the last of which may be short.
func (l *Load) findDays() {
	at := l.trace.at
	n := len(at)
	end := at[n-1] + l.hold(n-1)
	for begin, i := at[0], 0; begin < end-1e-6; begin += dayS {
		if i < n && at[i]-begin >= 2*dayS { // no reading begins in them
			several := math.Floor((at[i] - begin) / dayS)
			l.days = append(l.days, day{span: span{i, i}, several: int(several), ended: true})
			begin += (several - 1) * dayS
			continue
		}
		d := day{span: span{i, i}, several: 1}
		covered, missing, last := 0.0, 0.0, begin // last is until when readings follow one another
		if i > 0 {                                // the one before may reach into the day
			last = max(last, at[i-1]+l.hold(i-1))
			covered = last - begin
		}
		next := begin + dayS
		for ; i < n && at[i] < next-1e-6; i++ {
			missing = max(missing, at[i]-last)
			last = at[i] + l.hold(i)
			covered += min(last, next) - at[i]
		}
		d.to = i
		missing = max(missing, next-last)
		d.ended = end >= next-longestGapS
		d.whole = covered >= wholeDayShare*dayS && missing <= longestGapS
		l.days = append(l.days, d)
	}
}

// wholeDays are those of which the readings tell the energy.
func (l *Load) wholeDays() (whole []span) {
	for _, d := range l.days {
		if d.whole {
			whole = append(whole, d.span)
		}
	}
	return whole
}

// mostDaysTold is how many days that are left out are named by their line.
const mostDaysTold = 5

// dayDoubts tells which days are left out of the energy of a day. The one in which the log ends is none of them.
func (l *Load) dayDoubts() {
	whole := len(l.wholeDays())
	if whole == 0 && len(l.days) == 1 {
		l.doubt(phrase.Of("the readings cover %s: a whole day tells more", duration(l.CoveredS)))
		return
	}
	share, gap := printed(draft.Num(math.Round(wholeDayShare*100))), duration(longestGapS)
	if whole == 0 {
		l.doubt(phrase.Of("the readings cover %s, but no whole day: one has readings for %s %% of it and misses no more than %s at once",
			duration(l.CoveredS), share, gap))
		return
	}
	var out []day
	days := 0
	for _, d := range l.days {
		if d.ended && !d.whole {
			out, days = append(out, d), days+d.several
		}
	}
	if len(out) == 0 {
		return
	}
	var lines []phrase.Phrase
	for i, d := range out {
		if i == mostDaysTold {
			lines = append(lines, phrase.Of("%d others", len(out)-i))
			break
		}
		lines = append(lines, phrase.Symbols("%d", l.trace.lineOf(d.from)))
	}
	l.doubt(phrase.Of("%s left out of the energy of a day, from line %s on: "+
		"a whole day has readings for %s %% of it and misses no more than %s at once",
		phrase.Count(days, "%d day", "%d days"), phrase.List(lines), share, gap))
	for _, d := range out {
		l.spot(d.from, d.to)
	}
}

// daily finds the energy and the hours of a day: from whole days where there are any, else from whole cycles.
func (l *Load) daily() {
	tr := l.trace
	all := span{0, len(tr.at)}
	whole, cycles := l.wholeDays(), l.cycles()
	switch {
	case len(whole) > 0:
		l.WhPerDay = l.perDay(whole...)
		l.Basis = phrase.Of("from %s whole days of readings", printed(draft.Num(float64(len(whole)))))
		if len(whole) == 1 {
			l.Basis = phrase.Of("from a whole day of readings")
		}
	case l.OnMin > 0 && len(cycles) > 0:
		l.WhPerDay = l.perDay(cycles...)
		l.Basis = phrase.Of("from %d whole cycles, as if it ran so all day", len(cycles))
	case l.OnMin > 0: // a gap in each cycle
		on, off := l.spells()
		onWs, onS := l.sum(on...)
		offWs, offS := l.sum(off...)
		m, n := float64(len(on)), float64(len(off))
		l.WhPerDay = (onWs/m + offWs/n) / (onS/m + offS/n) * (dayS / hourS)
		l.Basis = phrase.Of("from %d whole times on and %d off, as if they took turns so all day", len(on), len(off))
	case l.CoveredS >= 20*hourS || l.onW < 0:
		l.WhPerDay = l.perDay(all)
		l.Basis = phrase.Of("from %.3g h of readings, as if the day went on so", l.CoveredS/hourS)
	default:
		ws, _ := l.sum(all)
		l.WhPerDay = ws / hourS
		l.Basis = phrase.Of("what %.3g h of readings hold, once a day: put in the hours that it is really used",
			l.CoveredS/hourS)
	}
	if l.RunningW == 0 {
		return
	}
	if l.onW < 0 { // the mean, as it is never off
		l.RunningW, l.HoursPerDay = max(0.1, round(l.WhPerDay/24, 1)), 24
		return
	}
	l.RunningW = max(round(l.RunningW, 1), math.Ceil(l.WhPerDay/24*10)/10)
	l.HoursPerDay = min(24, round(l.WhPerDay/l.RunningW, 3))
}

// sum is the energy and the time of some spans; whole numbers are added exactly.
func (l *Load) sum(spans ...span) (ws, seconds float64) {
	for _, s := range spans {
		for i := s.from; i < s.to; i++ {
			ws += float64(l.trace.w[i]) * l.hold(i)
			seconds += l.hold(i)
		}
	}
	return ws, seconds
}

// perDay is the energy of a day that goes on as some spans, in Wh.
func (l *Load) perDay(spans ...span) float64 {
	ws, seconds := l.sum(spans...)
	return ws * (dayS / hourS) / max(seconds, 0.001)
}
