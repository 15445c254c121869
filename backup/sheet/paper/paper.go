// Package paper makes the papers that a plan leaves behind: a page for the owner, the circuit schedule and the diagrams
// for the electrician, and the calculation sheet with its drawings for the file.
//
// [New] puts together what stands on the papers, as a [doc.Document] of parts, sections and blocks, which sets itself
// as HTML, Markdown or CSV. The content comes from one place (owner.go, electrician.go, filing.go), from what package
// findings works out of the plan; package drawing draws. All words come from package words, in the language asked for:
// those of the papers by their ids, and the sentences that package backup makes (reasons, cautions, steps of the
// working) by their English formats. Names come from the site file.
//
// The papers are built from the plan alone: no file is read and no clock is asked, so that equal input gives equal
// bytes.
package paper

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"outlast/backup"
	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/speech"
	"outlast/backup/study"
)

// Options say which papers are made, and what stands on them beside the plan. The zero value is all papers, in HTML and
// English.
type Options struct {
	Format string // "html" or "markdown"; "" is html
	For    string // "owner", "electrician", "file" or "all"; "" is all
	Lang   string // one of [words.Languages]; "" is English
	Annex  bool   // with the annex to the calculation sheet: every step of the working, defaults, equipment data
	Date   string // printed as it stands; "" prints none

	// NoTables says that nobody makes tables of the document: what only they hold is left out.
	NoTables bool

	// Paper is the size that is printed on, one of [Sizes]; "" is that of the site's units.
	Paper string

	// Year is outages from every hour of a year, for the survival curve; nil: it is not drawn.
	Year *study.EveryStart

	// Program is the name and version of the program, Source the name of the site file and Revision what tells this
	// text of it from any other, in hexadecimal digits. They are printed where they are given.
	Program, Source, Revision string
}

// readers and sizes are what Options take, the default first.
var (
	readers = []string{"all", "owner", "electrician", "file"}
	sizes   = []string{"a4", "letter"}
)

// Readers lists those for whom papers are made.
func Readers() []string { return append([]string(nil), readers...) }

// Sizes lists the sizes of paper.
func Sizes() []string { return append([]string(nil), sizes...) }

// sizeOf is the size that papers are printed on: the one asked for, or that of the site's units.
func sizeOf(asked, units string) string {
	switch {
	case asked != "":
		return asked
	case units == "us":
		return "letter"
	}
	return "a4"
}

// Variants says whether the options of a home are shown beside it: the papers for the file do. Only then they need be
// planned.
func (o Options) Variants() bool { return o.For == "" || o.For == "all" || o.For == "file" }

// New puts the papers of a plan together. A word of the options that is not known is the error; Format is not looked at
// here. When ctx is done it ends with its error.
func New(ctx context.Context, p *backup.Plan, o Options) (*doc.Document, error) {
	v, err := speech.NewVoice(o.Lang, p.Site.Units == "us")
	if err != nil {
		return nil, err
	}
	v.Signs = true
	if o.For != "" && !slices.Contains(readers, o.For) {
		return nil, fmt.Errorf("reader %q, want one of %s", o.For, strings.Join(readers, ", "))
	}
	if size := sizeOf(o.Paper, p.Site.Units); !slices.Contains(sizes, size) {
		return nil, fmt.Errorf("paper %q, want one of %s", o.Paper, strings.Join(sizes, ", "))
	}
	r := &report{Report: findings.New(p, v, o.Year), options: o}
	if err := r.Follow(ctx); err != nil {
		return nil, err
	}
	drawings, err := r.drawings()
	if err != nil {
		return nil, err
	}
	d := &doc.Document{Lang: v.Lang, Title: speech.Name(p.Site.Name), Kicker: v.Say("title"),
		Date: speech.Clean(o.Date), Stamp: r.stamp(), Page: v.Say("page"), Size: sizeOf(o.Paper, p.Site.Units),
		Contents: v.Say("contents")}
	if o.For == "" || o.For == "all" || o.For == "owner" {
		d.Parts = append(d.Parts, r.owner())
	}
	if o.For == "" || o.For == "all" || o.For == "electrician" {
		d.Parts = append(d.Parts, r.electrician())
	}
	if o.Variants() {
		sheet, err := r.filing(drawings)
		if err != nil {
			return nil, err
		}
		if d.Parts = append(d.Parts, sheet); o.Annex {
			d.Parts = append(d.Parts, r.annex())
		} else if !o.NoTables {
			d.Aside = []doc.Part{r.annex()}
		}
	}
	d.Untranslated = r.Speaker.Missed
	return d, nil
}
