package main

import (
	"errors"
	"fmt"
	"strconv"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
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
		return &usageError{fmt.Sprintf("--%s %q: %s", flag.Name, value.GetValue(), what), hint}
	case errors.As(err, &none):
		name, _ := pflag.UnquoteUsage(none.GetFlag())
		return &usageError{fmt.Sprintf("--%s stands without its value, %s", none.GetFlag().Name, name), hint}
	case errors.As(err, &unknown):
		dashes := "--"
		if unknown.GetSpecifiedShortnames() != "" {
			dashes = "-"
		}
		return &usageError{"unknown flag " + dashes + unknown.GetSpecifiedName(), hint}
	}
	return &usageError{err.Error(), hint}
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
