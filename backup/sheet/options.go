package sheet

import (
	"fmt"
	"strconv"
	"strings"

	"outlast/backup"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
)

// bankOf is the layout and the unit of the variant's bank.
func bankOf(v record.Variant) string {
	b := v.Plan.Bank
	return fmt.Sprintf("%d x %d %s", b.Strings, b.Series, speech.Clean(b.Unit.ID))
}

// optionSection sets the variants beside the base.
func optionSection(p *backup.Plan, wide bool) section {
	s := section{title: "Options side by side", list: true, table: table{
		head:  []string{"Option", "Verdict", "Ways", "Bank", "Lasts h", "kg", "Price", "Diff."},
		right: []bool{false, false, true, false, true, true, true, true},
	}}
	if wide {
		s.table.head, s.table.right = append(s.table.head, "First failing check"), append(s.table.right, false)
	}
	s.lines = append(s.lines,
		fmt.Sprintf("Ways: circuits on the backup board, of %d.", len(p.Circuits)),
		"Lasts: at the end of the bank's life, from the least favourable start of the day, as the headline promises.",
		"Diff.: price difference to the base, of inverters and batteries alone.")
	for _, v := range record.Variants(p) {
		hours, failing := "-", "none"
		if v.Promised != nil {
			hours = lasting(*v.Promised, v.Capped)
		}
		if c := v.Plan.FirstFailing(); c != nil {
			failing = speech.Clean(c.ID)
		}
		more := "-"
		if v.More != nil {
			if more = whole(*v.More); *v.More > 0 {
				more = "+" + more
			}
		}
		cells := []string{speech.Clean(v.Name), string(v.Plan.Verdict()), strconv.Itoa(len(v.Plan.Carried())), bankOf(v), hours, wholeOrNone(v.Mass), wholeOrNone(v.Price), more}
		told := []string{}
		if v.Changes != "" {
			told = append(told, v.Changes)
		}
		if wide {
			cells = append(cells, failing)
		} else if failing != "none" {
			told = append(told, "fails first by "+failing)
		}
		if len(told) > 0 {
			s.lines = append(s.lines, speech.Clean(v.Name)+": "+strings.Join(told, "; "))
		}
		s.table.rows = append(s.table.rows, cells)
	}
	return s
}

func wholeOrNone(v *float64) string {
	if v == nil {
		return "-"
	}
	return whole(*v)
}
