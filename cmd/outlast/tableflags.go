package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"outlast/backup/measured/tabular"
	"outlast/catalog/strict"
	"outlast/cmd/outlast/terminal"
)

// tableFlags are what a table does not tell, or tells otherwise than its reader finds.
type tableFlags struct {
	columns            []string
	delimiter, decimal string
	dates              string
	sheet              string
}

// flags adds them to a command, but for --dates; its help comes to list the kinds of columns.
func (f *tableFlags) flags(cmd *cobra.Command, kinds []tabular.Kind) {
	cmd.Flags().StringArrayVar(&f.columns, "column", nil,
		"take `KIND=COLUMN`, its number or its head: power=3, \"power=3 kW\"; power=none leaves it unread")
	ids := make([]string, len(kinds))
	for i, k := range kinds {
		ids[i] = k.ID
	}
	cmd.Long += "\n\nKinds of columns: " + strings.Join(ids[:len(ids)/2], ", ") + ",\n" +
		strings.Join(ids[len(ids)/2:], ", ") + "."
	cmd.Flags().StringVar(&f.delimiter, "delimiter", "",
		"`SIGN` between columns: comma, semicolon, tab or bar; without it, it is found")
	cmd.Flags().Var(named{&f.sheet, "a sheet"}, "sheet",
		"of a workbook, read the sheet called `NAME`; without it, the first")
	cmd.Flags().StringVar(&f.decimal, "decimal", "", "`SIGN` before decimals: point or comma; without it, it is found")
}

// dateOrders are what --dates takes.
var dateOrders = []string{"dmy", "mdy"}

// datesFlag adds --dates, for tables with moments.
func (f *tableFlags) datesFlag(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.dates, "dates", "",
		"dates begin with day or month, `ORDER` dmy or mdy; without it, the table tells")
	completeFlag(cmd, "dates", dateOrders)
}

// read says how the table is opened, and which of its columns are named, of some kinds and in some units.
func (f *tableFlags) read(kinds []tabular.Kind, units []string) (o tabular.Options, wishes []tabular.Wish, err error) {
	o.Sheet = f.sheet
	signs := map[string]rune{"": 0, "comma": ',', "semicolon": ';', "tab": '\t', "bar": '|'}
	var ok bool
	if o.Delimiter, ok = signs[f.delimiter]; !ok {
		return o, nil, terminal.Usage(fmt.Sprintf("--delimiter %s is unknown", strict.Quote(f.delimiter)),
			"it is comma, semicolon, tab or bar")
	}
	if o.Decimal, ok = map[string]rune{"": 0, "point": '.', "comma": ','}[f.decimal]; !ok {
		return o, nil, terminal.Usage(fmt.Sprintf("--decimal %s is unknown", strict.Quote(f.decimal)),
			"it is point or comma")
	}
	if f.dates != "" && !slices.Contains(dateOrders, f.dates) {
		return o, nil, terminal.Usage(fmt.Sprintf("--dates %s is unknown", strict.Quote(f.dates)), "it is dmy or mdy")
	}
	if wishes, err = tabular.ReadWishes(f.columns, kinds, units); err != nil {
		return o, nil, terminal.UsageOf(err)
	}
	return o, wishes, nil
}

// oneTable wants the name of one table.
func oneTable(_ *cobra.Command, args []string) error {
	if len(args) != 1 {
		return terminal.Usage(fmt.Sprintf("import reads one table, %d are named", len(args)), "")
	}
	return nil
}
