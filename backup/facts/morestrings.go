package facts

import (
	"outlast/backup/phrase"
	"outlast/backup/verdict"
)

// byStrings are the checks of the bank that capacity does not decide. A bank that the planner sizes has the strings
// that its capacity needs and no more, so they may fail where more strings would do.
var byStrings = map[string]func(*Facts) verdict.Check{
	"dc-current":       (*Facts).checkDCCurrent,
	"dc-surge-current": (*Facts).checkDCSurge,
	"dc-cutoff":        (*Facts).checkCutoff,
	"surge-sag":        (*Facts).checkSag,
	"bank-charge-rate": (*Facts).checkChargeRate,
}

// sayStrings adds to the reason of each such check that fails with how many strings it would not.
func (p *Facts) sayStrings() error {
	for i, c := range p.Checks {
		again, ok := byStrings[c.ID]
		if !ok || c.Status != verdict.Fail || !p.StringsHelp([]verdict.Check{c}) {
			continue
		}
		most := min(MostStrings, max(p.Bank.Unit.MaxParallel, p.Bank.Strings+MoreStrings))
		for n := p.Bank.Strings + 1; n <= most; n++ {
			more, err := p.withStrings(n)
			if err != nil {
				return err
			}
			if again(more).Status != verdict.Fail {
				p.Checks[i].Reason = c.Reason.Then(phrase.Of("; %s would do",
					phrase.Count(n, "%d string", "%d strings")))
				break
			}
		}
	}
	return nil
}

// MoreStrings is how many strings are tried beyond what the capacity needs, where that is already more than are usual
// side by side.
const MoreStrings = 3

// MostStrings is what a site file may ask for.
const MostStrings = 1000

// StringsHelp says whether more strings may end all of these failures.
func (p *Facts) StringsHelp(failing []verdict.Check) bool {
	for _, c := range failing {
		if !verdict.Depends(c.ID, verdict.HelpedByStrings) {
			return false
		}
		switch c.ID {
		case "dc-current":
			if limit := p.Inverter.LimitDischargeA(); limit > 0 && c.Demand > limit*(1+verdict.Slack) {
				return false // the inverters themselves take too much
			}
		case "bank-charge-rate":
			if c.AtLeast {
				return false // the charger is too weak already
			}
		}
	}
	return true
}
