package main

import (
	"bytes"
	"context"
	"strings"
	"testing"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// Every flag of every command, given what it cannot take, answers in words for people.
func TestFlagsSpeakPlainly(t *testing.T) {
	tried := 0
	for _, cmd := range newRoot().Commands() {
		for _, flag := range flagsOf(cmd) {
			for _, value := range []string{"x?", "1,5", "99999999999999999999", ""} {
				var out, errs bytes.Buffer
				ctx, stop := context.WithTimeout(t.Context(), time.Second) // serve goes on where its flag says nothing wrong
				status := runUntil(ctx, []string{cmd.Name(), "--" + flag.Name + "=" + value,
					"../../testdata/sites/town-flat.toml"}, strings.NewReader(""), &out, &errs)
				stop()
				tried++
				for _, word := range []string{"strconv", "Parse", "invalid syntax", "invalid argument", "parsing"} {
					if strings.Contains(errs.String(), word) {
						t.Errorf("%s --%s=%q: %s", cmd.Name(), flag.Name, value, errs.String())
					}
				}
				if typ := flag.Value.Type(); value == "x?" && (typ == "int" || typ == "float64" || typ == "uint64" ||
					typ == "bool" || typ == "float64Slice") {
					if want := "outlast: error: --" + flag.Name + ` "x?": want `; status != 2 ||
						!strings.HasPrefix(errs.String(), want) {
						t.Errorf("%s --%s=x?: status %d, %q; want 2 and %q", cmd.Name(), flag.Name, status,
							errs.String(), want)
					}
				}
			}
		}
	}
	if tried < 100 {
		t.Errorf("only %d values tried", tried)
	}
	for _, tt := range []struct{ arg, want string }{
		{"--hours", "--hours stands without its value, HOURS"}, {"--zebra", "unknown flag --zebra"},
		{"-z", "unknown flag -z"},
		{"--hours=99999999999999999999", "is out of range"},
	} {
		var out, errs bytes.Buffer
		if status := run([]string{"outage", tt.arg}, nil, &out, &errs); status != 2 ||
			!strings.Contains(errs.String(), tt.want) {
			t.Errorf("outage %s: status %d, %q; want 2 and %q", tt.arg, status, errs.String(), tt.want)
		}
	}
}

// flagsOf are the flags of a command whose values are read, but for those that write files.
func flagsOf(cmd *cobra.Command) (flags []*pflag.Flag) {
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		if f.Name != "output" && f.Name != "tables" && f.Name != "help" {
			flags = append(flags, f)
		}
	})
	return flags
}
