package main

import (
	"bytes"
	"errors"
	"io"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"outlast/backup/interview"
	"outlast/backup/sheet/paper/words"
	"outlast/catalog"
	"outlast/cmd/outlast/manual"
)

// TestEveryQuestionIsExplained: whoever writes a file of answers finds every question on the page about the interview.
func TestEveryQuestionIsExplained(t *testing.T) {
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	page, err := manual.TopicPage("interview")
	if err != nil {
		t.Fatal(err)
	}
	iv, asked := interview.New(cat), 0
	for key, text := range map[string]string{"latitude": "50", "panels": "12", "stays-on": "well pump"} {
		if err := iv.Take(key, text); err != nil {
			t.Fatal(err)
		}
	}
	for open := iv.Next(); open != nil; open = iv.Next() {
		for _, q := range open {
			key := strings.Replace(q.Key, "well-pump-2200w", "CLASS", 1)
			if asked++; key != "name" && !strings.Contains(page, "`"+key+"`") {
				t.Errorf("%s does not stand on the page", key)
			}
			if err := iv.Take(q.Key, interview.Unknown); err != nil {
				t.Fatal(err)
			}
		}
	}
	if asked < 14 {
		t.Errorf("only %d questions", asked)
	}
}

// TestClassesByTheirOtherNames: what the papers call a class of appliances in another language names it in an interview,
// with accents and in small letters or without, and what comes near is named.
func TestClassesByTheirOtherNames(t *testing.T) {
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	iv := interview.New(cat)
	iv.CallAlso(words.Called)
	site := func(list string) string {
		t.Helper()
		if err := iv.Take(interview.KeyStaysOn, list); err != nil {
			t.Errorf("%s: %v", list, err)
			return ""
		}
		return iv.SiteText(interview.Equipment{})
	}
	tried := 0
	for _, c := range cat.Appliances() {
		for _, label := range words.Called(c.Label) {
			if strings.Contains(label, ",") { // parts a list
				continue
			}
			tried++
			for _, name := range []string{label, strings.ToLower(label)} {
				if text := site(name); !strings.Contains(text, "use = \""+c.ID+"\"") {
					t.Errorf("%s is not read as %s", name, c.ID)
				}
			}
		}
	}
	if tried < 300 {
		t.Errorf("only %d names", tried)
	}
	for name, id := range map[string]string{"refrigerator": "fridge", "TV": "television", "wifi": "router", "Computer": "desktop-computer",
		"nevera": "fridge", "bombillas LED": "led-lamp", "frigo": "fridge", "box internet": "router", "Mikrowelle": "microwave",
		"Tiefkühltruhe": "chest-freezer", "borehole pump 1.1 kW": "well-pump-1100w", "pompe de forage 0,75 kW": "well-pump-750w",
		"well pump 750 W": "well-pump-750w", "well pump 800 W": "well-pump-1100w", "well pump": "well-pump-2200w"} {
		if text := site(name); !strings.Contains(text, "use = \""+id+"\"") {
			t.Errorf("%s is not read as %s", name, id)
		}
	}
	text := site("6 LED-Lampen, Brunnenpumpe 1,1 kW, bomba de achique 0.25 kW, gefriertruhe*2, chaudiere a gaz")
	for _, want := range []string{"quantity = 6", "well-pump-1100w", "sump-pump-250w", "chest-freezer", "gas-boiler"} {
		if !strings.Contains(text, want) {
			t.Errorf("%s is not in\n%s", want, text)
		}
	}
	for _, c := range []struct{ name, want string }{
		{"Gefriertrhue", "near are chest-freezer;"},
		{"lavadoras frias", "near are washing-machine"},
		{"Tauchpumpe", "`outlast catalog` lists all"},
		{"freezer", "near are"}, // it may be any of them
		{"congelador", "near are"},
		{"Pumpe", "near are water-filter-pump"},
	} {
		var refused *interview.Refusal
		if err := iv.Take(interview.KeyStaysOn, c.name); !errors.As(err, &refused) ||
			!strings.HasPrefix(refused.Hint.String(), c.want) {
			t.Errorf("%s: %v %+v, want the hint %q", c.name, err, refused, c.want)
		}
	}
}

// TestHostileAnswers: whatever a file of answers holds, it is told in a few messages that name it, and nothing is
// written.
func TestHostileAnswers(t *testing.T) {
	random := make([]byte, 200_000)
	r := rand.New(rand.NewPCG(3, 4))
	for i := range random {
		random[i] = byte(r.Uint32())
	}
	for name, text := range map[string]string{
		"binary": string(random), "zeros": strings.Repeat("\x00", 1000), "colons": strings.Repeat(":", 1000),
		"long key":    strings.Repeat("k", 500_000) + ": 1",
		"long answer": "name: " + strings.Repeat("x", 500_000), "long list": "stays-on: " +
			strings.Repeat("router,", 100_000), "large": strings.Repeat("#", 1<<21),
		"latin1": "name: Caf\xe9", "escape": "name: \x1b[31mred", "a site file": "[site]\nname = \"x\"\n", "folder": "",
	} {
		t.Run(name, func(t *testing.T) {
			t.Chdir(t.TempDir())
			path := "hostile.toml" // as the messages are to name it
			err := os.WriteFile(path, []byte(text), 0o644)
			if name == "folder" {
				err = os.Mkdir("hostile.toml.d", 0o755)
				path = "hostile.toml.d"
			}
			if err != nil {
				t.Fatal(err)
			}
			var out, errw bytes.Buffer
			args := []string{"init", "--answers", path, "home.toml"}
			if status := run(args, strings.NewReader(""), &out, &errw); status != 2 || out.Len() > 0 {
				t.Errorf("status %d, stdout %q, want 2 and nothing", status, first(out.String()))
			}
			checkMessages(t, args, errw.String(), 20)
			if _, err := os.Stat("home.toml"); err == nil {
				t.Error("a site file was written")
			}
		})
	}
}

// lateFile gives answers, and writes a file before the last of them.
type lateFile struct {
	lines []string
	write func()
}

func (l *lateFile) Read(b []byte) (int, error) {
	if len(l.lines) == 0 {
		return 0, io.EOF
	}
	if len(l.lines) == 1 {
		l.write()
	}
	n := copy(b, l.lines[0])
	l.lines = l.lines[1:]
	return n, nil
}

// TestSiteFileThatAppears: a file that somebody writes while the interview goes on stays as it is, and so do the
// answers.
func TestSiteFileThatAppears(t *testing.T) {
	t.Chdir(t.TempDir())
	in := &lateFile{strings.SplitAfter("Mill\n230\n50\n5\n24\ncellar\n5\n30\nrouter\n\nnone\nnone\nnone\nnone\nnone\n",
		"\n"), func() {
		if err := os.WriteFile("home.toml", []byte("precious"), 0o644); err != nil {
			t.Error(err)
		}
	}}
	in.lines = in.lines[:len(in.lines)-1]
	var out, errw bytes.Buffer
	status := run([]string{"init", "--ask", "home.toml"}, in, &out, &errw)
	if status != 2 || out.Len() > 0 || !strings.HasSuffix(errw.String(),
		"outlast: error: home.toml is there already and is left as it is; the answers are kept in home.answers\n"+
			"outlast: hint: go on with: outlast init --ask --answers home.answers home.toml\n") {
		t.Errorf("status %d, %s", status, errw.String())
	}
	site, err := os.ReadFile("home.toml")
	kept, kerr := os.ReadFile("home.answers")
	if err != nil || kerr != nil || string(site) != "precious" || !strings.Contains(string(kept), "\nname: Mill\n") ||
		!strings.HasSuffix(string(kept), "generator: none\n") {
		t.Errorf("%v, %v, %q, %q", err, kerr, site, kept)
	}
}
