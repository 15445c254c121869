package main

import (
	_ "embed" // for the starter file
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"outlast/cmd/outlast/files"
	"outlast/cmd/outlast/terminal"
)

//go:embed starter.toml
var starter []byte

func newInit() *cobra.Command {
	var o interviewOptions
	cmd := &cobra.Command{
		Use:     "init [FILE]",
		GroupID: "plan",
		Short:   "Write a first site file: a small home with comments, or your own by an interview",
		Long: `init writes a small home as a site file: every key that a home usually needs, with a comment.
Without FILE it is called site.toml; - prints it. A file that is there already is never overwritten.

With --ask it asks what the home is like, in the owner's words, proposes equipment as size finds it, writes the site
file and prints its first plan. What nobody knows is answered with ?, takes a default on the safe side, and is listed
below the plan. Answers are kept in a file beside FILE until the site file stands: after Ctrl-C, --ask --answers goes
on from there. --lang asks, and comments the site file, in German, Spanish or French; answers are read in all four
languages, whatever was asked in. --with, --hours, --answer and --answers alone ask nothing: what they leave open
counts as not known.
Exit status 1 means that a check of the first plan fails; the site file is written all the same.`,
		Example: `  outlast init cottage.toml
  outlast init --ask cottage.toml
  outlast init --ask --lang de haus.toml
  outlast init --with chest-freezer,well-pump-1kw*1,led-lamp*8 --hours 24 cottage.toml
  outlast init --answers cottage.answers --answer supply:120x2 cottage.toml`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 1 {
				return terminal.Usage(fmt.Sprintf("init writes one file, %d are named", len(args)), "")
			}
			return nil
		},
		ValidArgsFunction: completeTOML,
		RunE: func(cmd *cobra.Command, args []string) error {
			o.path = "site.toml"
			if len(args) == 1 {
				o.path = args[0]
			}
			if o.wanted() {
				return runInterview(cmd.Context(), cmd.InOrStdin(), cmd.OutOrStdout(), cmd.ErrOrStderr(), o)
			}
			if cmd.Flags().Changed("lang") {
				return terminal.Usage("--lang stands without --ask or answers", "the small home is in English alone")
			}
			return runInit(cmd.OutOrStdout(), cmd.ErrOrStderr(), o.path)
		},
	}
	o.flags(cmd)
	return cmd
}

func runInit(out, errw io.Writer, path string) error {
	if path == "-" {
		_, err := out.Write(starter)
		return err
	}
	if err := files.WriteNew(path, starter); err != nil {
		return err
	}
	_, err := fmt.Fprintf(errw, "outlast: wrote %s; now try: outlast plan %s\n", terminal.Visible(path), terminal.Visible(path))
	return err
}
