package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"outlast/cmd/outlast/asking"
	"outlast/cmd/outlast/homes"
	"outlast/cmd/outlast/manual"
	"outlast/cmd/outlast/terminal"
)

// exitStopped is the status of an interrupted command, that of shells for SIGINT: 128 and the number of the signal.
const exitStopped = 130

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
` + manual.TopicList(),
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

// complain tells on errw what went wrong, error first and hint after, and gives the exit status.
func complain(errw io.Writer, cmd *cobra.Command, err error) int {
	var kept *asking.KeptError
	var part *homes.PartError
	switch {
	case err == nil:
		return 0
	case errors.Is(err, homes.ErrChecksFail):
		return 1
	case errors.As(err, &kept):
		fmt.Fprintln(errw, "outlast: stopped,", terminal.Visible(kept.Error()))
		terminal.Tell(errw, "hint", kept.GoOn())
		return exitStopped
	case errors.As(err, &part):
		fmt.Fprintln(errw, "outlast: stopped", part.Error())
		return exitStopped
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(errw, "outlast: stopped, nothing was written")
		return exitStopped
	case !terminal.TellErrors(errw, err):
		terminal.Tell(errw, "hint", "see "+cmd.CommandPath()+" --help")
	}
	return 2
}

// siteFiles wants at least one FILE argument, in our own words.
func siteFiles(_ *cobra.Command, args []string) error {
	if len(args) == 0 {
		return terminal.Usage("no site file is named",
			"name one, or - for standard input; outlast init writes a first one")
	}
	stdin := 0
	for _, a := range args {
		if a == "-" {
			stdin++
		}
	}
	if stdin > 1 {
		return terminal.Usage("- is given more than once, but there is one standard input", "")
	}
	return nil
}

// oneSite is siteFiles for a command that takes one, as says tells.
func oneSite(says string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) > 1 {
			return terminal.Usage(fmt.Sprintf("%s, %d are named", says, len(args)), "")
		}
		return siteFiles(c, args)
	}
}

// checkFormat refuses a --format that is not among the known ones.
func checkFormat(given string, known []string) error {
	if !slices.Contains(known, given) {
		return terminal.Usage(fmt.Sprintf("--format %q is unknown", given), "the formats are "+strings.Join(known, ", "))
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
