package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"outlast/cmd/outlast/manual"
	"outlast/cmd/outlast/terminal"
)

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
				return terminal.Usage(fmt.Sprintf("licences wants no argument, found %q", args[0]), "")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, _ []string) error {
			list, _, _ := strings.Cut(manual.Licences, manual.BelowList)
			if texts {
				list = manual.Licences
			}
			_, err := io.WriteString(cmd.OutOrStdout(), list)
			return err
		},
	}
	cmd.Flags().BoolVar(&texts, "texts", false, "print the text of each licence too")
	return cmd
}
