package study

import (
	"outlast/backup/facts"
	"outlast/backup/site"
	"outlast/loads"
)

// A Move is what the autonomy gains or loses when one circuit changes boards.
type Move struct {
	Hours  float64 // above 0: gained by taking it off the backup board; below: lost by putting it on
	Capped bool    // the gain is at least that; the bank was not followed further
}

// A bank is followed for mostTimes its autonomy when a circuit is taken off, and for atLeastH in any case.
const (
	mostTimes = 10
	atLeastH  = 240.0
)

// followedH is how long a bank is followed that lasts so long as it is.
func followedH(nowH float64) float64 { return min(facts.LongestWalkH, max(atLeastH, mostTimes*nowH)) }

// Moves works out for every circuit, by id, what its change to the other board would do to the hours that the bank
// carries the backup board at the end of its life, from the moment of the day that is worst for the board as it is.
// Whether the inverter would carry it is another question.
func Moves(p *facts.Facts) (map[string]Move, error) {
	now, start, err := p.LeastAutonomy()
	if err != nil {
		return nil, err
	}
	out := map[string]Move{}
	if p.Bank.AutonomyCap {
		return out, nil
	}
	for _, c := range p.Site.Circuits {
		if err := p.Shared.Ctx.Err(); err != nil {
			return nil, err
		}
		var after []loads.Load
		if c.Board == loads.BoardBackup {
			for _, l := range p.Asked.InUse {
				if l.CircuitID != c.ID {
					after = append(after, l)
				}
			}
		} else {
			after = append(p.InOutage(), loads.InMonth(site.InUse(p.Site.OnCircuit(c.ID)), p.Month)...)
		}
		if len(after) == len(p.Asked.InUse) {
			out[c.ID] = Move{} // nothing on it is used
			continue
		}
		set := loads.NewSet(p.Site.Phases, after)
		m, err := p.ModelUnder(set.Scheduled().W, p.Site.Practice.EndOfLife)
		if err != nil {
			return nil, err
		}
		h, capped := p.Lasts(set.Profile(), m, start, followedH(now))
		out[c.ID] = Move{h - now, capped}
	}
	return out, nil
}
