package backup_test

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"

	"outlast/backup"
	"outlast/backup/drawnhome"
	"outlast/backup/sheet"
	"outlast/backup/sheet/record"
	"outlast/backup/sizing"
	"outlast/backup/study"
)

// shuffled is a site file whose circuits and loads stand elsewhere among their like.
func shuffled(src string, seed uint64) string {
	blocks := strings.Split(src, "\n[")
	r := rand.New(rand.NewPCG(seed, 7))
	for _, kind := range []string{"[circuit]]", "[load]]"} {
		var at []int
		for i, b := range blocks {
			if strings.HasPrefix(b, kind) {
				at = append(at, i)
			}
		}
		r.Shuffle(len(at), func(i, j int) { blocks[at[i]], blocks[at[j]] = blocks[at[j]], blocks[at[i]] })
	}
	return strings.Join(blocks, "\n[")
}

// followsFile are the keys that tell of the order of the file or of the search. So does the name of the worst start,
// where two are equal in all else: of these the contract names the one that stands first.
var followsFile = map[string]bool{"way": true, "checked": true}

// normal is a value of JSON with its numbers to nine digits, and sorted what may follow the order of the file: lists of
// objects and of words, and words within a sentence. Series of numbers stay as they are.
func normal(v any) any {
	switch v := v.(type) {
	case string: // a sentence may name some of the file's, in its order
		words := strings.FieldsFunc(v, func(r rune) bool { return strings.ContainsRune(" ,;:\"", r) })
		slices.Sort(words)
		return strings.Join(words, " ")
	case float64:
		if v == 0 {
			return v
		}
		scale := math.Pow(10, 9-math.Ceil(math.Log10(math.Abs(v))))
		return math.Round(v*scale) / scale
	case map[string]any:
		out := map[string]any{}
		for k, x := range v {
			if !followsFile[k] {
				out[k] = normal(x)
			}
		}
		if _, isSurge := v["restart_order"]; isSurge {
			delete(out, "load")
		}
		if v["id"] == "inverter-surge" {
			delete(out, "reason")
		}
		return out
	case []any:
		out := make([]any, len(v))
		for i, x := range v {
			out[i] = normal(x)
		}
		if len(v) > 0 {
			if _, series := v[0].(float64); !series {
				slices.SortFunc(out, func(a, b any) int { return cmp.Compare(fmt.Sprint(a), fmt.Sprint(b)) })
			}
		}
		return out
	}
	return v
}

// told is all that the commands tell of a site file, by command, size only if it is asked for; an error is told as
// well.
func told(t *testing.T, src string, sized bool) map[string]any {
	t.Helper()
	out := map[string]any{}
	tell := func(command string, write func(io.Writer) error) {
		var b bytes.Buffer
		var v any
		if err := write(&b); err != nil {
			out[command] = err.Error()
		} else if err := json.Unmarshal(b.Bytes(), &v); err != nil {
			t.Fatal(err)
		}
		out[command] = normal(v)
	}
	p, err := planOf(src)
	if err != nil {
		return map[string]any{"plan": err.Error()}
	}
	tell("plan", func(w io.Writer) error {
		o := sheet.Options{Format: "json", HoursWished: 1.3 * p.Site.Outage.AutonomyH, Sensitivity: true}
		return sheet.Write(w, []*backup.Plan{p}, o)
	})
	tell("outage", func(w io.Writer) error {
		r, err := study.RunOutage(context.Background(), p.Facts, study.OutageOptions{Hours: 48, Seed: 3})
		if err != nil {
			return err
		}
		return sheet.WriteOutage(w, r, sheet.Options{Format: "json"})
	})
	if sized {
		tell("size", func(w io.Writer) error {
			cat, err := generic()
			if err != nil {
				return err
			}
			z, err := backup.Size(context.Background(), p.Site, cat, sizing.Options{MaxCount: 2})
			if err != nil {
				return err
			}
			return sheet.WriteSizing(w, record.Sizing{Site: p.Site, Targets: []*sizing.Sizes{z}}, 0,
				sheet.Options{Format: "json"})
		})
	}
	tell("every start", func(w io.Writer) error {
		e, err := study.FromEveryStart(context.Background(), p.Facts,
			study.EveryStartOptions{MaxH: 48, TargetH: 8, Chance: 0.9, StepMin: 60, Seed: 3,
				Reserves: !p.Bank.Unit.Chemistry.LeadAcid()})
		if err != nil {
			return err
		}
		return sheet.WriteEveryStart(w, record.YearOfOutages{EveryStart: e}, sheet.Options{Format: "json"})
	})
	return out
}

// leaves are the values of JSON by their paths.
func leaves(path string, v any, out []string) []string {
	switch v := v.(type) {
	case map[string]any:
		for _, k := range slices.Sorted(maps.Keys(v)) {
			out = leaves(path+"."+k, v[k], out)
		}
	case []any:
		for i, x := range v {
			out = leaves(fmt.Sprintf("%s[%d]", path, i), x, out)
		}
	default:
		out = append(out, fmt.Sprint(path, " ", v))
	}
	return out
}

// lessThat is a list without what another one holds as well.
func lessThat(list, other []string) []string {
	return slices.DeleteFunc(slices.Clone(list), func(s string) bool { return slices.Contains(other, s) })
}

// TestOrderOfHomes: in every home, loads and circuits may change places in the file, and no figure changes: not those
// of the plan, nor those of outages that draw the rhythms of loads.
func TestOrderOfHomes(t *testing.T) {
	homes := 60
	if testing.Short() {
		homes = 12
	}
	rhythms := 0
	for seed := range uint64(homes) {
		src := string(drawnhome.Draw(seed))
		one, other := told(t, src, seed%6 == 0), told(t, shuffled(src, seed), seed%6 == 0)
		for _, command := range slices.Sorted(maps.Keys(one)) {
			a, b := leaves(command, one[command], nil), leaves(command, other[command], nil)
			if !slices.Equal(a, b) {
				t.Errorf("home %d: another order of the file, other figures:\n%s", seed,
					gocmp.Diff(lessThat(a, b), lessThat(b, a)))
			}
		}
		if plan, ok := one["plan"].(map[string]any); ok && strings.Contains(fmt.Sprint(plan["bank"]), "p10") {
			rhythms++
		}
	}
	if rhythms < homes/10 {
		t.Errorf("only %d of %d homes draw rhythms", rhythms, homes)
	}
}
