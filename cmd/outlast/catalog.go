package main

import (
	"context"
	"fmt"
	"io"
	"slices"

	"github.com/spf13/cobra"

	"outlast/backup/sheet"
	"outlast/catalog"
	"outlast/catalog/strict"
	"outlast/cmd/outlast/homes"
	"outlast/cmd/outlast/terminal"
)

func newCatalog() *cobra.Command {
	var catalogs []string
	cmd := &cobra.Command{
		Use:     "catalog [ID]",
		GroupID: "more",
		Short:   "List equipment and classes of appliances, or show one entry as it stands in a file",
		Long: `catalog lists the inverters, batteries, modules, generators and classes of appliances that a site file can
name with use = "ID". The generic entries are classes with figures typical of their class, not products.
With ID it prints that entry as TOML, ready to be copied and changed.`,
		Example: `  outlast catalog
  outlast catalog chest-freezer
  outlast catalog hybrid-5k-48 >> own.toml`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 1 {
				return terminal.Usage(fmt.Sprintf("catalog shows one entry, %d are named", len(args)), "")
			}
			return nil
		},
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
			cat, err := catalog.Generic()
			if err != nil {
				return nil, cobra.ShellCompDirectiveError
			}
			return cat.IDs(), cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			return runCatalog(cmd.Context(), cmd.InOrStdin(), cmd.OutOrStdout(), args, catalogs)
		},
	}
	catalogFlag(cmd, &catalogs)
	return cmd
}

func runCatalog(ctx context.Context, in io.Reader, out io.Writer, args, catalogs []string) error {
	cat, err := homes.ReadCatalog(ctx, in, catalogs)
	if err != nil {
		return err
	}
	if len(args) == 0 {
		width := terminal.Width(out)
		return sheet.WriteCatalog(out, cat, width)
	}
	id := args[0]
	if !slices.Contains(cat.IDs(), id) {
		hint := "outlast catalog lists them"
		if near := strict.Nearest(id, cat.IDs()); near != "" {
			hint = fmt.Sprintf("did you mean %q?", near)
		}
		return terminal.Usage(fmt.Sprintf("no entry %s in the catalog", strict.Quote(id)), hint)
	}
	_, err = io.WriteString(out, cat.TOML(id))
	return err
}
