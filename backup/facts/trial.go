package facts

import (
	"slices"

	"outlast/backup/site"
	"outlast/backup/verdict"
)

// Full does all checks of a site that can fail, as far as the effort goes.
func (sh *Shared) Full(s *site.Site, e Effort) (*Facts, error) {
	a, err := sh.Ask(s, e)
	if err != nil {
		return nil, err
	}
	return sh.Serve(s, a, e)
}

// Fails says whether a check of a site fails: what [Shared.Full] finds, but what costs least is asked first and the
// rest only where that passes.
func (sh *Shared) Fails(s *site.Site, e Effort) (bool, error) {
	return sh.Breaks(s, nil, e, func(c *verdict.Check) bool { return c.Status == verdict.Fail })
}

// Breaks says whether some check of a site breaks in the sense of its caller: one of those that [Shared.Serve] makes,
// but what costs least is asked first and the rest only where that does not break. The capacity of the bank needs no
// more than the energy of the loads; the inverters, what runs at once. a is what the circuits ask for; nil: it is
// worked out, as far as it matters.
func (sh *Shared) Breaks(s *site.Site, a *Asked, e Effort, breaks func(*verdict.Check) bool) (bool, error) {
	known := a != nil
	if !known {
		a = asking(s)
	}
	p, err := sh.serving(s, a, e)
	if err != nil {
		return false, err
	}
	if err := p.sizeBank(); err != nil {
		return false, err
	}
	if c := p.checkCapacity(); breaks(&c) {
		return true, nil
	}
	if !known {
		if err := a.finish(s, e); err != nil {
			return false, err
		}
	}
	p.Demand = a.demand
	p.meetInverter()
	some := func(checks []verdict.Check) bool {
		for i := range checks {
			if breaks(&checks[i]) {
				return true
			}
		}
		return false
	}
	if some(failAlone(p.carriesChecks(), p.checkTransfer())) {
		return true, nil
	}
	p.effort.Enough = func(p *Facts) bool { return some(p.Checks) }
	if err := p.finish(p.inverterChecks); err != nil {
		return false, err
	}
	return some(p.Checks), nil
}

// FailsAlone are the checks that fail whatever the bank: those of the inverters by themselves.
func (sh *Shared) FailsAlone(s *site.Site, a *Asked) ([]verdict.Check, error) {
	p, err := sh.serving(s, a, Effort{})
	if err != nil {
		return nil, err
	}
	p.meetInverter()
	return failAlone(p.carriesChecks(), p.checkTransfer()), nil
}

// failAlone are those that fail of the checks that need no bank.
func failAlone(carries []verdict.Check, transfer verdict.Check) (failing []verdict.Check) {
	for _, c := range slices.Concat(carries, []verdict.Check{transfer}) {
		if c.Status == verdict.Fail {
			failing = append(failing, c)
		}
	}
	return failing
}

// withStrings begins to serve the same circuits from a bank of n strings: cut-off and lowest charge are those of that
// bank, but it is not followed and nothing is checked. What meets the inverters knows nothing of strings, and is taken
// over.
func (p *Facts) withStrings(n int) (*Facts, error) {
	s := *p.Site
	s.Strings = n
	more, err := p.Shared.serving(&s, p.Asked, Effort{})
	if err != nil {
		return nil, err
	}
	more.Starts, more.Grid = p.Starts, p.Grid
	if err := more.sizeBank(); err != nil {
		return nil, err
	}
	more.setCutoff()
	return more, nil
}
