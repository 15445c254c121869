package main

import (
	_ "embed" // for the starter file
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"github.com/spf13/cobra"
)

//go:embed starter.toml
var starter []byte

func newInit() *cobra.Command {
	return &cobra.Command{
		Use:     "init [FILE]",
		GroupID: "plan",
		Short:   "Write a first site file, with comments, to start from",
		Long: `init writes a small home as a site file: every key that a home usually needs, with a comment.
Without FILE it is called site.toml; - prints it. A file that is there already is never overwritten.`,
		Example: `  outlast init
  outlast init cottage.toml`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 1 {
				return &usageError{fmt.Sprintf("init writes one file, %d are named", len(args)), ""}
			}
			return nil
		},
		ValidArgsFunction: completeTOML,
		RunE: func(cmd *cobra.Command, args []string) error {
			path := "site.toml"
			if len(args) == 1 {
				path = args[0]
			}
			return runInit(cmd.OutOrStdout(), cmd.ErrOrStderr(), path)
		},
	}
}

func runInit(out, errw io.Writer, path string) error {
	if path == "-" {
		_, err := out.Write(starter)
		return err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return &usageError{path + " is there already and is left as it is", "name another file"}
	}
	if err != nil {
		return &usageError{fmt.Sprintf("%s cannot be written: %s", path, cause(err)), ""}
	}
	_, err = f.Write(starter)
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err != nil {
		os.Remove(path) // ours: it did not exist before
		return &usageError{fmt.Sprintf("%s cannot be written: %s", path, cause(err)), ""}
	}
	_, err = fmt.Fprintf(errw, "outlast: wrote %s; now try: outlast plan %s\n", visible(path), visible(path))
	return err
}
