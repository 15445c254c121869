package main

import (
	"io"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"
)

// shells are the shells for which a completion script can be written.
var shells = map[string]func(root *cobra.Command, out io.Writer) error{
	"bash": func(root *cobra.Command, out io.Writer) error { return root.GenBashCompletionV2(out, true) },
	"fish": func(root *cobra.Command, out io.Writer) error { return root.GenFishCompletion(out, true) },
	"powershell": func(root *cobra.Command, out io.Writer) error {
		return root.GenPowerShellCompletionWithDesc(out)
	},
	"zsh": func(root *cobra.Command, out io.Writer) error { return root.GenZshCompletion(out) },
}

// newCompletion stands in for the library's command of the same name, which answers an unknown shell with its help and status 0.
func newCompletion() *cobra.Command {
	names := slices.Sorted(maps.Keys(shells))
	return &cobra.Command{
		Use:     "completion SHELL",
		GroupID: "more",
		Short:   "Print a script that completes commands, flags and files in a shell",
		Long:    "completion prints the script for " + strings.Join(names, ", ") + ". Load it in the shell's start file.",
		Example: `  outlast completion bash > ~/.local/share/bash-completion/completions/outlast
  outlast completion fish > ~/.config/fish/completions/outlast.fish`,
		ValidArgs: names,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 || shells[args[0]] == nil {
				return &usageError{"completion wants the name of one shell", "the shells are " + strings.Join(names, ", ")}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return shells[args[0]](cmd.Root(), cmd.OutOrStdout()) },
	}
}
