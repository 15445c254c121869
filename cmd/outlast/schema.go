package main

import (
	"encoding/json"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"outlast/cmd/outlast/manual"
	"outlast/cmd/outlast/terminal"
)

func newSchema() *cobra.Command {
	var names []string
	var list strings.Builder
	var offered []cobra.Completion
	for _, s := range manual.Schemas {
		names = append(names, s.Name)
		fmt.Fprintf(&list, "  %-8s %s\n", s.Name, s.Short)
		offered = append(offered, cobra.CompletionWithDesc(s.Name, s.Short))
	}
	return &cobra.Command{
		Use:     "schema [KIND]",
		GroupID: "more",
		Short:   "Print the JSON Schema of a site file, a catalog or what a command prints as JSON",
		Long: `schema prints the JSON Schema (draft 2020-12) of

` + list.String() + `
An editor that takes JSON Schema for TOML completes the keys of a site file with it, tells what each means, and marks
what is wrong while it is written. How it is told of the schema is the editor's affair: many take a setting that pairs
names of files with schemas, some also a first line "#:schema ./site.schema.json", which is a comment to outlast.

A schema knows kinds, ranges, words, lengths, what must be given and what excludes what. outlast check knows more:
that a circuit is there, that figures go together, that a whole number has no decimal point, times of day, dates.`,
		Example: `  outlast schema > site.schema.json
  outlast schema catalog > catalog.schema.json
  outlast schema plan > plan.schema.json
  outlast schema outage > outage.schema.json`,
		ValidArgs: offered,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 1 {
				return terminal.Usage(fmt.Sprintf("schema prints one schema, %d are named", len(args)), "")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			kind := strings.Join(args, "")
			for _, s := range manual.Schemas {
				if kind == "" || kind == s.Name {
					e := json.NewEncoder(cmd.OutOrStdout())
					e.SetIndent("", "  ")
					e.SetEscapeHTML(false)
					return e.Encode(s.Of())
				}
			}
			return terminal.Usage(fmt.Sprintf("there is no schema %q", kind),
				"the schemas are "+strings.Join(names, ", "))
		},
	}
}
