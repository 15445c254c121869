package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"outlast/backup"
	"outlast/backup/capacity"
	"outlast/backup/edit"
	"outlast/backup/measured/banklog"
	"outlast/backup/measured/tabular/workbook"
	"outlast/backup/sheet"
	"outlast/backup/sheet/measured"
	"outlast/backup/sheet/record"
	"outlast/backup/site"
	"outlast/catalog"
	"outlast/catalog/strict"
	"outlast/cmd/outlast/files"
	"outlast/cmd/outlast/homes"
	"outlast/cmd/outlast/terminal"
)

type compareOptions struct {
	log         string
	table       tableFlags
	discharge   string
	fromH, toH  float64
	temperature float64
	startSoC    float64
	emptied     bool
	write       bool

	hasTemperature, hasStart bool

	format   string
	lang     string
	width    int
	output   files.Output
	catalogs []string
}

var (
	compareFormats = []string{"text", "markdown", "json"}
	dischargeSigns = []string{string(banklog.SignPositive), string(banklog.SignNegative)}
)

func newCompare() *cobra.Command {
	var o compareOptions
	kinds, _ := banklog.Kinds()
	cmd := &cobra.Command{
		Use:     "compare FILE --log LOG",
		GroupID: "plan",
		Short:   "Set the log of an outage or of a capacity test beside the plan",
		Long: `compare puts the power that was measured into the bank of the plan, and sets what was logged beside it: where they part,
what capacity the bank has left and how sure that is, and what the plan gives with it. A log is a table of times with power
at the loads or at the bank, or amps, and with volts, state of charge and temperature of the bank, as far as there are any. What
the log does not tell is not guessed: then only what the bank has at least is told.

With --write what was found becomes end_of_life in [practice], rounded down, if it is less than the plan counts with; a copy of
the old file is kept beside it. Exit status 1 means that the plan does not give the required hours any more.`,
		Example: `  outlast compare --log test.csv cottage.toml
  outlast compare --log outage.csv --column volts=4 --temperature 18 --emptied cottage.toml
  outlast compare --log test.csv --write cottage.toml`,
		Args:              oneSite("compare takes one site"),
		ValidArgsFunction: completeTOML,
		RunE: func(cmd *cobra.Command, files []string) error {
			o.hasTemperature, o.hasStart = cmd.Flags().Changed("temperature"), cmd.Flags().Changed("start-soc")
			if err := o.check(cmd, files[0]); err != nil {
				return err
			}
			return runCompare(cmd.Context(), cmd.InOrStdin(), cmd.OutOrStdout(), files[0], o)
		},
	}
	f := cmd.Flags()
	f.Var(named{&o.log, "a log"}, "log", "the log, as `FILE`: a table as text; - for standard input")
	o.table.flags(cmd, kinds)
	o.table.datesFlag(cmd)
	f.StringVar(&o.discharge, "discharge", "",
		"`SIGN` of amps and bank power in a discharge: positive or negative; without it, the log tells")
	f.Float64Var(&o.fromH, "from", 0, "leave out what was logged before `HOURS` from its beginning")
	f.Float64Var(&o.toH, "to", 0, "leave out what was logged after `HOURS` from its beginning")
	f.Float64Var(&o.temperature, "temperature", 0, "of the bank in `DEGREES` Celsius, where the log has none")
	f.Float64Var(&o.startSoC, "start-soc", 1,
		"state of charge at the beginning, as `SHARE` of 1, where the log has none")
	f.BoolVar(&o.emptied, "emptied", false,
		"the bank was empty at the end: what switched it off was the battery or the end voltage of the test")
	f.BoolVar(&o.write, "write", false,
		"write what was found into the site file as end_of_life, and keep a copy of the old file")
	f.StringVar(&o.format, "format", "text", "print as `FORMAT`: text, markdown or json")
	f.IntVar(&o.width, "width", 0, "wrap text at `N` columns, 72 to 1000 (default: the terminal's, else 80)")
	outputFlag(cmd, &o.output)
	langFlag(cmd, &o.lang, true)
	catalogFlag(cmd, &o.catalogs)
	completeFlag(cmd, "format", compareFormats)
	completeFlag(cmd, "discharge", dischargeSigns)
	return cmd
}

// check refuses flags that nobody can mean.
func (o *compareOptions) check(cmd *cobra.Command, file string) error {
	if err := checkFormat(o.format, compareFormats); err != nil {
		return err
	}
	if err := checkLang(o.lang); err != nil {
		return err
	}
	if err := checkWidth(cmd, o.width); err != nil {
		return err
	}
	switch {
	case o.log == "":
		return terminal.Usage("no log is named", "name one: --log test.csv")
	case o.log == "-" && file == "-":
		return terminal.Usage("- is given more than once, but there is one standard input", "")
	case o.write && file == "-":
		return terminal.Usage("--write needs a file that it can write", "give its name")
	case o.discharge != "" && !slices.Contains(dischargeSigns, o.discharge):
		return terminal.Usage(fmt.Sprintf("--discharge %s is unknown", strict.Quote(o.discharge)),
			"it is "+strings.Join(dischargeSigns, " or "))
	case !(o.fromH >= 0 && o.fromH <= mostLogH) || !(o.toH >= 0 && o.toH <= mostLogH):
		return terminal.Usage("--from and --to are hours from the beginning of the log",
			fmt.Sprintf("give 0 to %d", mostLogH))
	case o.toH > 0 && o.toH <= o.fromH:
		return terminal.Usage(fmt.Sprintf("--to %g is not behind --from %g", o.toH, o.fromH), "")
	case o.hasTemperature && !(o.temperature >= -40 && o.temperature <= 80):
		return terminal.Usage(fmt.Sprintf("--temperature %g, want -40 to 80", o.temperature), "")
	case !(o.startSoC > 0 && o.startSoC <= 1):
		return terminal.Usage(fmt.Sprintf("--start-soc %g, want a share above 0 and at most 1", o.startSoC), "")
	}
	return nil
}

// mostLogH is as long as a log may be.
const mostLogH = 10_000

func runCompare(ctx context.Context, in io.Reader, out io.Writer, file string, o compareOptions) error {
	if err := o.output.SparesInputs([]string{file, o.log}, o.catalogs); err != nil {
		return err
	}
	tableOptions, wishes, err := o.table.read(banklog.Kinds())
	if err != nil {
		return err
	}
	cat, err := homes.ReadCatalog(ctx, in, o.catalogs)
	if err != nil {
		return err
	}
	s, src, err := homes.Read(ctx, in, file, cat)
	if err != nil {
		return err
	}
	if err := o.output.SparesInputs(homes.NamedFiles(s)); err != nil {
		return err
	}
	p, err := backup.Alone(ctx, s)
	if err != nil {
		return fmt.Errorf("%s: %w", s.File, err)
	}
	r, name, err := files.Open(in, o.log)
	if err != nil {
		return err
	}
	defer r.Close()
	co := capacity.Options{Emptied: o.emptied}
	if o.hasTemperature {
		co.TempC = &o.temperature
	}
	if o.hasStart {
		co.StartSoC = &o.startSoC
	}
	result, err := files.Interruptible(ctx, func() (*capacity.Result, error) {
		t, err := workbook.Open(name, r, tableOptions)
		if err != nil {
			return nil, err
		}
		l, err := banklog.Read(t, banklog.Options{Wishes: wishes, Dates: o.table.dates, Discharge: banklog.Sign(o.discharge),
			FromH: o.fromH, ToH: o.toH})
		if err != nil {
			return nil, err
		}
		result, err := capacity.Of(p.Facts, l, co)
		if errors.Is(err, capacity.ErrOther) {
			return nil, strict.Problems{{File: name, Msg: err.Error(),
				Hint: "is it of this home, in the units of its head, and of the discharge alone? --from and --to cut it"}}
		}
		return result, err
	})
	if err != nil {
		return err
	}
	test := record.CapacityTest{Result: result, LogFile: name}
	if o.write {
		if test.Written, test.Copy, err = writeEndOfLife(file, src, s, cat, result); err != nil {
			return err
		}
	}
	so := sheet.Options{Lang: o.lang, Format: o.format, Width: o.width}
	if so.Width == 0 {
		so.Width = terminal.Width(out)
	}
	if err := o.output.Write(ctx, out, func(w io.Writer) error {
		return measured.WriteCapacity(w, test,
			so)
	}); err != nil {
		return err
	}
	if holds, _ := result.Holds(); !holds {
		return homes.ErrChecksFail
	}
	return nil
}

// writeEndOfLife changes end_of_life in a site file, and nothing else of it.
func writeEndOfLife(file string, src []byte, s *site.Site, cat *catalog.Catalog, r *capacity.Result) (written float64,
	copied string, err error) {
	share, why := r.EndOfLife()
	refuse := func(msg, hint string) (float64, string, error) {
		return 0, "", terminal.Usage("end_of_life is not written: "+msg, hint)
	}
	switch why {
	case capacity.RefusedUntold:
		return refuse("the log does not tell the capacity",
			"without --write it says why; outlast report tells how to test")
	case capacity.RefusedDisagree:
		return refuse("the ways of finding the capacity contradict each other", "without --write it shows them")
	case capacity.RefusedHigher:
		return refuse(fmt.Sprintf("the bank has %.0f %%, and the plan counts with %.0f %% already", 100*share,
			100*s.Practice.EndOfLife), "end_of_life is what the hours must be met with in the end, not today")
	case capacity.RefusedRange:
		return refuse(fmt.Sprintf("the bank has %.0f %%, less than a site file takes", 100*share), "replace the bank")
	}
	text, err := edit.Apply(src, []edit.Change{{Do: "set", Table: "practice", Key: "end_of_life", Value: share}})
	if err != nil {
		return refuse(err.Error(), "")
	}
	changed, err := site.Read(file, text, cat)
	if err != nil || changed.Practice.EndOfLife != share {
		return refuse("the file cannot be changed in place",
			fmt.Sprintf("write end_of_life = %g into [practice] yourself", share))
	}
	if real, err := filepath.EvalSymlinks(file); err == nil {
		file = real // a link stays a link
	}
	if now, err := files.ReadNow(nil, file, file); err != nil || string(now) != string(src) {
		return refuse(file+" was changed in the meantime", "try again")
	}
	if copied, err = files.KeepCopy(file, src); err != nil {
		return 0, "", err
	}
	if err := files.Replace(file, text); err != nil {
		return 0, "", terminal.Usage(fmt.Sprintf("%s cannot be written: %s", file, terminal.Cause(err)), "the file is as it was")
	}
	return share, filepath.Base(copied), nil
}
