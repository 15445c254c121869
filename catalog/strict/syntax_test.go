package strict

import "testing"

// A slip of grammar is one message, whatever else is wrong before or after it.
func TestSyntax(t *testing.T) {
	site := func(lines string) string { return "[site]\nzebra = 1\n" + lines + "\nother = 2" }
	tell(t, []fact{
		{"a text without quotes", site(`name = Fernhollow`), []string{
			`3:8: not valid TOML: found 'F', want a value | texts stand in quotes; true and false are written so`}},
		{"a switch in capitals", site(`held_off = True`), []string{
			`3:12: not valid TOML: found 'T', want a value | write true`}},
		{"a word that begins like a switch", site(`name = fern`), []string{
			`3:8: not valid TOML: found 'f', want a value | texts stand in quotes; true and false are written so`}},
		{"no value", site(`name = `), []string{`3:8: not valid TOML: found the end of the line, want a value`}},
		{"no value at the end", "name =", []string{`1:6: not valid TOML: found the end of the file, want a value`}},
		{"no equals sign", site(`name "x"`), []string{`3:6: not valid TOML: found '"', want = after the key`}},
		{"a colon", site(`name: "x"`), []string{
			`3:5: not valid TOML: found ':', want = after the key | write key = value; ` +
				`what belongs together stands under a header such as [site]`}},
		{"no key", site(`= 5`), []string{`3:1: not valid TOML: found '=', want a key`}},
		{"a key of umlauts", site(`	höhe_m = 5`), []string{`3:3: not valid TOML: found 'ö', want = after the key`}},
		{"a key that begins with one", site(`	ähnlich = 5`), []string{
			`3:2: not valid TOML: found 'ä', want a key | a key of other letters than a to z stands in quotes`}},
		{"a comma in a number", site(`volts = 1,5`), []string{
			`3:10: not valid TOML: found ',' in a number | write 1.5: no marks but a decimal point stand in a number`}},
		{"a comma that may part thousands", site(`volts = 2,000`), []string{
			`3:10: not valid TOML: found ',' in a number | write 2000 for thousands, 2.0 for decimals`}},
		{"two of them", site(`volts = 1,200,000`), []string{
			`3:10: not valid TOML: found ',' in a number | write 1200000: no marks but a decimal point stand in a number`}},
		{"a comma and a point", site(`volts = 1.200,50`), []string{
			`3:14: not valid TOML: found ',' in a number | write 1200.5: no marks but a decimal point stand in a number`}},
		{"a blank between thousands", site(`volts = 2 000`), []string{
			`3:11: not valid TOML: found '0' after a number | write 2000: no marks but a decimal point stand in a number`}},
		{"an apostrophe between thousands", site(`volts = 2'000`), []string{
			`3:10: not valid TOML: found '\'' after a number | write 2000: no marks but a decimal point stand in a number`}},
		{"a time", site(`start = 7:30`), []string{
			`3:10: not valid TOML: found ':' after a number | times stand in quotes: "17:00"; ` +
				`hours as a number with a decimal point: 1.5`}},
		{"no digit before the point", site(`volts = .5`), []string{
			`3:9: not valid TOML: found '.', want a value | write a digit before the decimal point`}},
		{"no digit after it", site(`volts = 5.`),
			[]string{
				`3:11: not valid TOML: found a decimal point without a digit behind it | write a digit behind the decimal point`}},
		{"a leading zero", site(`phases = 01`),
			[]string{
				`3:10: not valid TOML: found a number that begins with 0 | write it without the zeros; ` +
					`a text such as an id stands in quotes`}},
		{"a unit", site(`volts = 230V`), []string{
			`3:12: not valid TOML: found 'V' after a number | write 230: numbers stand without their unit`}},
		{"a unit after a blank", site(`volts = 230 V`), []string{
			`3:13: not valid TOML: found 'V' after a number | write 230: numbers stand without their unit`}},
		{"two keys in a line", site(`name = "ü" phases = 1`), []string{
			`3:12: not valid TOML: found 'p', want the end of the line | write each key on a line of its own`}},
		{"a key behind a header", `[site] name = "x"`, []string{
			`1:8: not valid TOML: found 'n', want the end of the line | write each key on a line of its own`}},
		{"something behind a text", site(`name = "x" 'y'`),
			[]string{`3:12: not valid TOML: found '\'', want the end of the line`}},
		{"curly quotes", site(`name = “Fernhollow”`),
			[]string{`3:8: not valid TOML: found '“' | plain quotes are wanted: "…"`}},
		{"a text that is not closed", site(`name = "Fernhollow`), []string{
			`3:19: not valid TOML: found the end of the line inside a text | close the text with a quote`}},
		{"nor is the file", `name = 'x`, []string{
			`1:9: not valid TOML: found the end of the file inside a text | close the text with a quote`}},
		{"nor is the file, after an umlaut", `name = "ü`, []string{
			`1:9: not valid TOML: found the end of the file inside a text | close the text with a quote`}},
		{"nor after a mark that nobody sees", "'\ufeff", []string{
			`1:2: not valid TOML: found the end of the file inside a text | close the text with a quote`}},
		{"a text of several lines that is not closed", "name = \"\"\"\nx", []string{
			`2:1: not valid TOML: found the end of the file inside a text | close the text with a quote`}},
		{"a path", site(`name = "C:\temp\plans"`), []string{
			"3:16: not valid TOML: found a backslash that means nothing in a text | " +
				`write \\ for a backslash, or put the text in single quotes`}},
		{"a header that is not closed", "[site\nname = 1",
			[]string{`1:6: not valid TOML: expected ']' to close table name`}},
		{"a header closed once of twice", "[[load]\n",
			[]string{`1:7: not valid TOML: expected ']]' to close array table name`}},
		{"a header closed twice of once", "[site]]\n",
			[]string{`1:7: not valid TOML: found ']', want the end of the line`}},
		{"a header without a name", "[ ]\n", []string{`1:3: not valid TOML: found ']', want a key`}},
		{"a list that is not closed", "months = [1, 2", []string{
			`1:14: not valid TOML: found the end of the file inside a list | close the list with a bracket`}},
		{"a list without commas", site(`months = [1 2]`), []string{
			`3:13: not valid TOML: found '2' in a list, want its items parted by commas`}},
		{"a list with two commas", site(`months = [1,, 2]`), []string{
			`3:13: not valid TOML: found ',', want a value`}},
		{"a table without commas", site(`cycle = { on_min = 1 off_min = 2 }`), []string{
			`3:22: not valid TOML: found 'o' in a table { … }, want its keys parted by commas`}},
		{"a table that is not closed", `cycle = { on_min = 1`, []string{
			`1:20: not valid TOML: found the end of the file inside a table { … } | close the table with a brace`}},
		{"a unit of another scale", site(`running_w = 2 kW`), []string{
			`3:15: not valid TOML: found 'k' after a number | write 2000: running_w is in W`}},
		{"a unit that measures something else", site(`running_w = 2 A`), []string{
			`3:15: not valid TOML: found 'A' after a number | running_w is in W; numbers stand without their unit`}},
		{"a unit that nobody knows", site(`zebra = 2 stripes`), []string{
			`3:11: not valid TOML: found 's' after a number | numbers stand without their unit, texts in quotes`}},
		{"a web page", "<!DOCTYPE html>", []string{`1:1: is XML or HTML, want TOML | ` + wantTOML}},
		{"JSON", "{\n  \"site\": { \"name\": \"x\" }\n}", []string{`1:1: is JSON, want TOML | ` + wantTOML}},
		{"a list in JSON", "[\n  { \"name\": \"x\" }\n]", []string{`1:1: is JSON, want TOML | ` + wantTOML}},
		{"CSV", "name,running_w,hours_per_day\nFridge,150,8\n",
			[]string{`1:1: is a table in CSV, want TOML | ` + wantImport}},
		{"CSV with semicolons", "name;running_w\nFridge;150,5\n",
			[]string{`1:1: is a table in CSV, want TOML | ` + wantImport}},
		{"CSV with brackets in its head", "Load,Power [W]\nFridge,150\n",
			[]string{`1:1: is a table in CSV, want TOML | ` + wantImport}},
		{"CSV below a comment", "# made by a spreadsheet, by hand\nname,running_w\nFridge,150\n",
			[]string{`1:1: is a table in CSV, want TOML | ` + wantImport}},
		{"a slip below a comment with commas", "# all of it, in a word, and more,\n# or less, as it were, and so on\n[site]\nname = \"A\nb = 1\n",
			[]string{`4:10: not valid TOML: found the end of the line inside a text | close the text with a quote`}},
		{"CSV that says so", "sep=;\nname;running_w\n", []string{`1:1: is a table in CSV, want TOML | ` + wantImport}},
		{"a spreadsheet", "PK\x03\x04\x14\x00\x00",
			[]string{`1:1: is a packed file, such as a spreadsheet, want a text file in TOML | ` + wantImport}},
	})
}
