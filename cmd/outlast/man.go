package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"outlast/cmd/outlast/manual"
	"outlast/cmd/outlast/terminal"
)

// newMan is for those who pack the program; it stands in no list.
func newMan() *cobra.Command {
	return &cobra.Command{
		Use:    "man FOLDER",
		Hidden: true,
		Short:  "Write the pages of the manual into a folder",
		Long: `man writes a page of the manual for each command (section 1) and each topic of help (section 7) into FOLDER, which is
made if it is not there. Pages that are there already are left as they are, and none is written.`,
		Example: `  outlast man ~/.local/share/man-outlast
  outlast man build/man`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return terminal.Usage(fmt.Sprintf("man wants one folder, %d are named", len(args)), "")
			}
			return nil
		},
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
			return nil, cobra.ShellCompDirectiveFilterDirs
		},
		RunE: func(_ *cobra.Command, args []string) error {
			return manual.WriteManPages(args[0], newRoot(), version, buildStamp().time)
		},
	}
}
