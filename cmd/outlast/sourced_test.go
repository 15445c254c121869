package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// A sourced check goes the whole way: from a site file to a figure that the command prints, against a figure that
// others have published.
//
// Marks: "seen" was read in the source named; "memory" was not read again; "derived" is arithmetic on figures that were
// seen. What a source rounds is compared to its printed digits, never more loosely.
type sourced struct {
	what   string
	source string
	mark   string
	home   home
	at     string // of the JSON of the command: keys and, in brackets, which of a list, by place or by a key's value
	times  float64
	want   float64
	within float64
}

// A home is the text of a site file by its tables. What a check says nothing of is as plain as can be: no losses, no
// allowances, no age.
type home struct {
	site, outage, practice, inverter, bank, wiring, circuit, rest string
	loads                                                         []string
	command                                                       []string // that is asked; nil: plan, with its working
}

func (h home) text() string {
	or := func(text, plain string) string {
		if text == "" {
			return plain
		}
		return text
	}
	// keys writes the keys of a table, those of the check in the place of the plain ones.
	keys := func(given, plain string) string {
		var b strings.Builder
		for _, line := range strings.Split(plain, "\n") {
			name, _, _ := strings.Cut(strings.TrimSpace(line), " ")
			if name != "" && !strings.Contains("\n"+given, "\n"+name+" ") {
				b.WriteString(line + "\n")
			}
		}
		return b.String() + given
	}
	var b strings.Builder
	fmt.Fprintf(&b, "[site]\nname = \"Sourced check\"\n%s\n",
		keys(h.site, "nominal_v = 230\ncoldest_c = 25\nhottest_c = 25"))
	fmt.Fprintf(&b, "[outage]\n%s\n", keys(h.outage, "autonomy_h = 24\nstart = \"00:00\""))
	fmt.Fprintf(&b, "[practice]\n%s\n", keys(h.practice, "margin = 0\nend_of_life = 1\nmax_dod = 1"))
	fmt.Fprintf(&b, "[inverter]\n%s\n", keys(h.inverter,
		"rated_w = 900000\nrated_va = 900000\nnominal_dc_v = 48\ndc_min_v = 1\n"+
			"dc_max_v = 1500\nmax_discharge_a = 90000\nidle_w = 0\nefficiency = 1"))
	fmt.Fprintf(&b, "[bank]\n%s\n", or(h.bank, "chemistry = \"lfp\"\nnominal_v = 48\nrated_ah = 1000\nmax_dod = 1"))
	if h.wiring != "" {
		fmt.Fprintf(&b, "[wiring]\n%s\n", h.wiring)
	}
	fmt.Fprintf(&b, "[[circuit]]\nid = \"c\"\nboard = \"backup\"\n%s\n", h.circuit)
	for i, l := range h.loads {
		if !strings.Contains(l, "circuit = ") {
			l += "\ncircuit = \"c\""
		}
		fmt.Fprintf(&b, "[[load]]\nname = \"load %d\"\n%s\n", i+1, l)
	}
	if len(h.loads) == 0 {
		b.WriteString("[[load]]\nname = \"lamp\"\ncircuit = \"c\"\nrunning_w = 100\nhours_per_day = 24\n")
	}
	return b.String() + h.rest
}

// always is a load that runs all day.
func always(watts float64) string { return fmt.Sprintf("running_w = %g\nhours_per_day = 24", watts) }

// hours is a load that runs for some hours of the day.
func hours(watts, h float64) string {
	return fmt.Sprintf("running_w = %g\nhours_per_day = %g", watts, h)
}

func TestSourced(t *testing.T) {
	var all []sourced
	for _, list := range [][]sourced{sourcedMotors(), sourcedSets(t), sourcedDemand(), sourcedBanks(),
		sourcedCharging(),
		sourcedWires(),
		sourcedSun()} {
		all = append(all, list...)
	}
	planned := map[string]any{}
	for _, c := range all {
		t.Run(c.what, func(t *testing.T) {
			text := c.home.text()
			if c.source == "" || c.mark == "" || c.within <= 0 {
				t.Fatal("a check without its source, its mark or its digits")
			}
			args := c.home.command
			if args == nil {
				args = []string{"plan", "--working"}
			}
			key := fmt.Sprint(text, args)
			if planned[key] == nil {
				planned[key] = answerJSON(t, text, args)
			}
			got, err := dig(planned[key], c.at)
			if err != nil {
				t.Fatalf("%v in the plan of\n%s", err, text)
			}
			if c.times != 0 {
				got *= c.times
			}
			if math.Abs(got-c.want) > c.within*(1+1e-9) || math.IsNaN(got) {
				t.Errorf("%s = %v, published %v (%s, %s)", c.at, got, c.want, c.source, c.mark)
			}
		})
	}
	t.Logf("%d figures from %d site files", len(all), len(planned))
}

// answerJSON runs a command on a site file. The checks of such a home may fail: that is an answer too.
func answerJSON(t *testing.T, text string, args []string) any {
	t.Helper()
	file := filepath.Join(t.TempDir(), "home.toml")
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	var out, errw bytes.Buffer
	if status := run(append(slices.Clone(args), "--format", "json", file), strings.NewReader(""), &out,
		&errw); status > 1 {
		t.Fatalf("status %d: %s\n%s", status, errw.String(), text)
	}
	var v any
	if err := json.Unmarshal(out.Bytes(), &v); err != nil {
		t.Fatal(err)
	}
	return v
}

// dig finds a number: "bank.required_ah", "starts[0].va", "wiring[id=cable-bank].drop".
func dig(v any, at string) (float64, error) {
	for _, part := range strings.Split(at, ".") {
		key, which, list := strings.Cut(strings.TrimSuffix(part, "]"), "[")
		m, ok := v.(map[string]any)
		if !ok || m[key] == nil {
			return 0, fmt.Errorf("no %s of %s", key, at)
		}
		v = m[key]
		if !list {
			continue
		}
		rows, _ := v.([]any)
		v = nil
		name, want, byKey := strings.Cut(which, "=")
		for i, row := range rows {
			is := !byKey && strconv.Itoa(i) == which
			if byKey {
				r, _ := row.(map[string]any)
				is = fmt.Sprint(r[name]) == want
			}
			if is {
				v = row
				break
			}
		}
		if v == nil {
			return 0, fmt.Errorf("no [%s] of %s", which, at)
		}
	}
	x, ok := v.(float64)
	if !ok {
		return 0, fmt.Errorf("%s is %v, no number", at, v)
	}
	return x, nil
}
