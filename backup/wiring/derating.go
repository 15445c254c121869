package wiring

import (
	"fmt"

	"outlast/backup/phrase"
)

// DeratingRule is a published rule of how a generator set loses power with altitude and heat.
type DeratingRule string

// The rules that are carried. The zero value means AlternatorRule.
const (
	AlternatorRule DeratingRule = "alternator" // 3 % per 500 m above 1000 m, 3 % per 5 C above 40 C
	PortableRule   DeratingRule = "portable"   // 3.5 % per 300 m above 1500 m, 3 % per 5 C above 40 C
	EngineRule     DeratingRule = "engine"     // 3.5 % per 1000 ft above the sea, 1 % per 10 F above 77 F
	ThumbRule      DeratingRule = "thumb"      // 3 % per 1000 ft, above 6000 ft 6 %; says nothing of heat
)

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
	{PortableRule, []slope{{1500, 0.035 / 300}}, []slope{{40, 0.03 / 5}}, cite(phrase.Of("second maker's manual of portable sets"), published)},
	{EngineRule, []slope{{0, 0.035 / (1000 * metresPerFoot)}}, []slope{{25, 0.01 * 9 / 5 / 10}}, cite(phrase.Of("standby generator installation manual"), published)},
	{ThumbRule, []slope{{0, 0.03 / (1000 * metresPerFoot)}, {6000 * metresPerFoot, 0.03 / (1000 * metresPerFoot)}}, nil, cite(phrase.Of("dealer's note"), published)},
}

// A Derating is what altitude and heat leave of a rating; the two factors multiply, as the alternator sheet says. The engine rule does not
// say whether its factors add or multiply; they differ by half a percent.
type Derating struct {
	Altitude, Heat, Factor float64 // 0 to 1 each
	Working                []Step
}

// GeneratorDerating applies a published rule at altitudeM (-500 to 9,000 m) and ambientC (-60 to 80 C). It goes on in a straight line beyond the
// published tables (which end at 4,000 m and 60 C), down to 0. Cold and low places add nothing.
func GeneratorDerating(rule DeratingRule, altitudeM, ambientC float64) (Derating, error) {
	if rule == "" {
		rule = AlternatorRule
	}
	if err := firstError(within(phrase.Of("altitude"), altitudeM, -500, 9000, "m"), within(phrase.Of("ambient temperature"), ambientC, -60, 80, "C")); err != nil {
		return Derating{}, err
	}
	for _, r := range deratings {
		if r.rule != rule {
			continue
		}
		d := Derating{Altitude: left(r.altitude, altitudeM), Heat: left(r.heat, ambientC)}
		d.Factor = d.Altitude * d.Heat
		d.Working = []Step{
			{phrase.Of("Generator, altitude"), phrase.Of("rule: %s", string(rule)), phrase.Symbols("%s m", fig(altitudeM)), d.Altitude, "", r.source},
			{phrase.Of("Generator, heat"), phrase.Of("rule: %s", string(rule)), phrase.Of("%s C", fig(ambientC)), d.Heat, "", r.source},
		}
		return d, nil
	}
	return Derating{}, fmt.Errorf("wiring: derating rule %q, want one of %q", string(rule),
		[]DeratingRule{AlternatorRule, PortableRule, EngineRule, ThumbRule})
}

func left(slopes []slope, v float64) float64 {
	loss := 0.0
	for _, s := range slopes {
		loss += s.lossPer * max(0, v-s.from)
	}
	return max(0, 1-loss)
}
