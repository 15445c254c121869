package drawnhome_test

import (
	"bytes"
	"testing"

	"outlast/backup/drawnhome"
	"outlast/backup/site"
	"outlast/catalog"
)

func TestDrawnHomesCanBeRead(t *testing.T) {
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	differ := map[string]bool{}
	for seed := range uint64(200) {
		src := drawnhome.Draw(seed)
		if !bytes.Equal(src, drawnhome.Draw(seed)) {
			t.Fatalf("seed %d gives two different homes", seed)
		}
		differ[string(src)] = true
		if _, err := site.Read("drawn.toml", src, cat); err != nil {
			t.Errorf("seed %d: %v\n%s", seed, err, src)
		}
	}
	if len(differ) != 200 {
		t.Errorf("%d different homes of 200 seeds", len(differ))
	}
}
