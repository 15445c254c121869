package main

import (
	_ "embed" // for the list of licences
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
)

// licences lists what the program is made of besides its own source, over a line of dashes, and holds the licence of
// each below it. It is written by a test, which holds it against what is linked for every system.
//
//go:embed licences.txt
var licences string

// belowList parts the list from the texts.
const belowList = "----\n"

func newLicences() *cobra.Command {
	var texts bool
	cmd := &cobra.Command{
		Use:     "licences",
		Aliases: []string{"licenses"},
		GroupID: "more",
		Short:   "List the libraries in the program and their licences",
		Long: `licences lists the libraries that are part of the program on some system, each with its version and the kind of its
licence. With --texts the texts of the licences follow.`,
		Example: `  outlast licences
  outlast licences --texts > LICENCES.txt`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return &usageError{fmt.Sprintf("licences wants no argument, found %q", args[0]), ""}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, _ []string) error {
			list, _, _ := strings.Cut(licences, belowList)
			if texts {
				list = licences
			}
			_, err := io.WriteString(cmd.OutOrStdout(), list)
			return err
		},
	}
	cmd.Flags().BoolVar(&texts, "texts", false, "print the text of each licence too")
	return cmd
}
