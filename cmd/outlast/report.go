package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"outlast/backup"
	"outlast/backup/sheet/paper"
	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/workbook"
	"outlast/backup/site"
	"outlast/backup/study"
	"outlast/backup/verdict"
	"outlast/catalog"
	"outlast/cmd/outlast/files"
	"outlast/cmd/outlast/homes"
	"outlast/cmd/outlast/pdf"
	"outlast/cmd/outlast/terminal"
)

type reportOptions struct {
	paper    paper.Options
	format   string
	chromium string
	tables   string
	workbook files.Output
	every    bool
	live     bool
	output   files.Output
	catalogs []string
}

func newReport() *cobra.Command {
	var o reportOptions
	cmd := &cobra.Command{
		Use:     "report FILE",
		GroupID: "plan",
		Short:   "Make the papers: owner's page, circuit schedules, diagrams, calculation sheet",
		Long: `report works a site file through and makes the papers that are left behind: one page for the owner, the
circuit schedules, diagrams and commissioning list for the electrician, and the calculation sheet with its drawings for
the file. It is one HTML file that can be printed on A4 or Letter and read on a phone; nothing in it is loaded from
elsewhere. Equal site files give equal papers. With --workbook FILE.xlsx the calculation comes as a spreadsheet of live
formulas too. With -o FILE.pdf a Chromium that is installed prints them. With --live it
is instead one page on which the owner can try at home what the plan answers. Exit status 1 means that a check fails;
the papers are written all the same.`,
		Example: `  outlast report cottage.toml -o cottage.html
  outlast report --for owner --lang de --date 2026-05-04 -o cottage.html cottage.toml
  outlast report --tables cottage-tables cottage.toml -o cottage.html
  outlast report --workbook cottage.xlsx cottage.toml -o cottage.html
  outlast report --paper a4 cottage.toml -o cottage.pdf
  outlast report --live cottage.toml -o cottage.html`,
		Args:              oneSite("report makes the papers of one site"),
		ValidArgsFunction: completeTOML,
		RunE: func(cmd *cobra.Command, files []string) error {
			if err := o.check(cmd.Flags().Changed); err != nil {
				return err
			}
			if o.live {
				return runLive(cmd.Context(), cmd.InOrStdin(), cmd.OutOrStdout(), files[0], o)
			}
			return runReport(cmd.Context(), cmd.InOrStdin(), cmd.OutOrStdout(), files[0], o)
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.format, "format", "",
		"write as `FORMAT`: html, markdown or pdf (default html, or pdf with -o FILE.pdf)")
	f.StringVar(&o.paper.For, "for", paper.Readers()[0],
		"make the papers for `READER`: owner, electrician, file or all")
	f.StringVar(&o.paper.Date, "date", "", "print `DATE` (2026-05-04) on the papers; without it they carry none")
	f.StringVar(&o.paper.Paper, "paper", "",
		"print on `SIZE`: a4 or letter (default letter with units = \"us\", else a4)")
	f.Var(named{&o.chromium, "a program"}, "chromium",
		"print PDF with `PROGRAM` (default: a Chromium that is installed)")
	f.BoolVar(&o.paper.Annex, "annex", false,
		"add the annex to the calculation sheet: every step of the working, defaults, equipment data")
	f.BoolVar(&o.every, "every-start", false, "follow an outage from every hour of a year too, for the survival curve")
	f.BoolVar(&o.live, "live", false,
		"make the page of outlast serve instead, as one file that computes without a server")
	f.Var(named{&o.tables, "a folder"}, "tables",
		"also write each table as CSV into `FOLDER`; other files in it stay as they are")
	o.workbook.Flag = "--workbook"
	f.Var(named{&o.workbook.Path, "a file"}, "workbook",
		"also write the calculation as a workbook of live formulas: `FILE`.xlsx")
	outputFlag(cmd, &o.output)
	langFlag(cmd, &o.paper.Lang, false)
	catalogFlag(cmd, &o.catalogs)
	for flag, list := range map[string][]string{"format": reportFormats(), "for": paper.Readers(),
		"paper": paper.Sizes()} {
		completeFlag(cmd, flag, list)
	}
	return cmd
}

// check refuses what no papers can be made of; given tells which flags were.
func (o *reportOptions) check(given func(flag string) bool) error {
	for _, choice := range []struct {
		flag, given string
		known       []string
	}{{"format", o.format, reportFormats()}, {"for", o.paper.For, paper.Readers()},
		{"paper", o.paper.Paper, paper.Sizes()}} {
		if choice.given != "" && !slices.Contains(choice.known, choice.given) {
			return terminal.Usage(fmt.Sprintf("--%s %q is unknown", choice.flag, choice.given),
				"give one of "+strings.Join(choice.known, ", "))
		}
	}
	if err := checkLang(o.paper.Lang); err != nil {
		return err
	}
	if o.paper.Date != "" {
		if _, err := time.Parse(time.DateOnly, o.paper.Date); err != nil {
			return terminal.Usage(fmt.Sprintf("--date %q is no date", o.paper.Date), "write it as 2026-05-04")
		}
	}
	if err := o.chooseFormat(); err != nil {
		return err
	}
	if err := o.checkWorkbook(); err != nil {
		return err
	}
	if !o.live {
		return nil
	}
	for _, flag := range []string{"format", "for", "date", "paper", "chromium", "annex", "every-start",
		"tables", "workbook"} {
		if given(flag) {
			return terminal.Usage("--live makes the page that computes, and --"+flag+
				" is about the papers", "leave one of them out")
		}
	}
	return nil
}

// checkWorkbook refuses a name that spreadsheets would not open, and that of the papers.
func (o *reportOptions) checkWorkbook() error {
	path := o.workbook.Path
	if path == "" {
		return nil
	}
	if !strings.EqualFold(filepath.Ext(path), ".xlsx") {
		return terminal.Usage(fmt.Sprintf("--workbook %s is no name for a workbook", path),
			"give a name that ends in .xlsx")
	}
	one, err := filepath.Abs(path)
	if err != nil {
		return terminal.Usage(fmt.Sprintf("%s cannot be written: %s", path, terminal.Cause(err)), "")
	}
	if other, err := filepath.Abs(o.output.Path); o.output.Path != "" && err == nil && one == other {
		return terminal.Usage("--workbook and -o name the same file", "name another file")
	}
	return nil
}

// formatPDF is the format that a browser makes of HTML.
const formatPDF = "pdf"

// reportFormats lists what --format takes.
func reportFormats() []string { return append(doc.Formats(), formatPDF) }

// chooseFormat settles the format by the flag, or by the name of the output, and finds the browser that PDF needs
// before any work is done.
func (o *reportOptions) chooseFormat() (err error) {
	named := strings.EqualFold(filepath.Ext(o.output.Path), ".pdf")
	switch {
	case o.format == "" && named:
		o.format = formatPDF
	case o.format == "":
		o.format = doc.Formats()[0]
	case named && o.format != formatPDF:
		return terminal.Usage(fmt.Sprintf("-o %s is no name for --format %s", o.output.Path, o.format),
			"leave --format out, or give the file another name")
	}
	if o.paper.Format = o.format; o.format == formatPDF {
		o.paper.Format = doc.Formats()[0]
		o.chromium, err = pdf.Browser(o.chromium)
	}
	return err
}

// read reads a site with its catalogs, if what is written spares them.
func (o *reportOptions) read(ctx context.Context, in io.Reader, file string) (*site.Site, []byte, *catalog.Catalog,
	error) {
	for _, to := range []files.Output{o.output, o.workbook} {
		if err := to.SparesInputs([]string{file}, o.catalogs); err != nil {
			return nil, nil, nil, err
		}
	}
	cat, err := homes.ReadCatalog(ctx, in, o.catalogs)
	if err != nil {
		return nil, nil, nil, err
	}
	s, src, err := homes.Read(ctx, in, file, cat)
	if err != nil {
		return nil, nil, nil, err
	}
	for _, to := range []files.Output{o.output, o.workbook} {
		if err := to.SparesInputs(homes.NamedFiles(s)); err != nil {
			return nil, nil, nil, err
		}
	}
	return s, src, cat, nil
}

func runReport(ctx context.Context, in io.Reader, out io.Writer, file string, o reportOptions) error {
	site, src, _, err := o.read(ctx, in, file)
	if err != nil {
		return err
	}
	planned := backup.Alone
	if o.paper.Variants() {
		planned = backup.NewPlan
	}
	plan, err := planned(ctx, site)
	if err != nil {
		return fmt.Errorf("%s: %w", site.File, err)
	}
	if o.every {
		o.paper.Year, err = study.FromEveryStart(ctx, plan.Facts, everyStartOf(plan))
		if err != nil {
			return terminal.UsageOf(err)
		}
	}
	hash := sha256.Sum256(src)
	o.paper.NoTables = o.tables == ""
	o.paper.Program, o.paper.Source, o.paper.Revision = "outlast "+version, filepath.Base(site.File),
		hex.EncodeToString(hash[:])
	papers, err := paper.New(ctx, plan, o.paper)
	if err != nil {
		return err
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	var written bytes.Buffer
	if err := papers.Write(&written, o.paper.Format); err != nil {
		return err
	}
	if o.format == formatPDF {
		page := bytes.Clone(written.Bytes())
		written.Reset()
		if err := pdf.Write(ctx, &written, o.chromium, page); err != nil {
			return err
		}
	}
	var book bytes.Buffer
	if o.workbook.Path != "" {
		if err := workbook.Write(ctx, &book, plan, workbook.Options{Lang: o.paper.Lang, Date: o.paper.Date,
			Program: o.paper.Program, Source: o.paper.Source, Revision: o.paper.Revision}); err != nil {
			return terminal.UsageOf(err)
		}
	}
	if err := o.write(ctx, out, papers, written.Bytes(), book.Bytes()); err != nil {
		return err
	}
	if plan.Verdict() == verdict.Fail {
		return homes.ErrChecksFail
	}
	return nil
}

// write puts the tables into their folder, and the workbook and the papers as they are printed where they go.
func (o *reportOptions) write(ctx context.Context, out io.Writer, papers *doc.Document, written, book []byte) error {
	// The folder comes first: where it cannot be written, nothing is. From then on both are written, or the message
	// would be wrong.
	if o.tables != "" {
		tables, err := papers.Tables()
		if err != nil {
			return err
		}
		if len(tables) == 0 {
			return terminal.Usage("the papers for the "+o.paper.For+" hold no tables",
				"leave --tables out, or make them for another reader")
		}
		if err := o.output.SparesTables(o.tables, tables); err != nil {
			return err
		}
		if err := files.WriteFolder(ctx, o.tables, tables); err != nil {
			return err
		}
	}
	put := func(to files.Output, data []byte) error {
		return to.Write(context.WithoutCancel(ctx), out, func(w io.Writer) error {
			_, err := w.Write(data)
			return err
		})
	}
	if o.workbook.Path != "" {
		if err := put(o.workbook, book); err != nil {
			return err
		}
	}
	return put(o.output, written)
}

// everyStartOf is the question of every start that the papers ask: the site's own autonomy, as the command outage asks
// it by default.
func everyStartOf(p *backup.Plan) study.EveryStartOptions {
	target := max(1, int(p.Site.Outage.AutonomyH))
	return study.EveryStartOptions{MaxH: max(defaultLongestH, target), TargetH: target, Chance: defaultChance,
		Seed: defaultSeed}
}
