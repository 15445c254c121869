package facts

import (
	"fmt"

	"outlast/backup/fault"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/solar"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/catalog"
)

// windowWords says what a comparison of the string window is about: while it holds, and when it does not.
func windowWords(id string, demand, limit phrase.Amount) (good, bad phrase.Phrase) {
	switch id {
	case "string-voc-cold":
		return phrase.Of("on the coldest morning the open-circuit voltage of the string is %s, and the input is rated for %s",
				demand, limit),
			phrase.Of("on the coldest morning the open-circuit voltage of the string is %s, but the input is rated for only %s",
				demand, limit)
	case "string-vmp-cold":
		return phrase.Of("MPP voltage of the string in the cold: %s; the tracking range ends at %s", demand, limit),
			phrase.Of("MPP voltage of the string in the cold: %s, above the tracking range, which ends at %s; some yield is lost",
				demand, limit)
	case "string-vmp-hot":
		return phrase.Of("MPP voltage of the string in the heat: %s; the tracking range begins at %s", demand, limit),
			phrase.Of("in the heat the MPP voltage of the string is only %s, below the tracking range, which begins at %s",
				demand, limit)
	case "string-start":
		return phrase.Of("the string reaches %s; start-up voltage of the input %s", demand, limit),
			phrase.Of("in the heat the string reaches only %s, below the start-up voltage of the input of %s", demand,
				limit)
	case "string-current":
		return phrase.Of("current of the strings at maximum power: %s; the input is rated for %s", demand, limit),
			phrase.Of("current of the strings at maximum power: %s, but the input is rated for only %s; some yield is lost",
				demand, limit)
	case "string-short-circuit":
		return phrase.Of("1.25 times the short-circuit current is %s; the input is rated for %s", demand, limit),
			phrase.Of("1.25 times the short-circuit current is %s, but the input is rated for only %s: connect fewer strings",
				demand, limit)
	case "string-power":
		return phrase.Of("the array is rated %s; the input is rated for %s", demand, limit),
			phrase.Of("the array is rated %s, above the rating of the input of %s: some yield is lost", demand, limit)
	default: // string-parallel
		return phrase.Of("the strings on one input differ by %s in voltage; up to %s does no harm", demand, limit),
			phrase.Of("the strings on one input differ by %s in voltage, more than %s: give each an input of its own",
				demand, limit)
	}
}

// checkStrings checks everything that is connected to each tracker input. An input whose limits are not known gives
// cautions that name the keys; one that the inverter does not have fails.
func (p *Facts) checkStrings() ([]verdict.Check, error) {
	byInput := map[int][]solar.StringSet{}
	most := 0
	for _, a := range p.Site.Arrays {
		byInput[a.Input] = append(byInput[a.Input], a.StringSet())
		most = max(most, a.Input)
	}
	if most > 0 && len(p.Site.Inverter.Inputs) == 0 {
		return []verdict.Check{verdict.Unknown("string-input", float64(most), "",
			phrase.Of("the data of the inverter name no solar input: give input of the inverter to compare the "+
				"strings, or lead the array through a charge controller of its own"))}, nil
	}
	climate := p.Site.StringClimate()
	var out []verdict.Check
	for input := 1; input <= most; input++ {
		sets := byInput[input]
		if len(sets) == 0 {
			continue
		}
		var limits catalog.TrackerInput
		if inputs := p.Site.Inverter.Inputs; input <= len(inputs) {
			limits = inputs[input-1]
		} else if len(inputs) > 0 {
			c := verdict.AtMost(stringID("string-input", input, most), float64(input), float64(len(inputs)), "")
			c.Reason = phrase.Of("the array goes to input %d, but the inverter has only %d", input, len(inputs))
			out = append(out, c)
			continue
		}
		results, err := solar.StringWindow(solar.Input(limits), climate, sets...)
		if err != nil {
			return nil, fmt.Errorf("the array on input %d: %w", input, fault.Reason(err))
		}
		for _, r := range results {
			out = append(out, p.windowCheck(r, stringID(r.ID, input, most), climate))
		}
	}
	return out, nil
}

// stringID tells inputs apart where there are several.
func stringID(id string, input, inputs int) string {
	if inputs == 1 {
		return id
	}
	return fmt.Sprintf("%s-%d", id, input)
}

func (p *Facts) windowCheck(r solar.WindowCheck, id string, climate solar.Climate) verdict.Check {
	if r.Missing != "" {
		return verdict.Unknown(id, r.Demand, r.Unit,
			phrase.Of("the strings reach %s; give %s of the inverter's input to compare",
				wording.Amount(r.Demand, r.Unit), r.Missing))
	}
	c := verdict.AtMost(id, r.Demand, r.Limit, r.Unit)
	if r.AtLeast {
		c = verdict.AtLeast(id, r.Demand, r.Limit, r.Unit)
	}
	if r.Clips {
		c = c.AtWorst(verdict.Caution) // beyond the limit energy is lost, nothing breaks
	}
	c = c.Because(windowWords(r.ID, wording.Amount(r.Demand, r.Unit), wording.Amount(r.Limit, r.Unit)))
	switch r.ID {
	case "string-voc-cold", "string-vmp-cold":
		c.Reason = c.Reason.Then(p.coldAir(climate.ColdestC))
	case "string-vmp-hot", "string-start":
		c.Reason = c.Reason.Then(phrase.Of(" (air of %s)", wording.Amount(climate.HottestC, "C")))
	}
	if !r.OK {
		c.Reason = c.Reason.Then(suitingModules(r))
	}
	if _, _, known := p.Site.ColdAir(); r.ID == "string-voc-cold" && !known {
		// A string that is too long destroys the input on one morning: what is assumed may prove that it is, never that it
		// is not.
		more := phrase.Of("; give coldest_air_c, the coldest that it ever gets outdoors there")
		if !r.OK {
			more = phrase.Of(", or give coldest_air_c if it never gets so cold outdoors there")
		}
		c = c.WithCaution(more)
	}
	return c
}

// coldAir says at which cold the strings are counted, and where it is known from unless the site file tells it.
func (p *Facts) coldAir(c float64) phrase.Phrase {
	air := wording.Amount(c, "C")
	switch _, from, _ := p.Site.ColdAir(); {
	case from == site.AirAssumed:
		return phrase.Of(" (air of %s, assumed by latitude and height)", air)
	case from == site.AirOfWeather && p.Site.ColdestAirC == nil:
		return phrase.Of(" (air of %s, %g K below the coldest hour of the weather file)", air,
			float64(site.WeatherAllowanceK))
	}
	return phrase.Of(" (%s)", air)
}

// suitingModules says how many modules in the string the input would take: one less or more may not be enough.
func suitingModules(r solar.WindowCheck) phrase.Phrase {
	switch r.ID {
	case "string-voc-cold", "string-vmp-cold", "string-vmp-hot", "string-start":
	default:
		return phrase.Phrase{}
	}
	modules := phrase.Count(r.Modules, "%d module", "%d modules")
	switch {
	case r.Modules == 0:
		return phrase.Of("; no number of these modules would suit it")
	case r.AtLeast:
		return phrase.Of("; at least %s in the string would suit it", modules)
	}
	return phrase.Of("; at most %s in the string would suit it", modules)
}
