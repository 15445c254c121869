package loads

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// WattsPerHP converts motor horsepower: 1 hp = 746 W, the value that the NEC motor tables are built on. SEEN.
const WattsPerHP = 746.0

// A Method is a way to start a motor.
type Method string

// The starting methods; the empty Method is direct.
const (
	Direct    Method = "direct"     // across the line
	StarDelta Method = "star-delta" // windings in star first
	Soft      Method = "soft"       // electronic voltage ramp
	Drive     Method = "drive"      // variable-speed drive
)

// Methods returns the starting methods in the order of their constants.
func Methods() []Method { return []Method{Direct, StarDelta, Soft, Drive} }

// A Motor is what a nameplate tells about a motor's start. HP or KW is the rated shaft power (0: not
// given); exactly one of Code, LockedRotorA and Times is given. Code needs HP or KW.
type Motor struct {
	HP, KW       float64
	Code         string  // locked-rotor code letter
	LockedRotorA float64 // line current with the rotor locked
	Times        float64 // starting current in full-load currents
	Method       Method
}

// A codeLetter is one row of codeLetters.
type codeLetter struct {
	letter   string
	from, to float64 // kVA per hp
}

// codeLetters: NEC Table 430.7(B), locked-rotor kVA per horsepower. SEEN. The upper end of a band is the
// one that counts here; V has none.
var codeLetters = []codeLetter{
	{"A", 0, 3.14}, {"B", 3.15, 3.54}, {"C", 3.55, 3.99}, {"D", 4.0, 4.49}, {"E", 4.5, 4.99},
	{"F", 5.0, 5.59}, {"G", 5.6, 6.29}, {"H", 6.3, 7.09}, {"J", 7.1, 7.99}, {"K", 8.0, 8.99},
	{"L", 9.0, 9.99}, {"M", 10.0, 11.19}, {"N", 11.2, 12.49}, {"P", 12.5, 13.99}, {"R", 14.0, 15.99},
	{"S", 16.0, 17.99}, {"T", 18.0, 19.99}, {"U", 20.0, 22.39}, {"V", 22.4, math.Inf(1)},
}

// methodFactors: what a starting method makes of the start, as a share of the direct start or as a
// multiple of the full-load VA (0: the column does not apply).
var methodFactors = map[Method]struct {
	ofDirect   float64
	ofFullLoad float64
}{
	Direct:    {ofDirect: 1},
	StarDelta: {ofDirect: 1.0 / 3}, // line current 1/3 of direct: trade texts on star-delta starting, SEEN; (1/sqrt 3)^2
	// 150 to 450 % of full load: engineering knowledge-base page on starting methods, SEEN; upper end
	Soft:  {ofFullLoad: 4.5},
	Drive: {ofFullLoad: 1.5}, // 100 to 150 % of full load: same page, SEEN; upper end
}

// StartingVA returns the apparent power that the motor draws while it starts.
//
// runningVA is what it draws at full load, above 0; volts is line to neutral, above 0, and needed for a
// locked-rotor current only; phases is the number of phases that its circuit uses, 1 to 3: one phase is
// volts * A, split-phase twice that, three-phase 3 * volts * A. A start by star-delta, soft starter or
// drive is never above the direct one and never below runningVA.
//
// Source: NEC 430.7(B) for the code letter, at the upper end of its band (a letter tells no more, and the
// plan must hold for the worst motor that may carry it).
func (m Motor) StartingVA(runningVA, volts float64, phases int) (float64, error) {
	method := m.Method
	if method == "" {
		method = Direct
	}
	factors, known := methodFactors[method]
	if !known {
		return 0, errs.Errorf("motor method %q, want one of %q", m.Method, Methods())
	}
	if !(runningVA > 0) || math.IsInf(runningVA, 1) {
		return 0, errs.Errorf("motor runs at %g VA, want a finite number above 0", runningVA)
	}
	direct, err := m.directVA(runningVA, volts, phases)
	if err != nil {
		return 0, err
	}
	if math.IsInf(direct, 1) {
		return 0, errs.Errorf("motor: the start is too large to be told")
	}
	switch {
	case method == Direct:
		return direct, nil
	case factors.ofFullLoad > 0:
		return max(runningVA, min(direct, factors.ofFullLoad*runningVA)), nil
	default:
		return max(runningVA, factors.ofDirect*direct), nil
	}
}

// directVA is the start across the line.
func (m Motor) directVA(runningVA, volts float64, phases int) (float64, error) {
	for _, n := range []struct {
		key   string
		value float64
	}{{"hp", m.HP}, {"kw", m.KW}, {"locked_rotor_a", m.LockedRotorA}, {"times", m.Times}} {
		if !(n.value >= 0) || math.IsInf(n.value, 1) {
			return 0, errs.Errorf("motor %s %g, want a finite number above 0", n.key, n.value)
		}
	}
	given := 0
	for _, is := range []bool{m.Code != "", m.LockedRotorA > 0, m.Times > 0} {
		if is {
			given++
		}
	}
	switch {
	case given != 1:
		return 0, errs.Errorf("motor with %d of code, locked_rotor_a and times, want exactly one", given)
	case m.HP > 0 && m.KW > 0:
		return 0, errs.Errorf("motor with hp and kw, want one of them")
	case m.Times > 0:
		if m.Times < 1 {
			return 0, errs.Errorf("motor times %g, want at least 1", m.Times)
		}
		return m.Times * runningVA, nil
	case m.LockedRotorA > 0:
		if !(volts > 0) || math.IsInf(volts, 1) {
			return 0, errs.Errorf("motor on %g V, want a finite number above 0", volts)
		}
		if phases < 1 || phases > 3 {
			return 0, errs.Errorf("motor on %d phases, want 1, 2 or 3", phases)
		}
		return m.LockedRotorA * volts * float64(phases), nil
	}
	hp := m.ratedHP()
	if hp == 0 {
		return 0, errs.Errorf("motor with a code letter needs hp or kw")
	}
	kvaPerHP, err := codeKVAPerHP(m.Code)
	return kvaPerHP * 1000 * hp, err
}

// Factors are what a method leaves of a direct start, or how many times the running power it takes; 0: that rule is not
// the method's.
func (m Motor) Factors() (ofDirect, ofFullLoad float64) {
	f := methodFactors[m.Method]
	return f.ofDirect, f.ofFullLoad
}

// KVAPerHP is the upper end of the band of the motor's code letter; 0 without one.
func (m Motor) KVAPerHP() float64 {
	kva, err := codeKVAPerHP(m.Code)
	if err != nil {
		return 0
	}
	return kva
}

// A CodeError is a code letter from which no start follows.
type CodeError struct {
	Code string
	Why  string // and what is wanted
}

func (e *CodeError) Error() string { return fmt.Sprintf("motor code %q, %s", e.Code, e.Why) }

// codeKVAPerHP returns the upper end of a code letter's band.
func codeKVAPerHP(code string) (float64, error) {
	i := slices.IndexFunc(codeLetters, func(c codeLetter) bool { return c.letter == code })
	if i < 0 {
		var letters []string
		for _, c := range codeLetters {
			letters = append(letters, c.letter)
		}
		return 0, errs.Of(&CodeError{code, "want one of " + strings.Join(letters, " ")})
	}
	if math.IsInf(codeLetters[i].to, 1) {
		return 0,
			errs.Of(&CodeError{code,
				fmt.Sprintf("a band without an upper end (%g kVA/hp and more), want %s to %s, or locked_rotor_a in its place",
					codeLetters[i].from, codeLetters[0].letter, codeLetters[i-1].letter)})
	}
	return codeLetters[i].to, nil
}
