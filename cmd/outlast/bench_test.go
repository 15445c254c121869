package main

import (
	"os/exec"
	"path/filepath"
	"testing"
)

// BenchmarkProcess runs the built program on a sample site: start, catalog, reading, planning and printing.
func BenchmarkProcess(b *testing.B) {
	program := filepath.Join(b.TempDir(), "outlast")
	if out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput(); err != nil {
		b.Fatalf("%v\n%s", err, out)
	}
	for _, home := range []string{"town-flat", "farmhouse"} {
		b.Run("site="+home, func(b *testing.B) {
			for b.Loop() {
				if out, err := exec.Command(program, "plan",
					"../../testdata/sites/"+home+".toml").CombinedOutput(); err != nil {
					b.Fatalf("%v\n%s", err, out)
				}
			}
		})
	}
}
