package sheet

import (
	"outlast/backup"
)

// optionSection sets the variants beside the base.
func optionSection(p *backup.Plan, wide bool) section {
	s := section{title: "Options side by side", list: true, table: table{
		head:  []string{"Option", "Verdict", "Autonomy h", "Price", "First failing check"},
		right: []bool{false, false, true, true, false},
	}}
	if wide {
		s.table.head, s.table.right = append(s.table.head, "Changes"), append(s.table.right, false)
	}
	row := func(name string, p *backup.Plan, changes string) {
		price, failing := "-", "none"
		if v, ok := p.Price(); ok {
			price = whole(v)
		}
		if c := p.FirstFailing(); c != nil {
			failing = Clean(c.ID)
		}
		cells := []string{Clean(name), string(p.Verdict()), tenth(p.Bank.AutonomyH), price, failing}
		if wide {
			cells = append(cells, changes)
		} else if changes != "" {
			s.lines = append(s.lines, Clean(name)+": "+changes)
		}
		s.table.rows = append(s.table.rows, cells)
	}
	row("(base)", p, "")
	s.lines = append(s.lines, "Autonomy: at the end of the bank's life, as the checks count it.")
	for _, o := range p.Options {
		row(o.Name, o.Plan, o.ChangesText().String())
	}
	return s
}
