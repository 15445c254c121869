package main

import (
	"runtime"
	"runtime/debug"
	"testing"
)

// TestVersionText: what the build knows is told, and nothing else.
func TestVersionText(t *testing.T) {
	machine := runtime.Version() + " " + runtime.GOOS + "/" + runtime.GOARCH
	for _, tt := range []struct {
		settings []debug.BuildSetting
		want     string
	}{
		{nil, version + "\n" + machine},
		{[]debug.BuildSetting{{Key: "vcs", Value: "git"}, {Key: "vcs.revision", Value: "4a560dd"},
			{Key: "vcs.time", Value: "2026-11-26T20:15:00Z"}, {Key: "vcs.modified", Value: "false"}},
			version + "\nrevision 4a560dd, 2026-11-26\n" + machine},
		{[]debug.BuildSetting{{Key: "vcs.revision", Value: "4a560dd"}, {Key: "vcs.time", Value: "lately"},
			{Key: "vcs.modified", Value: "true"}},
			version + "\nrevision 4a560dd, with changes\n" + machine},
	} {
		if got := versionText(stampOf(tt.settings)); got != tt.want {
			t.Errorf("%v: got\n%s\nwant\n%s", tt.settings, got, tt.want)
		}
	}
}
