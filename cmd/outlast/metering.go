package main

import (
	"context"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"outlast/backup/measured/meterfile"
	"outlast/backup/measured/tabular"
	"outlast/backup/sheet"
	"outlast/backup/sheet/measured"
	"outlast/catalog/strict"
	"outlast/cmd/outlast/files"
	"outlast/cmd/outlast/homes"
	"outlast/cmd/outlast/terminal"
)

type importMeterOptions struct {
	table  tableFlags
	zone   string
	ends   bool
	begins bool // said so
	format string
	width  int
	output files.Output
	lang   string
}

var meterFormats = []string{"text", "csv", "json"}

func newImportMeter() *cobra.Command {
	var o importMeterOptions
	cmd := &cobra.Command{
		Use:   "meter FILE",
		Short: "Tell what a home really used, by the interval data of its meter",
		Long: `import meter reads what an electricity meter has counted, hour by hour or finer: the XML of the Energy Services Provider
Interface (NAESB REQ.21), the meter data file of the Australian market (NEM12), or a table of time and energy or power. It tells
base load, energy by month, highest demand, the weeks that take most, gaps, estimates, and failures of the supply that the meter
has seen. With meter = "FILE" in [site] plan sets the list of loads beside it: outlast plan --show measured FILE.

Times of a table are those of the clock on the wall, also behind an offset such as +02:00; with --zone they, and those of the
Australian file, follow its summer time. Times in Z, in seconds since 1970, or in an XML without local time need --zone.`,
		Example: `  outlast import meter meter.xml
  outlast import meter --zone Europe/Madrid --column energy=3 meter.csv
  outlast import meter --format csv -o hours.csv meter.csv`,
		Args: oneTable,
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
			return []cobra.Completion{"csv", "tsv", "txt", "xlsx", "xml"}, cobra.ShellCompDirectiveFilterFileExt
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := checkFormat(o.format, meterFormats); err != nil {
				return err
			}
			if err := checkWidth(cmd, o.width); err != nil {
				return err
			}
			if err := checkLang(o.lang); err != nil {
				return err
			}
			o.begins = cmd.Flags().Changed("time-ends") && !o.ends
			return runImportMeter(cmd.Context(), cmd.InOrStdin(), cmd.OutOrStdout(), args[0], o)
		},
	}
	f := cmd.Flags()
	kinds, _ := meterfile.Kinds()
	o.table.flags(cmd, kinds)
	f.StringVar(&o.zone, "zone", "",
		"the clock of the house, as `AREA/PLACE` of the time zone database (default: as the file tells)")
	o.table.datesFlag(cmd)
	f.BoolVar(&o.ends, "time-ends", false, "times of a table are those at which intervals end")
	f.StringVar(&o.format, "format", "text", "print as `FORMAT`: text, csv (mean power by month and hour) or json")
	f.IntVar(&o.width, "width", 0, "wrap text at `N` columns, 72 to 1000 (default: the terminal's, else 80)")
	outputFlag(cmd, &o.output)
	langFlag(cmd, &o.lang, true)
	completeFlag(cmd, "format", meterFormats)
	return cmd
}

func runImportMeter(ctx context.Context, in io.Reader, out io.Writer, path string, o importMeterOptions) error {
	if err := o.output.SparesInputs([]string{path}); err != nil {
		return err
	}
	to, mo, err := o.asked()
	if err != nil {
		return err
	}
	m, err := homes.ReadMeter(ctx, in, path, to, mo)
	if err != nil {
		return err
	}
	so := sheet.Options{Lang: o.lang, Format: o.format, Width: o.width, Spreadsheet: o.output.Spreadsheet()}
	if so.Width == 0 {
		so.Width = terminal.Width(out)
	}
	return o.output.Write(ctx, out, func(w io.Writer) error { return measured.WriteMeter(w, m, so) })
}

// asked is what the flags tell of a table.
func (o *importMeterOptions) asked() (to tabular.Options, mo meterfile.TableOptions, err error) {
	to, wishes, err := o.table.read(meterfile.Kinds())
	if err != nil {
		return to, mo, err
	}
	var zone *time.Location
	if o.zone != "" {
		if zone, err = time.LoadLocation(o.zone); err != nil {
			return to, mo, terminal.Usage(fmt.Sprintf("--zone %s is unknown", strict.Quote(o.zone)),
				"it is a name of the time zone database, such as Europe/Madrid")
		}
	}
	return to, meterfile.TableOptions{Columns: wishes, Dates: o.table.dates, Zone: zone, Ends: o.ends, Begins: o.begins}, nil
}
