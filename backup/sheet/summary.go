package sheet

import (
	"bytes"
	"fmt"
	"io"
	"strconv"
	"strings"

	"outlast/backup/facts"
	"outlast/backup/fleet"
	"outlast/backup/phrase"
	"outlast/backup/sheet/grid"
	"outlast/backup/sheet/paper/words"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/verdict"
	"outlast/backup/wording"
)

// WriteSummary writes a summary as text, markdown, csv or json.
func WriteSummary(w io.Writer, s record.Summary, o Options) error {
	switch o.Format {
	case "csv":
		return record.SummaryCSV(w, s, o.Spreadsheet)
	case "json":
		return record.SummaryJSON(w, s)
	}
	voice, err := speech.NewVoice(o.Lang, false)
	if err != nil {
		return err
	}
	t := teller{voice, s}
	speaker := speech.NewSpeaker(voice, nil, func(string) string { return "" })
	switch o.Format {
	case "", "text":
		return WriteSections(w, func(Options) (*speech.Speaker, error) { return speaker, nil }, t.headline(),
			t.sections(), o)
	case "markdown":
		var b bytes.Buffer
		headline := t.headline()
		grid.MarkdownPage(&b, phrase.Name(t.homes(s.Homes)), headline, t.sections(), speaker)
		_, err := io.WriteString(w, strings.TrimRight(b.String(), "\n")+"\n")
		return err
	}
	return fmt.Errorf("format %q, want one of %s", o.Format, strings.Join(formats, ", "))
}

// A teller puts a summary into words.
type teller struct {
	speech.Voice
	record.Summary
}

func (t teller) number(n int) string { return t.Local(strconv.Itoa(n)) }

func (t teller) homes(n int) string {
	if n == 1 {
		return t.Say("many.homes.one")
	}
	return t.Say("many.homes.many", t.number(n))
}

func (t teller) hours(h float64) string { return t.Amount(h, "h") }

func (t teller) share(v float64) string { return t.Local(grid.Whole(100*v)) + " %" }

// said are texts that are in the language already.
func said(texts ...string) []phrase.Phrase { return wording.Names(texts) }

func (t teller) headline() []phrase.Phrase {
	out := said(
		t.Say("many.verdict", t.homes(t.Homes), t.number(t.Pass+t.Caution), t.number(t.Caution), t.number(t.Fail)),
		t.Say("many.lasts", t.hours(t.Hours.Quantile(0.5)), t.hours(t.Hours.Quantile(0.25)),
			t.share(t.Reach.Quantile(0.5))),
	)
	if ch := &t.Changed; ch.Homes > 0 {
		out = append(out, said(t.Say("many.with", speech.Name(t.Change), t.number(ch.Pass), t.number(ch.Passed),
			t.hours(ch.Hours.Quantile(0.5))))...)
	}
	return out
}

func (t teller) sections() []grid.Section {
	out := []grid.Section{t.spread(), t.checks(), t.worst()}
	if t.Change != "" {
		out = append(out, t.change())
	}
	return out
}

// quartiles are the shares of the homes at which a figure is told.
var quartiles = []struct {
	id string
	at float64
}{{"many.least", 0}, {"many.quarter", 0.25}, {"many.half", 0.5}, {"many.threequarters", 0.75}, {"many.most", 1}}

func (t teller) spread() grid.Section {
	s := grid.Section{Title: phrase.Name(t.Say("many.spread")), Table: grid.Table{Head: make([]phrase.Phrase, 1),
		Right: []bool{false}}, Lines: said(t.Say("many.read"))}
	for _, q := range quartiles {
		s.Table.Head, s.Table.Right = append(s.Table.Head, phrase.Name(t.Say(q.id))), append(s.Table.Right, true)
	}
	row := func(id string, of *fleet.Spread, print func(float64) string) {
		cells := said(t.Say(id))
		for _, q := range quartiles {
			cells = append(cells, grid.Num(print(of.Quantile(q.at))))
		}
		s.Table.Rows = append(s.Table.Rows, cells)
	}
	row("many.hours", &t.Hours, grid.Tenth)
	row("many.reach", &t.Reach, func(v float64) string { return grid.Whole(100 * v) })
	if t.Changed.Homes > 0 {
		row("many.gain", &t.Changed.Hours, grid.Tenth)
	}
	if n := t.Hours.Ended(); n > 0 {
		s.Lines = append(s.Lines, said(t.Say("many.ended", t.homes(n), t.hours(facts.LongestWalkH)))...)
	}
	return s
}

func (t teller) checks() grid.Section {
	s := grid.Section{Title: phrase.Name(t.Say("many.checks")), Table: grid.Table{
		Head:  said(t.Say("col.check"), t.Say("many.fails"), "%", t.Say("many.cautions")),
		Right: []bool{false, true, true, true},
	}}
	changed := t.Changed.Homes > 0
	if changed {
		s.Table.Head, s.Table.Right = append(s.Table.Head, phrase.Name(t.Say("many.changed"))),
			append(s.Table.Right, true)
	}
	for _, c := range t.Tallies() {
		row := said(t.checkName(c.Check), t.number(c.Fails), t.Local(percentOf(c.Fails, t.Homes)), t.number(c.Cautions))
		if changed {
			row = append(row, phrase.Name(t.number(c.ChangedFails)))
		}
		s.Table.Rows = append(s.Table.Rows, row)
	}
	if len(s.Table.Rows) == 0 {
		s.Lines = said(t.Say("many.nofails"))
	}
	return s
}

// percentOf is so many of all in per cent; where that would round to none or to all, with a decimal.
func percentOf(n, all int) string {
	if text := grid.Percent(float64(n), float64(all)); n == 0 || n == all || text != "0" && text != "100" {
		return text
	}
	return grid.Tenth(100 * float64(n) / float64(all))
}

// checkName is a check as every home calls it ([verdict.Common]).
func (t teller) checkName(check string) string {
	switch check {
	case verdict.AnySlip, verdict.AnyCircuit, "cable-array":
		return t.Say("many.check." + check)
	}
	text, about := words.Check(t.Words, "check.", check, "")
	if about == "" {
		return text
	}
	return fmt.Sprintf(text, about)
}

func (t teller) worst() grid.Section {
	s := grid.Section{Title: phrase.Name(t.Say("many.worst")), Table: grid.Table{
		Head: said(t.Say("col.no"), t.Say("many.home"), t.Say("many.file"), t.Say("many.lasting"),
			t.Say("many.required"), t.Say("many.failing")),
		Right: []bool{true, false, false, true, true, false},
	}, Lines: said(t.Say("many.worstfirst"))}
	for i, h := range t.Worst {
		var failing []string
		for _, check := range h.Failing {
			failing = append(failing, t.checkName(check))
		}
		by := "-"
		if n := len(failing); n > 0 {
			by = failing[0]
			if n > 1 {
				by += fmt.Sprintf(" (+%d)", n-1)
			}
		}
		s.Table.Rows = append(s.Table.Rows, said(strconv.Itoa(i+1), h.Name, h.File,
			t.Local(grid.Lasting(h.Hours, h.AtLeast)), t.Short(h.RequiredH), by))
	}
	return s
}

func (t teller) change() grid.Section {
	ch := &t.Changed
	s := grid.Section{Title: phrase.Name(t.Say("many.change", speech.Name(t.Change))),
		Lines: said(t.Say("many.suits", t.homes(ch.Homes)))}
	if ch.Unsuited > 0 {
		s.Lines = append(s.Lines, said(t.Say("many.unsuited", t.homes(ch.Unsuited),
			speech.Clean(ch.Unsuiting.Error())))...)
	}
	s.Lines = append(s.Lines, said(t.Say("many.moves", t.number(ch.Gained), t.number(ch.Lost)))...)
	return s
}
