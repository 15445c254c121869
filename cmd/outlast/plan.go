package main

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"outlast/backup/sheet"
	"outlast/backup/site"
	"outlast/catalog/strict"
	"outlast/cmd/outlast/files"
	"outlast/cmd/outlast/homes"
	"outlast/cmd/outlast/terminal"
)

type planOptions struct {
	format   string
	lang     string
	working  bool
	width    int
	output   files.Output
	catalogs []string
	names    homes.Names
	summary  bool
	change   []string

	show        []string
	hoursWished float64
	sensitivity bool
}

func newPlan() *cobra.Command {
	var o planOptions
	cmd := &cobra.Command{
		Use:     "plan FILE...",
		GroupID: "plan",
		Short:   "Work a site file through and print the plan",
		Long: `plan reads one or more site files and prints the plan of each on one screen: the verdict, what fails, what stays
on and for how long, what to leave off, the tightest limits, and what to settle first. --show prints parts of it in
full, --working the numbered working. Markdown, CSV and JSON hold everything; JSON is one object for one file, and a
list for several. Exit status 1 means that a check fails.

The parts are ` + strings.Join(sheet.Parts(), ", ") + `.

Of many homes, --format jsonl prints one object a line, and --format csv one row a home (of one FILE: one figure a
row), in the order of the names and as they are done, on all cores. --summary counts them instead: how many pass, which
check fails how often, how the hours spread, the worst, and what --change would do to all; it takes the keys that an
[[option]] takes. A FILE that is a folder stands for the .toml files in it. A site file with problems is told and left
out; the status is then 2.`,
		Example: `  outlast plan cottage.toml
  outlast plan --show checks,wires cottage.toml
  outlast plan --working --format markdown -o cottage.md cottage.toml
  outlast plan --hours-wished 48 --sensitivity cottage.toml
  outlast plan --format json farm.toml clinic.toml
  outlast plan --format csv -o homes.csv homes
  outlast plan --summary --change bank.strings=2 homes
  outlast plan --format jsonl --files-from homes.txt`,
		Args:              someSites(&o.names),
		ValidArgsFunction: completeTOML,
		RunE: func(cmd *cobra.Command, files []string) error {
			o.names.Args, o.names.In = files, cmd.InOrStdin()
			if err := o.check(cmd); err != nil {
				return err
			}
			return runPlan(cmd.Context(), cmd.OutOrStdout(), cmd.ErrOrStderr(), o)
		},
	}
	cmd.Flags().StringVar(&o.format, "format", "text", "print as `FORMAT`: text, markdown, csv, json or jsonl")
	cmd.Flags().StringSliceVar(&o.show, "show", nil,
		"print these `PARTS` in full, in a list with commas; all: everything")
	cmd.Flags().Lookup("show").DefValue = "[]" // else help shows an empty list
	cmd.Flags().BoolVar(&o.working, "working", false,
		"print the numbered calculation sheet as well, and the defaults used")
	cmd.Flags().Float64Var(&o.hoursWished, "hours-wished", 0,
		"tell which loads to switch off, and in which order, to last `HOURS`")
	cmd.Flags().BoolVar(&o.sensitivity, "sensitivity", false,
		"rank the inputs by how far each moves the autonomy and the margins")
	cmd.Flags().IntVar(&o.width, "width", 0, "wrap text at `N` columns, 72 to 1000 (default: the terminal's, else 80)")
	outputFlag(cmd, &o.output)
	listFlag(cmd, &o.names.List)
	cmd.Flags().BoolVar(&o.summary, "summary", false,
		"of many homes: how many pass, which checks fail, how hours spread, the worst")
	cmd.Flags().StringArrayVar(&o.change, "change", nil,
		"with --summary: what `KEY=VALUE` would do to all, such as bank.strings=2; again for more")
	langFlag(cmd, &o.lang, true)
	catalogFlag(cmd, &o.catalogs)
	completeWith(cmd, "show", completeParts)
	completeFlag(cmd, "format", []cobra.Completion{
		cobra.CompletionWithDesc("text", "tables"), cobra.CompletionWithDesc("markdown", "tables for a document"),
		cobra.CompletionWithDesc("csv", "one figure a row; of several homes one home a row"),
		cobra.CompletionWithDesc("json", "everything, unrounded"),
		cobra.CompletionWithDesc("jsonl", "one home a line"),
	})
	return cmd
}

// check refuses what cannot be printed.
func (o *planOptions) check(cmd *cobra.Command) error {
	if err := checkFormat(o.format, append(sheet.Formats(), "jsonl")); err != nil {
		return err
	}
	if err := checkLang(o.lang); err != nil {
		return err
	}
	if err := checkWidth(cmd, o.width); err != nil {
		return err
	}
	if err := checkShow(cmd.Flags().Changed("show"), o.show, o.format); err != nil {
		return err
	}
	if h := o.hoursWished; cmd.Flags().Changed("hours-wished") && !(h > 0 && h <= maxHoursWished) {
		return terminal.Usage(fmt.Sprintf("--hours-wished %g is out of range", h),
			fmt.Sprintf("give hours above 0, at most %d", maxHoursWished))
	}
	return o.checkMany()
}

// sheet are the options of what is printed.
func (o *planOptions) sheet(out io.Writer) sheet.Options {
	so := sheet.Options{Lang: o.lang, Format: o.format, Width: o.width, Working: o.working, Show: o.show,
		HoursWished: o.hoursWished, Sensitivity: o.sensitivity,
		Spreadsheet: o.output.Spreadsheet()}
	if so.Width == 0 {
		so.Width = terminal.Width(out)
	}
	so.Colour = o.output.Path == "" && terminal.Coloured(out)
	return so
}

// checkMany refuses flags that do not go together where there are many homes.
func (o *planOptions) checkMany() error {
	whole := o.wholePlan()
	switch {
	case o.summary && o.format == "jsonl":
		return terminal.Usage("--summary is one result, and --format jsonl has a line for each home",
			"the formats of a summary are "+strings.Join(sheet.Formats(), ", "))
	case o.summary && whole != "":
		return terminal.Usage(whole+" goes with the plan of a home, not with --summary", "")
	case !o.summary && len(o.change) > 0:
		return terminal.Usage("--change goes with --summary", "for one home, write an [[option]] into its site file")
	case o.records() && whole != "":
		return terminal.Usage(whole+" goes with the whole plan of a home, and many homes have a line each",
			"plan the home by itself, as text or JSON")
	}
	return nil
}

// records tells whether each home is one line.
func (o *planOptions) records() bool {
	return o.format == "jsonl" || o.format == "csv" && o.names.Many()
}

// wholePlan is the flag that asks for what only the plan of one home holds, if there is one.
func (o *planOptions) wholePlan() string {
	switch {
	case len(o.show) > 0:
		return "--show"
	case o.working:
		return "--working"
	case o.sensitivity:
		return "--sensitivity"
	case o.hoursWished != 0:
		return "--hours-wished"
	}
	return ""
}

// completeParts offers the next name of a list of parts.
func completeParts(_ *cobra.Command, _ []string, begun string) ([]cobra.Completion, cobra.ShellCompDirective) {
	return completeList(begun, sheet.Parts())
}

// checkShow refuses names of parts that there are not, and parts of what has no parts.
func checkShow(given bool, show []string, format string) error {
	known := sheet.Parts()
	if given && len(show) == 0 {
		return terminal.Usage("--show names no part", "the parts are "+strings.Join(known, ", "))
	}
	for _, name := range show {
		if !slices.Contains(known, name) {
			hint := "the parts are " + strings.Join(known, ", ")
			if near := strict.Nearest(name, known); near != "" {
				hint = fmt.Sprintf("did you mean %q? %s", near, hint)
			}
			return terminal.Usage(fmt.Sprintf("--show %q is unknown", name), hint)
		}
	}
	if len(show) > 0 && format != "text" {
		return terminal.Usage(fmt.Sprintf("--show goes with text, and --format %s holds everything", format), "")
	}
	return nil
}

// maxHoursWished is a year, as for autonomy_h.
const maxHoursWished = 8760

func runPlan(ctx context.Context, out, errw io.Writer, o planOptions) error {
	if err := o.output.SparesInputs(o.names.Args, []string{o.names.List}, o.catalogs); err != nil {
		return err
	}
	cat, err := homes.ReadCatalog(ctx, o.names.In, o.catalogs)
	if err != nil {
		return err
	}
	many := &homes.Many{Names: &o.names, Catalog: cat, Output: o.output, Errors: errw}
	switch {
	case o.summary:
		var change *site.Change
		if len(o.change) > 0 {
			if change, err = site.ParseChange(o.change, cat); err != nil {
				return err
			}
		}
		return homes.WriteSummary(ctx, out, many, change, o.sheet(out))
	case o.records():
		return homes.WriteRecords(ctx, out, many, o.format)
	}
	so := o.sheet(out)
	many.Options = so.Variants()
	plans, err := many.Plans(ctx)
	if err != nil {
		return err
	}
	if err := o.output.Write(ctx, out, func(w io.Writer) error { return sheet.Write(w, plans, so) }); err != nil {
		return err
	}
	return many.End()
}
