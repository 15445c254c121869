package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"outlast/catalog/strict"
)

// errChecksFail ends a command whose output has already said which checks fail.
var errChecksFail = errors.New("a check fails")

// exitStopped is the status of an interrupted command, that of shells for SIGINT: 128 and the number of the signal.
const exitStopped = 130

// usage makes a mistake of how the program was called of an error, unless it only tells that the command was
// interrupted.
func usage(err error) error {
	if errors.Is(err, context.Canceled) {
		return err
	}
	return &usageError{err.Error(), ""}
}

func newRoot() *cobra.Command {
	root := &cobra.Command{
		Use:   "outlast",
		Short: "Plan what stays on when the grid fails",
		Long: `outlast plans backup power for a home: which circuits stay on when the grid fails,
whether the inverter carries and starts them, and how long the battery bank lasts.
Everything is written in one site file.

Exit status: 0 every check passes or is a caution, 1 a check fails, 2 bad input or usage,
130 interrupted.

Pages of help, to be read with outlast help TOPIC:
` + topicList(),
		Example: `  outlast init cottage.toml
  outlast plan cottage.toml`,
		Version:       versionText(buildStamp()),
		SilenceErrors: true,
		SilenceUsage:  true,
	}
	root.AddGroup(&cobra.Group{ID: "plan", Title: "Planning:"}, &cobra.Group{ID: "more", Title: "More:"})
	root.SetFlagErrorFunc(flagError)
	root.SetHelpCommand(newHelp())
	root.SetHelpCommandGroupID("more")
	root.AddCommand(newInit(), newImport(), newCheck(), newPlan(), newSize(), newOutage(), newCompare(), newReport(),
		newServe(),
		newCatalog(), newSchema(), newLicences(), newMan(), newCompletion())
	completeShared(root)
	return root
}

// A usageError is a mistake in how the program was called, with what to try.
type usageError struct{ msg, hint string }

func (e *usageError) Error() string { return e.msg }

// tell says something on errw. Names of files and what stands in them come from elsewhere: they are made visible.
func tell(errw io.Writer, kind, text string) {
	if text != "" {
		fmt.Fprintf(errw, "outlast: %s: %s\n", kind, visible(text))
	}
}

// complain tells on errw what went wrong, error first and hint after, and gives the exit status.
func complain(errw io.Writer, cmd *cobra.Command, err error) int {
	var kept *keptError
	var part *partError
	switch {
	case err == nil:
		return 0
	case errors.Is(err, errChecksFail):
		return 1
	case errors.As(err, &kept):
		fmt.Fprintln(errw, "outlast: stopped,", visible(kept.Error()))
		tell(errw, "hint", kept.goOn())
		return exitStopped
	case errors.As(err, &part):
		fmt.Fprintln(errw, "outlast: stopped", part.Error())
		return exitStopped
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(errw, "outlast: stopped, nothing was written")
		return exitStopped
	case !tellErrors(errw, err):
		tell(errw, "hint", "see "+cmd.CommandPath()+" --help")
	}
	return 2
}

// tellErrors tells what is wrong with input or usage. It is false where somebody else's words had to do.
func tellErrors(errw io.Writer, err error) bool {
	var problems strict.Problems
	var usage *usageError
	switch {
	case errors.As(err, &problems):
		for _, p := range problems {
			tell(errw, "error", p.Error())
			tell(errw, "hint", p.Hint)
		}
	case errors.As(err, &usage):
		tell(errw, "error", usage.msg)
		tell(errw, "hint", usage.hint)
	default:
		// The library's own words may have several lines: what else could have been meant.
		lines := strings.Split(strings.ReplaceAll(err.Error(), "\t", "  "), "\n")
		tell(errw, "error", lines[0])
		for _, line := range lines[1:] {
			fmt.Fprintln(errw, visible(line))
		}
		return false
	}
	return true
}

// siteFiles wants at least one FILE argument, in our own words.
func siteFiles(_ *cobra.Command, args []string) error {
	if len(args) == 0 {
		return &usageError{"no site file is named",
			"name one, or - for standard input; outlast init writes a first one"}
	}
	stdin := 0
	for _, a := range args {
		if a == "-" {
			stdin++
		}
	}
	if stdin > 1 {
		return &usageError{"- is given more than once, but there is one standard input", ""}
	}
	return nil
}

// oneSite is siteFiles for a command that takes one, as says tells.
func oneSite(says string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) > 1 {
			return &usageError{fmt.Sprintf("%s, %d are named", says, len(args)), ""}
		}
		return siteFiles(c, args)
	}
}

// checkFormat refuses a --format that is not among the known ones.
func checkFormat(given string, known []string) error {
	if !slices.Contains(known, given) {
		return &usageError{fmt.Sprintf("--format %q is unknown", given), "the formats are " + strings.Join(known, ", ")}
	}
	return nil
}

// completeTOML offers files that end in .toml.
func completeTOML(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
	return []cobra.Completion{"toml"}, cobra.ShellCompDirectiveFilterFileExt
}

// catalogFlag adds --catalog to a command.
func catalogFlag(cmd *cobra.Command, files *[]string) {
	cmd.Flags().StringArrayVar(files, "catalog", nil,
		"also use the equipment in `FILE`; its entries take the place of generic ones with the same id")
}
