package main

import (
	"encoding/json"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"outlast/backup/sheet/record"
	"outlast/backup/site"
	"outlast/catalog"
)

// schemas are the kinds of file that a schema tells of, the one that is printed unless another is asked for first.
var schemas = []struct {
	name, short string
	of          func() map[string]any
}{
	{"site", "a site file", func() map[string]any {
		return site.FileKeys().Schema("urn:outlast:schema:site", "Site file of outlast")
	}},
	{"catalog", "a file of equipment, as --catalog takes it", func() map[string]any {
		return catalog.FileKeys().Schema("urn:outlast:schema:catalog", "Catalog of outlast")
	}},
	{"plan", "what outlast plan --format json prints",
		func() map[string]any { return record.PlanSchema("urn:outlast:schema:plan", "Plan of outlast") }},
	{"record", "a line of what outlast plan --format jsonl prints", func() map[string]any {
		return record.RecordSchema("urn:outlast:schema:record", "A home of many, planned by outlast")
	}},
}

func newSchema() *cobra.Command {
	var names []string
	var list strings.Builder
	var offered []cobra.Completion
	for _, s := range schemas {
		names = append(names, s.name)
		fmt.Fprintf(&list, "  %-8s %s\n", s.name, s.short)
		offered = append(offered, cobra.CompletionWithDesc(s.name, s.short))
	}
	return &cobra.Command{
		Use:     "schema [KIND]",
		GroupID: "more",
		Short:   "Print the JSON Schema of a site file, a catalog or a plan, for editors and programs",
		Long: `schema prints the JSON Schema (draft 2020-12) of

` + list.String() + `
An editor that takes JSON Schema for TOML completes the keys of a site file with it, tells what each means, and marks
what is wrong while it is written. How it is told of the schema is the editor's affair: many take a setting that pairs
names of files with schemas, some also a first line "#:schema ./site.schema.json", which is a comment to outlast.

A schema knows kinds, ranges, words, lengths, what must be given and what excludes what. outlast check knows more:
that a circuit is there, that figures go together, that a whole number has no decimal point, times of day, dates.`,
		Example: `  outlast schema > site.schema.json
  outlast schema catalog > catalog.schema.json
  outlast schema plan > plan.schema.json`,
		ValidArgs: offered,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 1 {
				return &usageError{fmt.Sprintf("schema prints one schema, %d are named", len(args)), ""}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			kind := strings.Join(args, "")
			for _, s := range schemas {
				if kind == "" || kind == s.name {
					e := json.NewEncoder(cmd.OutOrStdout())
					e.SetIndent("", "  ")
					e.SetEscapeHTML(false)
					return e.Encode(s.of())
				}
			}
			return &usageError{fmt.Sprintf("there is no schema %q", kind),
				"the schemas are " + strings.Join(names, ", ")}
		},
	}
}
