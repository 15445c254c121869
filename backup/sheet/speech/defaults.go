package speech

import (
	"strconv"
	"strings"
)

// DefaultValue is a value that the site file left to the planner: a number with its unit, or a word.
func (v Voice) DefaultValue(value string) string {
	number, unit, _ := strings.Cut(value, " ")
	if _, err := strconv.ParseFloat(number, 64); err != nil {
		if ac, dc, ok := strings.Cut(value, ", bank and array "); ok {
			return v.Say("default.method", ac, dc)
		}
		if value == "none" {
			return v.Say("default.none")
		}
		return Clean(value) // a value of the key, as the site file would write it
	}
	switch unit {
	case "":
		return v.Local(number)
	case "per K":
		return v.Say("default.per-K", v.Local(number))
	case "per 100 m":
		return v.Say("default.per-100-m", v.Local(number))
	case "with motor":
		return v.Say("default.with-motor", v.Local(number))
	}
	return v.Local(number) + Hard + v.UnitName(unit)
}
