package main

import (
	"context"
	"errors"
	"io"

	"github.com/spf13/cobra"

	"outlast/backup/phrase"
	"outlast/backup/sheet"
	"outlast/backup/workers"
	"outlast/catalog/strict"
	"outlast/cmd/outlast/homes"
	"outlast/cmd/outlast/terminal"
)

func newCheck() *cobra.Command {
	var catalogs []string
	var names homes.Names
	var lang string
	cmd := &cobra.Command{
		Use:     "check FILE...",
		GroupID: "plan",
		Short:   "Read site files and report every problem in them",
		Long: `check reads site files and plans nothing. Every problem is told with its line and column, what was
found and what is allowed. A FILE that is a folder stands for the .toml files in it. Exit status 2 means
that a file has problems.`,
		Example: `  outlast check cottage.toml
  outlast check homes`,
		Args:              someSites(&names),
		ValidArgsFunction: completeTOML,
		RunE: func(cmd *cobra.Command, files []string) error {
			if err := checkLang(lang); err != nil {
				return err
			}
			names.Args, names.In = files, cmd.InOrStdin()
			return runCheck(cmd.Context(), cmd.OutOrStdout(), &names, catalogs, lang)
		},
	}
	listFlag(cmd, &names.List)
	langFlag(cmd, &lang, false)
	catalogFlag(cmd, &catalogs)
	return cmd
}

func runCheck(ctx context.Context, out io.Writer, names *homes.Names, catalogs []string, lang string) error {
	cat, err := homes.ReadCatalog(ctx, names.In, catalogs)
	if err != nil {
		return err
	}
	type outcome struct {
		line string
		err  error
	}
	var problems strict.Problems
	told := 0
	err = workers.InOrder(ctx, names.Each(), func(name homes.Name) outcome {
		if name.Err != nil {
			return outcome{err: name.Err}
		}
		s, _, err := homes.Read(ctx, names.In, name.Path, cat)
		if err != nil {
			return outcome{err: err}
		}
		line, err := sheet.Say(s, lang, phrase.Of("%s: %s, %s, %s, no problem found", phrase.Name(terminal.Visible(s.File)),
			phrase.Name(s.Name),
			phrase.Count(len(s.Circuits), "%d circuit", "%d circuits"),
			phrase.Count(len(s.Loads), "%d load", "%d loads")))
		return outcome{line: line + "\n", err: err}
	}, func(o outcome) error {
		if o.err != nil {
			return homes.Gather(&problems, o.err)
		}
		told++
		_, err := io.WriteString(out, o.line)
		return err
	})
	switch {
	case errors.Is(err, context.Canceled) && told > 0:
		return &homes.PartError{Told: told}
	case err == nil && problems != nil:
		return problems
	}
	return err
}
