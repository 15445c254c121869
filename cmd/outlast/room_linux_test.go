//go:build !race

package main

import (
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// Room is taken before the packages that fill large tables are initialised.
func TestRoomIsTakenFirst(t *testing.T) {
	cmd := exec.Command(os.Args[0], "-test.run=^$")
	cmd.Env = append(os.Environ(), "GODEBUG=inittrace=1")
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	lines := strings.Split(string(out), "\n")
	at := func(pkg string) int {
		return slices.IndexFunc(lines, func(l string) bool { return strings.HasPrefix(l, "init "+pkg+" ") })
	}
	room := at("outlast/cmd/outlast/room")
	if room < 0 {
		t.Fatalf("no room is taken:\n%s", out)
	}
	for _, large := range []string{"github.com/xuri/excelize/v2", "github.com/olekukonko/tablewriter/pkg/twwidth",
		"github.com/russross/blackfriday/v2", "outlast/catalog"} {
		if i := at(large); i < room {
			t.Errorf("%s is initialised as number %d, room is taken as number %d", large, i, room)
		}
	}
}
