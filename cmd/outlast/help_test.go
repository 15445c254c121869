package main

import (
	"bytes"
	"strings"
	"testing"

	"github.com/spf13/cobra"
)

// TestHelp: every command says in a line what it does, and shows two uses of itself that the program understands.
func TestHelp(t *testing.T) {
	root := newRoot()
	root.InitDefaultHelpCmd()
	commands := append([]*cobra.Command{root}, root.Commands()...)
	for _, c := range root.Commands() {
		if c.Name() == "import" {
			commands = append(commands, c.Commands()...)
		}
	}
	if len(commands) < 7 {
		t.Fatalf("%d commands, want the root and at least init, check, plan, catalog, completion and help",
			len(commands))
	}
	for _, c := range commands {
		args := append(strings.Fields(c.CommandPath())[1:], "--help")
		var out, errw bytes.Buffer
		if status := run(args, strings.NewReader(""), &out, &errw); status != 0 || errw.Len() > 0 {
			t.Errorf("%s --help: status %d, stderr %q, want 0 and nothing", c.CommandPath(), status, errw.String())
		}
		if c.Short == "" || c.Short[:1] != strings.ToUpper(c.Short[:1]) || strings.HasSuffix(c.Short, ".") {
			t.Errorf("%s: the line %q wants a capital and no full stop", c.CommandPath(), c.Short)
		}
		var examples []string
		_, rest, _ := strings.Cut(out.String(), "Examples:\n")
		for line := range strings.Lines(rest) {
			if line = strings.TrimSpace(line); line == "" {
				break
			}
			examples = append(examples, line)
		}
		if len(examples) < 2 {
			t.Errorf("%s --help shows %d examples, want two:\n%s", c.CommandPath(), len(examples), out.String())
		}
		for _, line := range examples {
			understand(t, c, line)
		}
		for line := range strings.Lines(out.String()) {
			if len(line) > 130 {
				t.Errorf("%s --help: the line %q is long", c.CommandPath(), line)
			}
		}
	}
}

// understand parses an example as the program would: the command exists, its flags too, and the arguments are of their
// number.
func understand(t *testing.T, c *cobra.Command, line string) {
	t.Helper()
	command, _, _ := strings.Cut(line, " >")
	words := strings.Fields(command)
	if words[0] != "outlast" {
		t.Errorf("%s: the example %q does not call outlast", c.CommandPath(), line)
		return
	}
	root := newRoot()
	root.InitDefaultHelpCmd()
	found, args, err := root.Find(words[1:])
	if err != nil {
		t.Errorf("%s: the example %q: %v", c.CommandPath(), line, err)
		return
	}
	if c.HasParent() && found.Name() != c.Name() && found.Parent().Name() != c.Name() {
		t.Errorf("%s: the example %q shows another command", c.CommandPath(), line)
	}
	if err := found.ParseFlags(args); err != nil {
		t.Errorf("%s: the example %q: %v", c.CommandPath(), line, err)
		return
	}
	if err := found.ValidateArgs(found.Flags().Args()); err != nil {
		t.Errorf("%s: the example %q: %v", c.CommandPath(), line, err)
	}
}
