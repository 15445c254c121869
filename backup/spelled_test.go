package backup_test

import "testing"

// What people write for months and times is not taken, but told in the way in which it is.
func TestHintsForMonthsAndTimes(t *testing.T) {
	load := func(lines string) string {
		return siteTable + outageTable + inverterTable + bankTable + "[[circuit]]\nid = \"a\"\nboard = \"backup\"\n" +
			"[[load]]\nname = \"l\"\ncircuit = \"a\"\nrunning_w = 5\nhours_per_day = 1\n" + lines
	}
	outage := func(lines string) string {
		return siteTable + "[outage]\nautonomy_h = 24\n" + lines + "\n" + inverterTable + bankTable
	}
	tellSite(t, []siteFact{
		{"names of months", load(`months = ["Jan", "märz", "Dec.", "juillet"]`), []string{
			`18:11: months in [[load]]: found the text "Jan", want a whole number from 1 to 12 | write 1, without quotes`,
			`18:18: months in [[load]]: found the text "märz", want a whole number from 1 to 12 | write 3, without quotes`,
			`18:26: months in [[load]]: found the text "Dec.", want a whole number from 1 to 12 | write 12, without quotes`,
			`18:34: months in [[load]]: found the text "juillet", want a whole number from 1 to 12 | write 7, without quotes`}},
		{"the beginning of two months, and of none", load(`months = ["jui", "Ja"]`), []string{
			`18:11: months in [[load]]: found the text "jui", want a whole number from 1 to 12`,
			`18:18: months in [[load]]: found the text "Ja", want a whole number from 1 to 12`}},
		{"names without quotes", load(`months = [Feb, Mar]`), []string{
			`18:11: not valid TOML: found 'F', want a value | write 2`}},
		{"a span of months", load(`months = "Jan-Mar"`), []string{
			`18:1: months in [[load]]: found the text "Jan-Mar", want a list of whole numbers from 1 to 12 | ` +
				`put numbers into brackets: [1, 2]`}},
		{"the month of the outage", outage(`month = "July"`), []string{
			`6:1: month in [outage]: found the text "July", want a whole number from 1 to 12 | write 7, without quotes`}},
		{"times with a point, an h, halves of the day",
			load(`when = ["17.00-18.30", "7:00 - 8:15", "1900-2000", "9pm to 10 pm", "22h–23h30"]`), []string{
				`18:9: when in [[load]]: found "17.00-18.30", want times from "00:00" to "24:00" | write "17:00-18:30"`,
				`18:24: when in [[load]]: found "7:00 - 8:15", want times from "00:00" to "24:00" | write "07:00-08:15"`,
				`18:39: when in [[load]]: found "1900-2000", want a window such as "06:00-09:00" | write "19:00-20:00"`,
				`18:52: when in [[load]]: found "9pm to 10 pm", want a window such as "06:00-09:00" | write "21:00-22:00"`,
				`18:68: when in [[load]]: found "22h–23h30", want a window such as "06:00-09:00" | write "22:00-23:30"`}},
		{"no time at all", load(`when = ["noon-13:00", "17.75-18.00"]`), []string{
			`18:9: when in [[load]]: found "noon-13:00", want a window such as "06:00-09:00"`,
			`18:23: when in [[load]]: found "17.75-18.00", want times from "00:00" to "24:00"`}},
		{"a start with a point", outage(`start = "17.00"`), []string{
			`6:1: start in [outage]: found "17.00", want "worst" or a time of day from "00:00" to "23:59" | write "17:00"`}},
		{"a start in the afternoon", outage(`start = "5:30 pm"`), []string{
			`6:1: start in [outage]: found "5:30 pm", want "worst" or a time of day from "00:00" to "23:59" | write "17:30"`}},
		{"the end of the day is no start", outage(`start = "24:00"`), []string{
			`6:1: start in [outage]: found "24:00", want "worst" or a time of day from "00:00" to "23:59"`}},
		{"an altitude with a point between thousands", `[site]
name = "Fernhollow"
nominal_v = 230
altitude_m = 1.200
` + outageTable + inverterTable + bankTable, []string{
			`4:1: altitude_m in [site]: found 1.200, which may be meant for 1200 or for 1.2 | ` +
				`write 1200 for thousands, 1.2 for decimals`}},
	})
}
