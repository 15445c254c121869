package main

import (
	"runtime"
	"runtime/debug"
	"time"
)

// version is what the program calls itself. A release may set another when it is linked: -ldflags "-X
// main.version=1.2.0".
var version = "0.1.0"

// A stamp is what the build knows of its source.
type stamp struct {
	revision string
	changed  bool // the source is not what the revision holds
	time     time.Time
}

// buildStamp is that of the running program; empty where it was built outside of a repository, or without its stamp.
func buildStamp() (s stamp) {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return s
	}
	return stampOf(info.Settings)
}

func stampOf(settings []debug.BuildSetting) (s stamp) {
	for _, set := range settings {
		switch set.Key {
		case "vcs.revision":
			s.revision = set.Value
		case "vcs.modified":
			s.changed = set.Value == "true"
		case "vcs.time":
			s.time, _ = time.Parse(time.RFC3339, set.Value) // not told is as good as not there
		}
	}
	return s
}

// versionText is the version, and below it what it was built from and with.
func versionText(s stamp) string {
	text := version + "\n"
	if s.revision != "" {
		text += "revision " + s.revision
		if s.changed {
			text += ", with changes"
		}
		if !s.time.IsZero() {
			text += ", " + s.time.Format(time.DateOnly)
		}
		text += "\n"
	}
	return text + runtime.Version() + " " + runtime.GOOS + "/" + runtime.GOARCH
}
