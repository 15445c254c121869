package main

import (
	"io"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"outlast/backup/sheet/paper/words"
	"outlast/catalog"
	"outlast/cmd/outlast/terminal"
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

// newCompletion stands in for the library's command of the same name, which answers an unknown shell with its help and
// status 0.
func newCompletion() *cobra.Command {
	names := slices.Sorted(maps.Keys(shells))
	return &cobra.Command{
		Use:     "completion SHELL",
		GroupID: "more",
		Short:   "Print a script that completes commands, flags and files in a shell",
		Long: "completion prints the script for " + strings.Join(names, ", ") +
			". Load it in the shell's start file.",
		Example: `  outlast completion bash > ~/.local/share/bash-completion/completions/outlast
  outlast completion fish > ~/.config/fish/completions/outlast.fish`,
		ValidArgs: names,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 || shells[args[0]] == nil {
				return terminal.Usage("completion wants the name of one shell",
					"the shells are "+strings.Join(names, ", "))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return shells[args[0]](cmd.Root(), cmd.OutOrStdout()) },
	}
}

// completeFlag offers the values of a flag.
func completeFlag(cmd *cobra.Command, name string, values []cobra.Completion) {
	completeWith(cmd, name, cobra.FixedCompletions(values, cobra.ShellCompDirectiveNoFileComp))
}

func completeWith(cmd *cobra.Command, name string, f cobra.CompletionFunc) {
	if err := cmd.RegisterFlagCompletionFunc(name, f); err != nil {
		panic(err) // the flag is not there, or has its values already: a slip of the programmer's
	}
}

// filesWanted are the names of the values that are files: those are left to the shell.
var filesWanted = []string{"FILE", "LIST", "PROGRAM"}

// completeShared offers the values of the flags that several commands have, and nothing where a number or a text of the
// user's is wanted: a shell would offer files.
func completeShared(root *cobra.Command) {
	fixed := map[string][]cobra.Completion{"lang": words.Languages(), "law": laws}
	for _, cmd := range root.Commands() {
		cmd.Flags().VisitAll(func(f *pflag.Flag) {
			if _, has := cmd.GetFlagCompletionFunc(f.Name); has {
				return
			}
			value, _ := pflag.UnquoteUsage(f)
			switch {
			case fixed[f.Name] != nil:
				completeFlag(cmd, f.Name, fixed[f.Name])
			case f.Name == "catalog":
				completeWith(cmd, f.Name, completeTOML)
			case f.Name == "with":
				completeWith(cmd, f.Name, completeClasses)
			case value == "FOLDER":
				completeWith(cmd, f.Name, func(*cobra.Command, []string, string) ([]cobra.Completion,
					cobra.ShellCompDirective) {
					return nil, cobra.ShellCompDirectiveFilterDirs
				})
			case !slices.Contains(filesWanted, value) && f.Value.Type() != "bool":
				completeFlag(cmd, f.Name, nil)
			}
		})
	}
}

// completeList offers the next of a list with commas, but for those that are in it.
func completeList(begun string, names []string) ([]cobra.Completion, cobra.ShellCompDirective) {
	before := begun[:strings.LastIndexByte(begun, ',')+1]
	var out []cobra.Completion
	for _, name := range names {
		if !slices.Contains(strings.Split(before, ","), name) {
			out = append(out, before+name)
		}
	}
	return out, cobra.ShellCompDirectiveNoFileComp
}

// completeClasses offers the next class of appliances.
func completeClasses(_ *cobra.Command, _ []string, begun string) ([]cobra.Completion, cobra.ShellCompDirective) {
	cat, err := catalog.Generic()
	if err != nil {
		return nil, cobra.ShellCompDirectiveError
	}
	var ids []string
	for _, a := range cat.Appliances() {
		ids = append(ids, a.ID)
	}
	out, directive := completeList(begun, ids)
	return out, directive | cobra.ShellCompDirectiveNoSpace
}
