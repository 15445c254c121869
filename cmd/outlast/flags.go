package main

import (
	"errors"
	"fmt"
	"strconv"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"outlast/backup/sheet"
	"outlast/cmd/outlast/files"
	"outlast/cmd/outlast/homes"
	"outlast/cmd/outlast/terminal"
)

// flagError says in our words what is wrong with a flag: the parser's tell of functions that nobody called.
func flagError(cmd *cobra.Command, err error) error {
	hint := "see " + cmd.CommandPath() + " --help"
	var value *pflag.InvalidValueError
	var none *pflag.ValueRequiredError
	var unknown *pflag.NotExistError
	switch {
	case errors.As(err, &value):
		flag := value.GetFlag()
		what := flagWants(flag)
		switch {
		case errors.Is(err, strconv.ErrRange):
			what = "is out of range"
		case what == "": // a type of our own, which says it in our words
			what = value.Unwrap().Error()
		}
		return terminal.Usage(fmt.Sprintf("--%s %q: %s", flag.Name, value.GetValue(), what), hint)
	case errors.As(err, &none):
		name, _ := pflag.UnquoteUsage(none.GetFlag())
		return terminal.Usage(fmt.Sprintf("--%s stands without its value, %s", none.GetFlag().Name, name), hint)
	case errors.As(err, &unknown):
		dashes := "--"
		if unknown.GetSpecifiedShortnames() != "" {
			dashes = "-"
		}
		return terminal.Usage("unknown flag "+dashes+unknown.GetSpecifiedName(), hint)
	}
	return terminal.Usage(err.Error(), hint)
}

// flagWants says what values a flag takes; "" for types that are not the library's.
func flagWants(f *pflag.Flag) string {
	switch f.Value.Type() {
	case "int":
		return "want a whole number"
	case "uint64":
		return "want a whole number from 0 on"
	case "float64":
		return "want a number, with a decimal point"
	case "float64Slice":
		return "want numbers with decimal points, parted by commas"
	case "bool":
		return "want true or false, or the flag alone"
	}
	return ""
}

// outputFlag adds --output to a command.
func outputFlag(cmd *cobra.Command, o *files.Output) {
	cmd.Flags().VarP(named{&o.Path, "a file"}, "output", "o", "write to `FILE` instead, whole or not at all")
}

// named is a flag that takes a name: a script whose variable is empty is told so, and is not given what it did not ask
// for.
type named struct {
	name *string
	what string
}

func (n named) String() string {
	if n.name == nil {
		return ""
	}
	return *n.name
}

func (n named) Type() string { return "name" }

func (n named) Set(s string) error {
	if s == "" {
		return fmt.Errorf("want the name of %s", n.what)
	}
	*n.name = s
	return nil
}

// checkWidth refuses a --width at which tables do not fit, or that nobody can mean.
func checkWidth(cmd *cobra.Command, width int) error {
	if cmd.Flags().Changed("width") && (width < sheet.MinWidth || width > mostWidth) {
		return terminal.Usage(fmt.Sprintf("--width %d is out of range", width),
			fmt.Sprintf("give %d to %d columns", sheet.MinWidth, mostWidth))
	}
	return nil
}

// mostWidth is the greatest width that may be asked for.
const mostWidth = 1000

// listFlag adds --files-from to a command.
func listFlag(cmd *cobra.Command, list *string) {
	cmd.Flags().Var(named{list, "a list of site files"}, "files-from",
		"also take the site files that `LIST` names, one a line; - is standard input")
}

// someSites wants at least one FILE argument, or a list.
func someSites(n *homes.Names) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if n.List == "" || len(args) > 0 {
			if err := siteFiles(cmd, args); err != nil {
				return err
			}
		}
		for _, a := range args {
			if a == "-" && n.List == "-" {
				return terminal.Usage("- is given twice, as a site file and as a list of names, but there is one standard input", "")
			}
		}
		return nil
	}
}
