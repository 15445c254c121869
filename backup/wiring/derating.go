package wiring

import (
	"outlast/backup/phrase"
)

// DeratingRule is a published rule of how a generator set loses power with altitude and heat.
type DeratingRule string

// The rules that are carried.
const (
	AlternatorRule DeratingRule = "alternator" // 3 % per 500 m above 1000 m, 3 % per 5 C above 40 C
	PortableRule   DeratingRule = "portable"   // 3.5 % per 300 m above 1500 m, 3 % per 5 C above 40 C
	EngineRule     DeratingRule = "engine"     // petrol and gas: 3.5 % per 1000 ft above the sea, 1 % per 10 F above 77 F
	DieselRule     DeratingRule = "diesel"     // without turbocharger: 1 % per 100 m above 300 m, 1 % per 10 F above 77 F
	TurboRule      DeratingRule = "turbo"      // turbocharged: 4 % per 300 m above 1500 m, 9 % above 3000 m, 2 % per 1 C above 40 C
	ThumbRule      DeratingRule = "thumb"      // 3 % per 1000 ft, above 6000 ft 6 %; says nothing of heat
)

// AllDeratingRules lists the rules in a fixed order.
func AllDeratingRules() []DeratingRule {
	return []DeratingRule{AlternatorRule, PortableRule, EngineRule, DieselRule, TurboRule, ThumbRule}
}

// DeratingRulesOf gives the rules that hold for a kind of engine, its own and the alternator's: of a set the weaker of
// the two decides. fuel is "petrol", "gas" or "diesel"; an engine of unknown fuel is taken as petrol, which loses most.
// Only a diesel can be turbocharged here.
//
// An engine without a blower draws air as thin as it is, 3.4 % less for each 300 m from the sea on: a rule that begins
// at 1000 m or more would leave it up to 17 % too much.
func DeratingRulesOf(fuel string, turbo bool) []DeratingRule {
	switch {
	case fuel == diesel && turbo:
		return []DeratingRule{TurboRule, AlternatorRule}
	case fuel == diesel:
		return []DeratingRule{DieselRule, AlternatorRule}
	}
	return []DeratingRule{EngineRule, AlternatorRule}
}

const metresPerFoot = 0.3048

// A slope takes lossPer of the rating for each unit above from.
type slope struct{ from, lossPer float64 }

// deratings: the rules in altitude (m) and heat (C). Slopes add; the second of ThumbRule adds to the first.
var deratings = []struct {
	rule     DeratingRule
	altitude []slope
	heat     []slope
	source   phrase.Phrase
}{
	{AlternatorRule, []slope{{1000, 0.03 / 500}}, []slope{{40, 0.03 / 5}},
		cite(phrase.Of("operator's manuals of a portable-set maker and an alternator training sheet"), published)},
	{PortableRule, []slope{{1500, 0.035 / 300}}, []slope{{40, 0.03 / 5}},
		cite(phrase.Of("second maker's manual of portable sets"), published)},
	{EngineRule, []slope{{0, 0.035 / (1000 * metresPerFoot)}}, []slope{{25, 0.01 * 9 / 5 / 10}},
		cite(phrase.Of("standby generator installation manual"), published)},
	{DieselRule, []slope{{300, 0.01 / 100}}, []slope{{25, 0.01 * 9 / 5 / 10}},
		phrase.Of("%s; heat: %s", cite(phrase.Of("US mine safety office, minutes on the approval of engines"),
			published), cite(phrase.Of("standby generator installation manual"), published))},
	// A maker of sets, for the engine of another, has 4 % per 300 m above 1525 m and 2 % per 11 C above 40 C; the table
	// of a maker of compressors for a turbocharged set of 500 kVA loses more above 3000 m and in heat. The lower of
	// both is taken.
	{TurboRule, []slope{{1500, 0.04 / 300}, {3000, 0.05 / 300}}, []slope{{40, 0.02}},
		phrase.Of("the lower of two: %s",
			cite(phrase.Of("a set maker's altitude sheet, a compressor maker's table after ISO 3046-1"), published))},
	{ThumbRule, []slope{{0, 0.03 / (1000 * metresPerFoot)}, {6000 * metresPerFoot, 0.03 / (1000 * metresPerFoot)}}, nil,
		cite(phrase.Of("dealer's note"), published)},
}

// A Derating is what altitude and heat leave of a rating; the two factors multiply, as the alternator sheet says. The
// engine rule does not say whether its factors add or multiply; they differ by half a percent.
type Derating struct {
	Rule                   DeratingRule // that leaves least
	Altitude, Heat, Factor float64      // 0 to 1 each
	Working                []Step
}

// GeneratorDerating applies published rules at altitudeM (-500 to 9,000 m) and ambientC (-60 to 80 C); of several, that
// which leaves least. A rule goes on in a straight line beyond its published table (they end at 4,000 m and 60 C), down
// to 0. Cold and low places add nothing.
func GeneratorDerating(altitudeM, ambientC float64, rules ...DeratingRule) (Derating, error) {
	if err := firstError(within(phrase.Of("altitude"), altitudeM, -500, 9000, "m"),
		within(phrase.Of("ambient temperature"), ambientC, -60, 80, "C")); err != nil {
		return Derating{}, err
	}
	if len(rules) == 0 {
		return Derating{}, errs.Errorf("no derating rule, want one of %q", AllDeratingRules())
	}
	var least Derating
	var steps []Step
	for i, rule := range rules {
		d, err := rule.at(altitudeM, ambientC)
		if err != nil {
			return Derating{}, err
		}
		steps = append(steps, d.Working...)
		if i == 0 || d.Factor < least.Factor {
			least = d
		}
	}
	least.Working = steps
	return least, nil
}

func (rule DeratingRule) at(altitudeM, ambientC float64) (Derating, error) {
	for _, r := range deratings {
		if r.rule != rule {
			continue
		}
		d := Derating{Rule: rule, Altitude: left(r.altitude, altitudeM), Heat: left(r.heat, ambientC)}
		d.Factor = d.Altitude * d.Heat
		d.Working = []Step{
			{Title: phrase.Of("Generator, altitude"), Formula: phrase.Of("rule: %s", string(rule)),
				Numbers: phrase.Symbols("%s", phrase.Amount{Value: altitudeM, Unit: "m"}), Value: d.Altitude, Unit: "",
				Source: r.source},
			{Title: phrase.Of("Generator, heat"), Formula: phrase.Of("rule: %s", string(rule)),
				Numbers: phrase.Symbols("%s", phrase.Amount{Value: ambientC, Unit: "C"}), Value: d.Heat, Unit: "",
				Source: r.source},
		}
		return d, nil
	}
	return Derating{}, errs.Errorf("derating rule %q, want one of %q", string(rule), AllDeratingRules())
}

func left(slopes []slope, v float64) float64 {
	loss := 0.0
	for _, s := range slopes {
		loss += s.lossPer * max(0, v-s.from)
	}
	return max(0, 1-loss)
}
