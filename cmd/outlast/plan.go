package main

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"outlast/backup"
	"outlast/backup/sheet"
	"outlast/backup/verdict"
	"outlast/catalog/strict"
)

type planOptions struct {
	format   string
	working  bool
	width    int
	output   output
	catalogs []string

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

The parts are ` + strings.Join(sheet.Parts(), ", ") + ".",
		Example: `  outlast plan cottage.toml
  outlast plan --show checks,wires cottage.toml
  outlast plan --working --format markdown -o cottage.md cottage.toml
  outlast plan --hours-wished 48 --sensitivity cottage.toml
  outlast plan --format json farm.toml clinic.toml`,
		Args:              siteFiles,
		ValidArgsFunction: completeTOML,
		RunE: func(cmd *cobra.Command, files []string) error {
			if err := checkFormat(o.format, sheet.Formats()); err != nil {
				return err
			}
			if err := checkWidth(cmd, o.width); err != nil {
				return err
			}
			if err := checkShow(cmd.Flags().Changed("show"), o.show, o.format); err != nil {
				return err
			}
			if h := o.hoursWished; cmd.Flags().Changed("hours-wished") && !(h > 0 && h <= maxHoursWished) {
				return &usageError{fmt.Sprintf("--hours-wished %g is out of range", h), fmt.Sprintf("give hours above 0, at most %d", maxHoursWished)}
			}
			return runPlan(cmd.Context(), cmd.InOrStdin(), cmd.OutOrStdout(), files, o)
		},
	}
	cmd.Flags().StringVar(&o.format, "format", "text", "print as `FORMAT`: text, markdown, csv or json")
	cmd.Flags().StringSliceVar(&o.show, "show", nil, "print these `PARTS` in full, in a list with commas; all: everything")
	cmd.Flags().Lookup("show").DefValue = "[]" // else help shows an empty list
	cmd.Flags().BoolVar(&o.working, "working", false, "print the numbered calculation sheet as well, and the defaults used")
	cmd.Flags().Float64Var(&o.hoursWished, "hours-wished", 0, "tell which loads to switch off, and in which order, to last `HOURS`")
	cmd.Flags().BoolVar(&o.sensitivity, "sensitivity", false, "rank the inputs by how far each moves the autonomy and the margins")
	cmd.Flags().IntVar(&o.width, "width", 0, "wrap text at `N` columns, 72 to 1000 (default: the terminal's, else 80)")
	outputFlag(cmd, &o.output)
	catalogFlag(cmd, &o.catalogs)
	err := cmd.RegisterFlagCompletionFunc("show", completeParts)
	if err != nil {
		panic(err) // the flag is defined above
	}
	err = cmd.RegisterFlagCompletionFunc("format", cobra.FixedCompletions([]cobra.Completion{
		cobra.CompletionWithDesc("text", "tables"), cobra.CompletionWithDesc("markdown", "tables for a document"),
		cobra.CompletionWithDesc("csv", "one figure a row"), cobra.CompletionWithDesc("json", "everything, unrounded"),
	}, cobra.ShellCompDirectiveNoFileComp))
	if err != nil {
		panic(err) // the flag is defined above
	}
	return cmd
}

// completeParts offers the next name of a list of parts.
func completeParts(_ *cobra.Command, _ []string, begun string) ([]cobra.Completion, cobra.ShellCompDirective) {
	before := begun[:strings.LastIndexByte(begun, ',')+1]
	var out []cobra.Completion
	for _, name := range sheet.Parts() {
		if !slices.Contains(strings.Split(before, ","), name) {
			out = append(out, before+name)
		}
	}
	return out, cobra.ShellCompDirectiveNoFileComp
}

// checkShow refuses names of parts that there are not, and parts of what has no parts.
func checkShow(given bool, show []string, format string) error {
	known := sheet.Parts()
	if given && len(show) == 0 {
		return &usageError{"--show names no part", "the parts are " + strings.Join(known, ", ")}
	}
	for _, name := range show {
		if !slices.Contains(known, name) {
			hint := "the parts are " + strings.Join(known, ", ")
			if near := strict.Nearest(name, known); near != "" {
				hint = fmt.Sprintf("did you mean %q? %s", near, hint)
			}
			return &usageError{fmt.Sprintf("--show %q is unknown", name), hint}
		}
	}
	if len(show) > 0 && format != "text" {
		return &usageError{fmt.Sprintf("--show goes with text, and --format %s holds everything", format), ""}
	}
	return nil
}

// maxHoursWished is a year, as for autonomy_h.
const maxHoursWished = 8760

// planFiles reads and plans site files.
func planFiles(ctx context.Context, in io.Reader, files, catalogs []string) ([]*backup.Plan, error) {
	cat, err := readCatalog(ctx, in, catalogs)
	if err != nil {
		return nil, err
	}
	sites, err := readSites(ctx, in, files, cat)
	if err != nil {
		return nil, err
	}
	var plans []*backup.Plan
	for _, s := range sites {
		p, err := backup.NewPlan(ctx, s)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", s.File, err)
		}
		plans = append(plans, p)
	}
	return plans, nil
}

func runPlan(ctx context.Context, in io.Reader, out io.Writer, files []string, o planOptions) error {
	if err := o.output.sparesInputs(files, o.catalogs); err != nil {
		return err
	}
	plans, err := planFiles(ctx, in, files, o.catalogs)
	if err != nil {
		return err
	}
	for _, p := range plans {
		if err := o.output.sparesWeather(p.Site); err != nil {
			return err
		}
	}
	so := sheet.Options{Format: o.format, Width: o.width, Working: o.working, Show: o.show, HoursWished: o.hoursWished, Sensitivity: o.sensitivity,
		Spreadsheet: o.output.spreadsheet()}
	width, colour := terminal(out)
	if so.Width == 0 {
		so.Width = width
	}
	so.Colour = colour && o.output.path == ""
	if err := o.output.write(ctx, out, func(w io.Writer) error { return sheet.Write(w, plans, so) }); err != nil {
		return err
	}
	for _, p := range plans {
		if p.Verdict() == verdict.Fail {
			return errChecksFail
		}
	}
	return nil
}
