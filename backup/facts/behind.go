package facts

import (
	"outlast/backup/conductors"
	"outlast/backup/site"
	"outlast/backup/verdict"
)

// Behind is what all banks behind the same inverters have in common, for the trials of many of them side by side
// ([Effort].Behind): what starting does, and every check that no bank changes.
type Behind struct {
	starts  Starts
	hardest []Start
	checks  inverterChecks
	wires   conductors.Behind
}

// inverterChecks are the checks that no bank changes, as they stand among the others.
type inverterChecks struct {
	carries  []verdict.Check // what the inverters carry, start and pass through
	balance  verdict.Check
	transfer verdict.Check
	board    []verdict.Check // ways and circuit breakers
	strings  []verdict.Check // of the arrays
	err      error           // why those are not known
	slips    []slip          // of held-off loads: a bank changes what their checks say
}

// MeetInverters is [Shared.FailsAlone] with what banks behind these inverters have in common, for their trials.
func (sh *Shared) MeetInverters(s *site.Site, a *Asked) ([]verdict.Check, *Behind, error) {
	p, err := sh.serving(s, a, Effort{})
	if err != nil {
		return nil, nil, err
	}
	p.meetInverter()
	checks := p.inverterChecks()
	return failAlone(checks.carries, checks.transfer), &Behind{starts: p.Starts, hardest: p.hardestFirst(), checks: checks}, nil
}

// inverterChecks makes the checks that no bank changes, or takes them over. It reads nothing of a bank: that is sized and
// followed beside it.
func (p *Facts) inverterChecks() (c inverterChecks) {
	if known := p.effort.Behind; known != nil {
		return known.checks
	}
	c.carries = p.carriesChecks()
	c.balance, c.transfer = p.checkPhaseBalance(), p.checkTransfer()
	c.board = []verdict.Check{p.checkWays(), conductors.CheckBreakers(p.Site, &p.Shared.Currents)}
	c.strings, c.err = p.checkStrings()
	if p.effort.full {
		c.slips = p.slips()
	}
	return c
}

// carriesChecks are of what the inverters carry, start and pass through.
func (p *Facts) carriesChecks() []verdict.Check {
	d := p.Demand.Scheduled
	return []verdict.Check{
		p.checkContinuous("inverter-continuous", "VA", d.VA, d.PhaseVA, p.Inverter.LimitVA(), d.VAAtMin),
		p.checkContinuous("inverter-continuous-w", "W", d.W, d.PhaseW, p.Inverter.LimitW(), d.AtMin),
		p.checkSurge(), p.checkRestart(), p.checkPassThrough(),
	}
}

// unsaid says whether the words of a check are left out: those of one that does not fail, in a trial of which nobody
// reads more.
func (p *Facts) unsaid(c verdict.Check) bool { return p.effort.Curt && c.Status != verdict.Fail }
