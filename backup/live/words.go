package live

import (
	"slices"
	"strings"
	"sync"

	"outlast/backup/sheet/paper/words"
	"outlast/backup/sheet/speech"
	"outlast/catalog"
)

// rooms are where appliances are, by the first class of each in the generic catalog, which lists them so.
var rooms = []struct{ id, first string }{
	{"cold", "fridge"}, {"cooking", "kettle"}, {"water", "water-heater"}, {"pumps", "well-pump-370w"},
	{"heating", "gas-boiler"},
	{"cooling", "window-ac-1800"}, {"laundry", "washing-machine"}, {"light", "led-lamp"}, {"electronics", "television"},
	{"medical", "cpap"}, {"farm", "electric-fence"}, {"workshop", "air-compressor-1500w"},
}

// ownRoom is of classes that no generic catalog has.
const ownRoom = "own"

// pagePrefix begins the ids of the texts of the page.
const pagePrefix = "page."

// voice is that of the page itself, in the English of the home.
func (t *Table) voice(lang string) (speech.Voice, error) {
	return speech.NewVoice(lang, t.first.Units == "us")
}

// Words gives what a page needs once in each language.
func (t *Table) Words(q Question) (*Words, error) {
	v, err := t.voice(q.Lang)
	if err != nil {
		return nil, badQuestion{err.Error()}
	}
	out := &Words{Lang: v.Lang, Languages: words.Languages(), Texts: map[string]string{}}
	for id, text := range v.Words {
		if own, ok := strings.CutPrefix(id, pagePrefix); ok {
			out.Texts[own] = text
		}
	}
	for month := 1; month <= 12; month++ {
		out.Months = append(out.Months, v.MonthName(month))
		out.Short = append(out.Short, v.ShortMonth(month))
	}
	for _, sky := range []string{"dull", "usual", "bright"} {
		out.Skies = append(out.Skies, Sky{sky, v.Say("live.sky." + sky)})
	}
	return out, nil
}

// Classes gives the classes of appliances of the catalog by room. All of it is read for them, which takes longer than
// to plan a home.
func (t *Table) Classes(q Question) (*Classes, error) {
	v, err := t.voice(q.Lang)
	if err != nil {
		return nil, badQuestion{err.Error()}
	}
	roomOf, err := roomsOf()
	if err != nil {
		return nil, err
	}
	out := &Classes{Lang: v.Lang}
	all := t.home.Catalog.Appliances()
	for _, id := range append(roomIDs(), ownRoom) {
		room := Room{ID: id, Name: v.Say("live.room." + id)}
		for _, c := range all {
			of, generic := roomOf[c.ID]
			if !generic {
				of = ownRoom
			}
			if of == id {
				room.Classes = append(room.Classes, classOf(speaker{&speech.Speaker{Voice: v}}, c))
			}
		}
		if len(room.Classes) > 0 {
			out.Rooms = append(out.Rooms, room)
		}
	}
	return out, nil
}

func roomIDs() (out []string) {
	for _, r := range rooms {
		out = append(out, r.id)
	}
	return out
}

// roomsOf gives the rooms of the generic classes.
var roomsOf = sync.OnceValues(func() (map[string]string, error) {
	cat, err := catalog.Generic()
	if err != nil {
		return nil, err
	}
	out, room := map[string]string{}, ownRoom
	for _, id := range cat.ApplianceIDs() {
		for _, r := range rooms {
			if r.first == id {
				room = r.id
			}
		}
		out[id] = room
	}
	return out, nil
})

// classOf is a class as the page lists it.
func classOf(s speaker, c catalog.Appliance) Class {
	out := Class{ID: c.ID, Label: s.equipment(c.Label, c.ID), RunningW: c.Typical.RunningW,
		HoursDay: c.Typical.HoursPerDay, Medical: c.Medical}
	for _, word := range append([]string{c.ID, c.Label}, words.Called(c.Label)...) {
		if word = strings.ToLower(speech.Clean(word)); !slices.Contains(out.Search, word) {
			out.Search = append(out.Search, word)
		}
	}
	return out
}
