package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"outlast/catalog/strict"
)

// newHelp stands in for the library's command of the same name, which answers an unknown command with status 0. It knows topics too.
func newHelp() *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND|TOPIC]",
		Short: "Show what a command does, or a page on a topic, with examples",
		Long:  "help shows what a command does, or a page on a topic:\n\n" + topicList() + "\nhelp keys TABLE shows the keys of one table of a site file:\n" + strings.Join(tableNames(), ", ") + ".",
		Example: `  outlast help
  outlast help plan
  outlast help wiring
  outlast help keys load`,
		ValidArgsFunction: func(cmd *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
			var names []cobra.Completion
			switch {
			case len(args) == 1 && args[0] == keysTopic:
				names = tableNames()
			case len(args) == 0:
				for _, c := range cmd.Root().Commands() {
					if c.IsAvailableCommand() && !isTopic(c.Name()) {
						names = append(names, cobra.CompletionWithDesc(c.Name(), c.Short))
					}
				}
				for _, name := range topics {
					names = append(names, cobra.CompletionWithDesc(name, topicTitle(name)))
				}
			}
			return names, cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 && isTopic(args[0]) {
				return helpTopic(cmd, args)
			}
			about, rest, err := cmd.Root().Find(args)
			if err != nil || len(rest) > 0 {
				return noHelp(cmd, args)
			}
			about.InitDefaultHelpFlag()
			return about.Help()
		},
	}
}

// noHelp refuses what is neither a command nor a topic.
func noHelp(cmd *cobra.Command, args []string) error {
	hint := "outlast help lists the commands, and these are topics: " + strings.Join(topics, ", ")
	known := slices.Clone(topics)
	for _, c := range cmd.Root().Commands() {
		known = append(known, c.Name())
	}
	if near := strict.Nearest(args[0], known); near != "" && len(args) == 1 {
		hint = fmt.Sprintf("did you mean %q? %s", near, hint)
	}
	return &usageError{fmt.Sprintf("there is no command and no topic %q", strings.Join(args, " ")), hint}
}

// helpTopic shows a topic. One has the name of a command: its page says where the flags stand.
func helpTopic(cmd *cobra.Command, args []string) error {
	width, _ := terminal(cmd.OutOrStdout())
	switch {
	case args[0] == keysTopic && len(args) == 2:
		if !slices.Contains(tableNames(), args[1]) {
			return &usageError{fmt.Sprintf("a site file has no table %q", args[1]), "its tables are " + strings.Join(tableNames(), ", ")}
		}
		return writeKeys(cmd.OutOrStdout(), args[1], width)
	case len(args) > 1:
		return noHelp(cmd, args)
	case args[0] == keysTopic:
		return writeKeys(cmd.OutOrStdout(), "", width)
	case args[0] == glossaryTopic:
		return writeGlossary(cmd.OutOrStdout(), width)
	}
	return writeTopic(cmd.OutOrStdout(), args[0], width)
}
