package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"
)

// newHelp stands in for the library's command of the same name, which answers an unknown command with status 0.
func newHelp() *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND]",
		Short: "Show what a command does, with examples",
		Example: `  outlast help
  outlast help plan`,
		ValidArgsFunction: func(cmd *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
			var names []cobra.Completion
			for _, c := range cmd.Root().Commands() {
				if len(args) == 0 && c.IsAvailableCommand() {
					names = append(names, cobra.CompletionWithDesc(c.Name(), c.Short))
				}
			}
			return names, cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			about, rest, err := cmd.Root().Find(args)
			if err != nil || len(rest) > 0 {
				return &usageError{fmt.Sprintf("there is no command %q", strings.Join(args, " ")), "outlast help lists the commands"}
			}
			about.InitDefaultHelpFlag()
			return about.Help()
		},
	}
}
