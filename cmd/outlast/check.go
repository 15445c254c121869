package main

import (
	"context"
	"fmt"
	"io"
	"outlast/backup/sheet/speech"

	"github.com/spf13/cobra"
)

func newCheck() *cobra.Command {
	var catalogs []string
	cmd := &cobra.Command{
		Use:     "check FILE...",
		GroupID: "plan",
		Short:   "Read site files and report every problem in them",
		Long: `check reads site files and plans nothing. Every problem is told with its line and column, what was
found and what is allowed. Exit status 2 means that a file has problems.`,
		Example: `  outlast check cottage.toml
  outlast check *.toml`,
		Args:              siteFiles,
		ValidArgsFunction: completeTOML,
		RunE: func(cmd *cobra.Command, files []string) error {
			return runCheck(cmd.Context(), cmd.InOrStdin(), cmd.OutOrStdout(), files, catalogs)
		},
	}
	catalogFlag(cmd, &catalogs)
	return cmd
}

func runCheck(ctx context.Context, in io.Reader, out io.Writer, files, catalogs []string) error {
	cat, err := readCatalog(ctx, in, catalogs)
	if err != nil {
		return err
	}
	sites, err := readSites(ctx, in, files, cat)
	for _, s := range sites {
		if _, werr := fmt.Fprintf(out, "%s: %s, %s, %s, no problem found\n", visible(s.File), speech.Clean(s.Name), count(len(s.Circuits), "circuit"), count(len(s.Loads), "load")); werr != nil {
			return werr
		}
	}
	return err
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
