package interview

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"outlast/backup/site"
	"outlast/catalog"
)

// drawAnswer draws what somebody may type: right answers of every form, nearly right ones, and anything.
func drawAnswer(t *rapid.T, in *Interview, q Question) string {
	one := func(words ...string) string { return rapid.SampledFrom(words).Draw(t, q.Key) }
	figure := func(lo, hi float64, unit string) string {
		return strings.TrimSpace(num(float64(int(100*rapid.Float64Range(lo, hi).Draw(t, q.Key)))/100) + " " + unit)
	}
	switch rapid.IntRange(0, 9).Draw(t, "how") {
	case 0:
		return Unknown
	case 1:
		return rapid.String().Draw(t, q.Key)
	case 2:
		return one("none", "nothing", "-1", "1e400", "0", "\"", "\\", "]]\n[[load]]", "# x", "'''", "other # 5 W",
			"other \"]\\ 5 W 1 h", "99999999", "*", "x 2", "2 x")
	}
	key, _, _ := strings.Cut(q.Key, " ")
	switch key {
	case keyName:
		return rapid.StringN(1, 210, 210).Draw(t, "name")
	case keySupply:
		return one("230", "230x3", "120x2", "120", "100", "127x3", "240 V", "220x2", "120/240", "50", "400x3")
	case keyLatitude:
		return figure(-95, 95, "")
	case keyAltitude:
		return figure(-600, 6100, one("", "m"))
	case keyHours:
		return figure(0, one1(t, 3, 48, 9000), one("", "h"))
	case keyStands:
		return one("heated", "cellar", "garage", "outdoors", "attic")
	case keyColdest, keyHottest:
		return figure(-70, 90, one("", "C", "F"))
	case KeyStaysOn, keyDepends:
		return drawList(t, in)
	case keyPlate:
		return one("", figure(0.1, 5, "kW")+" ", figure(0.1, 5, "hp")+" ") + one("", figure(0.5, 60, "A")+" ") +
			one("", figure(100, 480, "V")+" ") +
			one("", "code "+string(rune('A'+rapid.IntRange(0, 25).Draw(t, "code"))), "LRA "+figure(0.5, 200, "A"))
	case keyInverter:
		return drawID(t, "inverter", idsOf(in, false), 4)
	case keyBattery:
		return drawID(t, "battery", idsOf(in, true), 30)
	case keyPanels:
		return fmt.Sprintf("%d x %s", rapid.IntRange(0, 40).Draw(t, "panels"), figure(90, 600, one("", "W")))
	case keySlope:
		return figure(0, 95, "")
	case keyFacing:
		return one("south", "NW", "180", "361", "up")
	case keyAir:
		return one("", "-") + figure(0, 62, one("", " C", " F"))
	case keySun:
		var months []string
		for range rapid.IntRange(11, 13).Draw(t, "months") {
			months = append(months, figure(0, one1(t, 1, 4, 12), ""))
		}
		return strings.Join(months, " ")
	default:
		return figure(0, 30, one("kVA", "VA", "W")) + one("", " petrol", " diesel", " gas", " coal")
	}
}

func one1(t *rapid.T, choices ...float64) float64 { return rapid.SampledFrom(choices).Draw(t, "most") }

func idsOf(in *Interview, batteries bool) (ids []string) {
	if batteries {
		for _, u := range in.cat.Batteries() {
			ids = append(ids, u.ID)
		}
		return ids
	}
	for _, c := range in.cat.Inverters() {
		ids = append(ids, c.ID)
	}
	return ids
}

func drawID(t *rapid.T, what string, ids []string, most int) string {
	id := rapid.SampledFrom(append(ids, "none", "none", "nothing-such")).Draw(t, what)
	if rapid.Bool().Draw(t, "counted") {
		return id
	}
	return fmt.Sprintf("%s*%d", id, rapid.IntRange(0, most).Draw(t, "count"))
}

func drawList(t *rapid.T, in *Interview) string {
	var list []string
	for range rapid.IntRange(1, 6).Draw(t, "items") {
		item := rapid.OneOf(rapid.Map(rapid.SampledFrom(in.classes), func(c catalog.Appliance) string { return c.ID }),
			rapid.Map(rapid.SampledFrom(in.classes), func(c catalog.Appliance) string { return c.Label }),
			rapid.SampledFrom([]string{"well pump", "well pump 0.6 kW", "sump pump 5 hp", "other kiln", "other kiln",
				"qqq"})).Draw(t, "item")
		item += rapid.SampledFrom([]string{"", "*2", " x 12", "*0"}).Draw(t, "count")
		item += rapid.SampledFrom([]string{"", " 300 W", " 0.1 W 0.5 h", " 24 h", " 9000 kW"}).Draw(t, "figures")
		list = append(list, item)
	}
	return strings.Join(list, ", ")
}

// Any answers give a site file that is accepted, and those that are kept give the same one again.
func TestAnyAnswersAreAccepted(t *testing.T) {
	cat := begin(t).cat
	rapid.Check(t, func(t *rapid.T) {
		in := New(cat)
		for open := in.Next(); open != nil; open = in.Next() {
			for _, q := range open {
				if q.Several {
					_ = in.Add(q.Key, drawAnswer(t, in, q))
				} else if err := in.Take(q.Key, drawAnswer(t, in, q)); err == nil {
					continue
				}
				if _, ok := in.Answer(q.Key); !ok {
					if err := in.Take(q.Key, Unknown); err != nil {
						t.Fatalf("%s: %v\n%s", q.Key, err, in.AnswersText(""))
					}
				}
			}
		}
		e, err := in.standIn()
		if err != nil {
			t.Fatal(err)
		}
		e = in.chosen(e)
		src := in.SiteText(e)
		if _, err := site.Read("home.toml", []byte(src), cat); err != nil {
			t.Fatalf("%v\n%s\n%s", err, in.AnswersText(""), src)
		}
		given, err := ReadAnswers("kept", in.AnswersText(""))
		if err != nil {
			t.Fatal(err)
		}
		again := New(cat)
		if err := again.TakeAll(given); err != nil || again.SiteText(e) != src {
			t.Fatalf("%v\n%s\n%s", err, src, again.SiteText(e))
		}
	})
}
