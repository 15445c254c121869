package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"outlast/backup/sheet/columns"
	"outlast/catalog/strict"
	"outlast/cmd/outlast/manual"
	"outlast/cmd/outlast/terminal"
)

// newHelp stands in for the library's command of the same name, which answers an unknown command with status 0. It
// knows topics too.
func newHelp() *cobra.Command {
	format := helpFormats[0]
	cmd := &cobra.Command{
		Use:   "help [COMMAND|TOPIC]",
		Short: "Show what a command does, or a page on a topic, with examples",
		Long: "help shows what a command does, or a page on a topic:\n\n" + manual.TopicList() +
			"\nhelp keys TABLE shows the keys of one table of a site file or of a catalog, help keys TABLE.KEY or KEY one of them:\n" +
			strings.Join(columns.Wrapped(strings.Join(manual.TableNames(), ", ")+".", 80, "", ""), "\n") +
			"\n\nWith --format markdown a topic is written as a page for a document.",
		Example: `  outlast help
  outlast help plan
  outlast help wiring
  outlast help keys load
  outlast help keys bank.strings
  outlast help --format markdown keys`,
		ValidArgsFunction: func(cmd *cobra.Command, args []string, begun string) ([]cobra.Completion,
			cobra.ShellCompDirective) {
			var names []cobra.Completion
			switch {
			case len(args) == 1 && args[0] == manual.KeysTopic:
				return manual.CompleteKeys(begun), cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
			case len(args) == 0:
				for _, c := range cmd.Root().Commands() {
					if c.IsAvailableCommand() && !manual.IsTopic(c.Name()) {
						names = append(names, cobra.CompletionWithDesc(c.Name(), c.Short))
					}
				}
				for _, name := range manual.Topics {
					names = append(names, cobra.CompletionWithDesc(name, manual.TopicTitle(name)))
				}
			}
			return names, cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := checkFormat(format, helpFormats); err != nil {
				return err
			}
			if len(args) > 0 && manual.IsTopic(args[0]) {
				return helpTopic(cmd, args, format == helpFormats[1])
			}
			if format != helpFormats[0] {
				return terminal.Usage("--format "+format+" goes with a topic",
					"these are topics: "+strings.Join(manual.Topics, ", "))
			}
			about, rest, err := cmd.Root().Find(args)
			if err != nil || len(rest) > 0 {
				return noHelp(cmd, args)
			}
			about.InitDefaultHelpFlag()
			return about.Help()
		},
	}
	cmd.Flags().StringVar(&format, "format", format, "write a topic as `FORMAT`: "+strings.Join(helpFormats, " or "))
	completeFlag(cmd, "format", helpFormats)
	return cmd
}

// helpFormats are what a topic may be written as.
var helpFormats = []string{"text", "markdown"}

// noHelp refuses what is neither a command nor a topic.
func noHelp(cmd *cobra.Command, args []string) error {
	hint := "outlast help lists the commands, and these are topics: " + strings.Join(manual.Topics, ", ")
	known := slices.Clone(manual.Topics)
	for _, c := range cmd.Root().Commands() {
		known = append(known, c.Name())
	}
	if near := strict.Nearest(args[0], known); near != "" && len(args) == 1 {
		hint = fmt.Sprintf("did you mean %q? %s", near, hint)
	}
	return terminal.Usage(fmt.Sprintf("there is no command and no topic %q", strings.Join(args, " ")), hint)
}

// helpTopic shows a topic. One has the name of a command: its page says where the flags stand.
func helpTopic(cmd *cobra.Command, args []string, markdown bool) error {
	out := cmd.OutOrStdout()
	width := terminal.Width(out)
	switch {
	case args[0] == manual.KeysTopic && len(args) <= 2:
		asked := strings.Join(args[1:], "")
		if markdown {
			return manual.WriteKeysMarkdown(out, asked)
		}
		return manual.WriteKeys(out, asked, width)
	case len(args) > 1:
		return noHelp(cmd, args)
	}
	return manual.WriteTopic(out, args[0], width, markdown)
}
