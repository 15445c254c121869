package main

import (
	"context"
	"fmt"
	"io"
	"slices"

	"github.com/spf13/cobra"

	"outlast/backup"
	"outlast/backup/sheet"
	"outlast/backup/sheet/record"
	"outlast/backup/sizing"
	"outlast/cmd/outlast/files"
	"outlast/cmd/outlast/homes"
	"outlast/cmd/outlast/terminal"
)

type sizeOptions struct {
	format   string
	lang     string
	width    int
	output   files.Output
	catalogs []string

	autonomy  []float64
	top       int
	topGiven  bool
	essential bool
	maxCount  int
	more      bool
}

// Bounds of what size is asked for.
const (
	mostTargets    = 12
	defaultTop     = 10
	mostSizedCount = 100 // as for count in [inverter]
)

func newSize() *cobra.Command {
	var o sizeOptions
	cmd := &cobra.Command{
		Use:     "size FILE",
		GroupID: "plan",
		Short:   "Find the inverters and banks of the catalog that supply a site",
		Long: `size tries every inverter, number of them, battery and number of strings of the catalog on a site and lists those
on which no check of the plan fails: by price where it is given, else by energy installed. It also lists those than
which none is better in price, hours and weight together, and the closest rejected combinations with what they fail
by. Circuits that may go on either board are supplied as far as the board has ways. What fails with every inverter and
battery, such as a generator that is too small for the loads alone, is said first, and what passes all else is listed.
One line tells how the site's own design does, with the circuits that its plan chooses. Exit status 1 means that
nothing passes, with several hours: for one of them, or that something fails with every inverter and battery.`,
		Example: `  outlast size cottage.toml
  outlast size --autonomy 12,24,48 --catalog own.toml --top 5 cottage.toml`,
		Args:              oneSite("size takes one site"),
		ValidArgsFunction: completeTOML,
		RunE: func(cmd *cobra.Command, files []string) error {
			o.topGiven = cmd.Flags().Changed("top")
			if err := o.check(cmd); err != nil {
				return err
			}
			return runSize(cmd.Context(), cmd.InOrStdin(), cmd.OutOrStdout(), cmd.ErrOrStderr(), files[0], o)
		},
	}
	f := cmd.Flags()
	f.Float64SliceVar(&o.autonomy, "autonomy", nil,
		"size for `HOURS`, or several side by side: 12,24,48 (default: autonomy_h of the site)")
	f.Lookup("autonomy").DefValue = "" // else help shows an empty list
	f.IntVar(&o.top, "top", defaultTop, "show the first `N` of each list (csv and json: all, unless it is given)")
	f.IntVar(&o.maxCount, "max-count", sizing.DefaultMaxCount, "try up to `N` equal inverters in parallel")
	f.BoolVar(&o.more, "more-strings", false,
		"also take banks with more parallel strings than are usual for the battery (max_parallel)")
	f.BoolVar(&o.essential, "essential", false, "leave the circuits that may go on either board on the main board")
	f.StringVar(&o.format, "format", "text", "print as `FORMAT`: text, markdown, csv or json")
	completeFlag(cmd, "format", sheet.Formats())
	f.IntVar(&o.width, "width", 0, "wrap text at `N` columns, 72 to 1000 (default: the terminal's, else 80)")
	outputFlag(cmd, &o.output)
	langFlag(cmd, &o.lang, true)
	catalogFlag(cmd, &o.catalogs)
	return cmd
}

func (o *sizeOptions) check(cmd *cobra.Command) error {
	if err := checkLang(o.lang); err != nil {
		return err
	}
	if err := checkWidth(cmd, o.width); err != nil {
		return err
	}
	if err := checkFormat(o.format, sheet.Formats()); err != nil {
		return err
	}
	switch {
	case o.top < 1:
		return terminal.Usage(fmt.Sprintf("--top %d is out of range", o.top), "give 1 or more")
	case o.maxCount < 1 || o.maxCount > mostSizedCount:
		return terminal.Usage(fmt.Sprintf("--max-count %d is out of range", o.maxCount),
			fmt.Sprintf("give 1 to %d", mostSizedCount))
	case len(o.autonomy) > mostTargets:
		return terminal.Usage(fmt.Sprintf("--autonomy names %d times", len(o.autonomy)),
			fmt.Sprintf("give up to %d", mostTargets))
	}
	for _, h := range o.autonomy {
		if !(h > 0 && h <= maxHoursWished) {
			return terminal.Usage(fmt.Sprintf("--autonomy %g is out of range", h),
				fmt.Sprintf("give hours above 0, at most %d", maxHoursWished))
		}
	}
	slices.Sort(o.autonomy)
	o.autonomy = slices.Compact(o.autonomy)
	return nil
}

func runSize(ctx context.Context, in io.Reader, out, errw io.Writer, file string, o sizeOptions) error {
	if err := o.output.SparesInputs([]string{file}, o.catalogs); err != nil {
		return err
	}
	cat, err := homes.ReadCatalog(ctx, in, o.catalogs)
	if err != nil {
		return err
	}
	home, _, err := homes.Read(ctx, in, file, cat)
	if err != nil {
		return err
	}
	if err := o.output.SparesInputs(homes.NamedFiles(home)); err != nil {
		return err
	}
	targets := o.autonomy
	if len(targets) == 0 {
		targets = []float64{home.Outage.AutonomyH}
	}
	sizes := record.Sizing{Site: home}
	bar := terminal.NewProgress(errw, len(targets))
	defer bar.End()
	for i, hours := range targets {
		z, err := backup.Size(ctx, home, cat, sizing.Options{AutonomyH: hours, Essential: o.essential,
			MaxCount: o.maxCount, MoreStrings: o.more,
			Progress: func(done, of int) { bar.Show(i, done, of) }})
		if err != nil {
			return fmt.Errorf("%s: %w", home.File, err)
		}
		sizes.Targets = append(sizes.Targets, z)
	}
	bar.End()
	top := o.top
	if !o.topGiven && (o.format == "csv" || o.format == "json") {
		top = 0
	}
	so := sheet.Options{Lang: o.lang, Format: o.format, Width: o.width, Spreadsheet: o.output.Spreadsheet()}
	if so.Width == 0 {
		so.Width = terminal.Width(out)
	}
	if err := o.output.Write(ctx, out, func(w io.Writer) error {
		return sheet.WriteSizing(w, sizes, top,
			so)
	}); err != nil {
		return err
	}
	for _, z := range sizes.Targets {
		if len(z.Passing) == 0 || len(z.Standing) > 0 {
			return homes.ErrChecksFail
		}
	}
	return nil
}
