package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"outlast/backup"
	"outlast/backup/outage"
	"outlast/backup/phrase"
	"outlast/backup/sheet"
	"outlast/backup/sheet/record"
	"outlast/backup/study"
	"outlast/cmd/outlast/files"
	"outlast/cmd/outlast/homes"
	"outlast/cmd/outlast/terminal"
	"outlast/loads"
)

type outageOptions struct {
	format   string
	lang     string
	width    int
	output   files.Output
	catalogs []string

	run        study.OutageOptions
	every      bool
	year       study.EveryStartOptions
	perYear    float64
	meanH      float64
	law        string
	targetSet  bool
	hoursGiven bool

	start       string
	sunny, dull bool
}

func newOutage() *cobra.Command {
	var o outageOptions
	cmd := &cobra.Command{
		Use:     "outage FILE",
		GroupID: "plan",
		Short:   "Follow one outage through time, or one from every hour of a year",
		Long: `outage follows the planned home minute by minute from the moment the grid fails: what loses power when and
gets it back, the charge of the bank, what array and generator give. It begins at the least favourable start, the
one that plan and papers promise to outlast, unless --start says otherwise. With --every-start it follows
an outage from each of the 8,760 hours of a year, array, generator and load shedding included, every load
spread evenly over its windows: the probability of supply through it, the least favourable starts, the bank and the
reserve for a wished chance. Exit status 1 means that circuits lose power within the hours, or that a medical load is
without power (with --every-start: that the wished chance is missed).`,
		Example: `  outlast outage --hours 72 cottage.toml
  outlast outage --start 18:30 --month 7 --dull cottage.toml
  outlast outage --every-start --target 24 --chance 0.95 --reserve cottage.toml`,
		Args:              oneSite("outage follows one site"),
		ValidArgsFunction: completeTOML,
		RunE: func(cmd *cobra.Command, files []string) error {
			if err := checkFormat(o.format, outageFormats); err != nil {
				return err
			}
			if err := checkLang(o.lang); err != nil {
				return err
			}
			if err := checkWidth(cmd, o.width); err != nil {
				return err
			}
			if err := needsEvery(cmd, o.every); err != nil {
				return err
			}
			if err := o.beginning(cmd); err != nil {
				return err
			}
			o.targetSet = cmd.Flags().Changed("target")
			o.hoursGiven = cmd.Flags().Changed("hours")
			return runOutage(cmd.Context(), cmd.InOrStdin(), cmd.OutOrStdout(), cmd.ErrOrStderr(), files[0], o)
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.format, "format", "text",
		"print as `FORMAT`: text, csv (events, circuits, fuel, charge by minute) or json")
	f.IntVar(&o.width, "width", 0, "wrap text at `N` columns, 72 to 1000 (default: the terminal's, else 80)")
	outputFlag(cmd, &o.output)
	f.IntVar(&o.run.Hours, "hours", 72, "how long the outage lasts, or with --every-start the longest one, in `HOURS`")
	f.StringVar(&o.start, "start", "", "let the grid fail at `HH:MM` (default: the least favourable start)")
	f.IntVar(&o.run.Month, "month", 0, "in month `N`, 1 to 12 (default: the plan's)")
	f.BoolVar(&o.sunny, "sunny", false, "on the days of the month on which the arrays give most")
	f.BoolVar(&o.dull, "dull", false, "on the days of the month on which the arrays give least")
	f.BoolVar(&o.run.New, "new", false, "take the bank as new instead of at the end of its life")
	f.BoolVar(&o.run.EvenSpread, "even", false,
		"spread every load evenly over its windows instead of switching it on and off in its cycle")
	f.BoolVar(&o.run.NoArray, "no-array", false, "leave the PV arrays out")
	f.BoolVar(&o.run.Measured, "measured", false,
		"follow the days that the meter of the site has measured instead of the list of loads")
	f.BoolVar(&o.run.NoGenerator, "no-generator", false, "leave the generator out")
	f.Uint64Var(&o.run.Seed, "seed", defaultSeed,
		"draw cycles and days of sun from `N`; equal seeds give equal results")
	f.BoolVar(&o.every, "every-start", false, "follow an outage from every hour of a year")
	f.IntVar(&o.year.TargetH, "target", 0,
		"with --every-start: the `HOURS` to outlast (default: the site's autonomy_h)")
	f.Float64Var(&o.year.Chance, "chance", defaultChance, "with --every-start: the wished `CHANCE` to outlast them")
	f.BoolVar(&o.year.Reserves, "reserve", false,
		"with --every-start: also the reserve of each month that keeps the wished chance")
	f.IntVar(&o.year.StepMin, "step", 0, "with --every-start: steps of `MINUTES` (default: as short as the home needs)")
	f.Float64Var(&o.perYear, "outages", 0,
		"with --every-start: `N` outages a year (about the SAIFI of the network), to expect hours without power")
	f.Float64Var(&o.meanH, "mean-hours", 0, "with --outages: their mean length in `HOURS` (about its CAIDI)")
	f.StringVar(&o.law, "law", "exponential", "with --outages: their lengths by `LAW`: "+strings.Join(laws, ", "))
	completeFlag(cmd, "format", outageFormats)
	langFlag(cmd, &o.lang, true)
	catalogFlag(cmd, &o.catalogs)
	return cmd
}

// What is asked about outages from every hour of a year where nobody says otherwise.
const (
	defaultLongestH = 336
	defaultChance   = 0.95
	defaultSeed     = 1
)

// needsEvery refuses flags that only mean something with --every-start.
func needsEvery(cmd *cobra.Command, every bool) error {
	for _, name := range []string{"target", "chance", "reserve", "step", "outages", "mean-hours", "law"} {
		if !every && cmd.Flags().Changed(name) {
			return terminal.Usage(fmt.Sprintf("--%s goes with --every-start", name), "")
		}
	}
	return nil
}

// beginning reads when the outage begins, and under which sky. An outage from every hour of a year begins at all of
// them.
func (o *outageOptions) beginning(cmd *cobra.Command) error {
	for _, name := range []string{"start", "month", "sunny", "dull", "measured"} {
		if o.every && cmd.Flags().Changed(name) {
			return terminal.Usage(fmt.Sprintf("--%s goes without --every-start", name), "")
		}
	}
	if cmd.Flags().Changed("start") {
		minute, err := loads.ParseClock(o.start)
		if err != nil || minute == 24*60 {
			return terminal.Usage(fmt.Sprintf("--start %q is no time of the day", o.start),
				"want HH:MM, from 00:00 to 23:59")
		}
		o.run.Start = &minute
	}
	if cmd.Flags().Changed("month") && (o.run.Month < 1 || o.run.Month > 12) {
		return terminal.Usage(fmt.Sprintf("--month %d is no month", o.run.Month), "want 1 to 12")
	}
	switch {
	case o.sunny && o.dull:
		return terminal.Usage("--sunny and --dull exclude each other", "")
	case o.sunny:
		o.run.Sky = study.SkySunny
	case o.dull:
		o.run.Sky = study.SkyDull
	}
	return nil
}

// laws are those of the lengths of outages.
var laws = []string{"exponential", "lognormal", "weibull"}

var outageFormats = []string{"text", "csv", "json"}

func runOutage(ctx context.Context, in io.Reader, out, errw io.Writer, file string, o outageOptions) error {
	if err := o.output.SparesInputs([]string{file}, o.catalogs); err != nil {
		return err
	}
	p, err := homes.PlanOne(ctx, in, file, o.catalogs)
	if err != nil {
		return err
	}
	if err := o.output.SparesInputs(homes.NamedFiles(p.Site)); err != nil {
		return err
	}
	so := sheet.Options{Lang: o.lang, Format: o.format, Width: o.width, Spreadsheet: o.output.Spreadsheet()}
	if so.Width == 0 {
		so.Width = terminal.Width(out)
	}
	if o.every {
		return runEveryStart(ctx, out, errw, p, o, so)
	}
	r, err := study.RunOutage(ctx, p.Facts, o.run)
	if err != nil {
		return terminal.UsageOf(err)
	}
	draws, drawn, err := study.DrawOutage(ctx, p.Facts, o.run)
	if err != nil {
		return terminal.UsageOf(err)
	}
	if drawn {
		r.Draws = &draws
	}
	if err := o.output.Write(ctx, out, func(w io.Writer) error { return sheet.WriteOutage(w, r, so) }); err != nil {
		return err
	}
	if _, dark := r.HoursUntilDark(); dark || len(r.Medical) > 0 {
		return homes.ErrChecksFail
	}
	return nil
}

func runEveryStart(ctx context.Context, out, errw io.Writer, p *backup.Plan, o outageOptions, so sheet.Options) error {
	y := o.year
	y.New, y.NoArray, y.NoGenerator, y.Seed, y.MaxH = o.run.New, o.run.NoArray, o.run.NoGenerator, o.run.Seed,
		o.run.Hours
	if !o.hoursGiven {
		y.MaxH = defaultLongestH
	}
	if !o.targetSet {
		y.TargetH = max(1, int(p.Site.Outage.AutonomyH))
	}
	y.MaxH = max(y.MaxH, y.TargetH)
	law, words, err := o.lengths()
	if err != nil {
		return err
	}
	bar := terminal.NewProgress(errw, study.EveryStartParts)
	y.Progress = bar.Show
	e, err := study.FromEveryStart(ctx, p.Facts, y)
	bar.End()
	if err != nil {
		return terminal.UsageOf(err)
	}
	year := record.YearOfOutages{EveryStart: e, Law: words}
	if law != nil {
		expected, err := outage.Expect(e.Starts, e.LoadW, law, o.perYear)
		if err != nil {
			return terminal.Usage(err.Error(), "")
		}
		year.Expected = &expected
	}
	if err := o.output.Write(ctx, out, func(w io.Writer) error {
		return sheet.WriteEveryStart(w, year,
			so)
	}); err != nil {
		return err
	}
	if chance, err := e.Chance(y.TargetH); err != nil || chance < y.Chance {
		return homes.ErrChecksFail
	}
	return nil
}

// Spreads of the lengths of outages where only their mean is known: of all major events in the United States from 2000
// to 2016, fitted to open data (derived).
const (
	lognormalSigma = 1.635 // severe weather
	weibullShape   = 0.815 // severe weather
)

// lengths is the law of the lengths of outages; nil when none is asked for.
func (o outageOptions) lengths() (outage.Durations, phrase.Phrase, error) {
	var none phrase.Phrase
	if o.perYear == 0 && o.meanH == 0 {
		return nil, none, nil
	}
	if !(o.perYear > 0) || !(o.meanH > 0) {
		return nil, none, terminal.Usage("--outages and --mean-hours belong together, both above 0",
			"about the SAIFI and the CAIDI/60 of the network")
	}
	words := phrase.Of("%g outages a year of %g h on average, lengths by the %s law", o.perYear, o.meanH,
		phrase.Name(o.law))
	var law outage.Durations
	var err error
	switch o.law {
	case "exponential":
		law, err = outage.NewExponential(o.meanH)
	case "lognormal":
		law, err = outage.LognormalOfMean(o.meanH, lognormalSigma)
		words = words.Then(phrase.Of(" with a spread of %g, that of severe weather", lognormalSigma))
	case "weibull":
		var unit outage.Weibull
		if unit, err = outage.NewWeibull(weibullShape, 1); err == nil {
			law, err = outage.NewWeibull(weibullShape, o.meanH/unit.MeanH())
		}
		words = words.Then(phrase.Of(" with a shape of %g, that of severe weather", weibullShape))
	default:
		return nil, none, terminal.Usage(fmt.Sprintf("--law %q is unknown", o.law),
			"the laws are "+strings.Join(laws, ", "))
	}
	if err != nil {
		return nil, none, terminal.Usage(err.Error(), "")
	}
	return law, words.Then(phrase.Of(". What has lost power counts as without it until the grid is back.")), nil
}
