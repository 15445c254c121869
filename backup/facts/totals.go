package facts

import "outlast/backup/verdict"

// Carried are the labels of the circuits on the backup board.
func (p *Facts) Carried() []string {
	var out []string
	for _, c := range p.Circuits {
		if c.OnBackup {
			out = append(out, c.Label)
		}
	}
	return out
}

// Swapped are the labels of the circuits that another plan of the same circuits carries and this one does not, and the
// other way round.
func (p *Facts) Swapped(other *Facts) (more, fewer []string) {
	for i, c := range p.Circuits {
		switch o := other.Circuits[i]; {
		case o.OnBackup && !c.OnBackup:
			more = append(more, c.Label)
		case !o.OnBackup && c.OnBackup:
			fewer = append(fewer, c.Label)
		}
	}
	return more, fewer
}

// FirstFailing is the first check that fails, or nil.
func (p *Facts) FirstFailing() *verdict.Check {
	for i := range p.Checks {
		if p.Checks[i].Status == verdict.Fail {
			return &p.Checks[i]
		}
	}
	return nil
}

// Price is what inverters and bank cost together. ok is false when one of the prices is not given; the sum is then of
// no use.
func (p *Facts) Price() (price float64, ok bool) {
	if p.Site.Inverter.Price == nil || p.Bank.Unit.Price == nil {
		return 0, false
	}
	return *p.Site.Inverter.Price*float64(p.Site.InverterCount) + *p.Bank.Unit.Price*float64(p.Bank.Units()), true
}

// MassKg is what inverters and bank weigh together. ok is false when one of the weights is not given.
func (p *Facts) MassKg() (kg float64, ok bool) {
	one, bank := p.Site.Inverter.MassKg, p.Bank.MassKg()
	return one*float64(p.Site.InverterCount) + bank, one > 0 && bank > 0
}

// Verdict is the worst status of the checks.
func (p *Facts) Verdict() verdict.Status {
	v := verdict.Pass
	for _, c := range p.Checks {
		v = verdict.Worse(v, c.Status)
	}
	return v
}

// With gives the checks that have a status.
func (p *Facts) With(status verdict.Status) []verdict.Check {
	var out []verdict.Check
	for _, c := range p.Checks {
		if c.Status == status {
			out = append(out, c)
		}
	}
	return out
}
