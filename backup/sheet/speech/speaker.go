package speech

import (
	"fmt"
	"strings"

	"outlast/backup/phrase"
	"outlast/backup/sheet/paper/words"
	"outlast/backup/verdict"
	"outlast/backup/working"
	"outlast/loads"
)

// A Speaker is a voice that knows the names of a home.
type Speaker struct {
	Voice
	Missed []string // English texts for which the language has none

	called   map[string]string         // what the language calls the loads that the planner named, by their names
	about    func(check string) string // the label of what a check is about
	language *phrase.Language          // nil: plain English, as the source has it
}

// NewSpeaker makes the speaker for a home: its loads, and the label of what a check is about, "" where it has none.
func NewSpeaker(v Voice, of []loads.Load, about func(check string) string) *Speaker {
	s := &Speaker{Voice: v, called: map[string]string{}, about: about}
	s.callLoads(of)
	sentences, ok := words.SentencesIn(v.Lang)
	format := func(english string) (string, bool) { text, ok := sentences[english]; return text, ok }
	switch {
	case v.Lang == "en" && v.US:
		format = func(english string) (string, bool) { return signed(words.American(english)), true }
	case v.Lang == "en" && v.Signs:
		format = func(english string) (string, bool) { return signed(english), true }
	case !ok:
		return s
	}
	s.language = &phrase.Language{
		Format: format,
		Missed: func(english string) { s.Missed = append(s.Missed, english) },
		Name:   func(text string) string { return Name(s.Called(text)) },
		Quote:  func(text string) string { return s.Quoted(Name(s.Called(text))) },
		Number: s.Local,
		Amount: s.Amount,
		Measure: func(printed string) string {
			number, unit, found := strings.Cut(printed, " ")
			if !found {
				return s.Local(number)
			}
			return s.Local(number) + Hard + s.UnitName(unit)
		},
		Unit:  s.UnitName,
		Check: s.CheckName,
		Label: s.Equipment,
		And:   s.And,
		Lower: s.Lower,
	}
	return s
}

// callLoads finds the words of the language for the loads that the planner named by their class, and for their
// circuits. Names of the site file stay as they are.
func (s *Speaker) callLoads(of []loads.Load) {
	for _, l := range of {
		if l.Typical == nil || l.Typical.Label == "" {
			continue
		}
		if text, ok := words.Equipment(s.Lang, l.Typical.Label, s.Local); ok {
			s.called[l.Name] = text + strings.TrimPrefix(l.Name, l.Typical.Label) // with the number of the second and further ones
		}
	}
}

// Called is what the language calls a load or a circuit.
func (s *Speaker) Called(name string) string {
	if text, ok := s.called[name]; ok {
		return text
	}
	return name
}

// Equipment is a label of the catalog: translated where it is in the words of the generic one.
func (s *Speaker) Equipment(label string) string {
	if text, ok := words.Equipment(s.Lang, label, s.Local); ok {
		return text
	}
	return Name(label)
}

// Prose writes a sentence of the planner.
func (s *Speaker) Prose(p phrase.Phrase) string {
	if s.language == nil {
		return plainBlanks.Replace(Clean(p.String()))
	}
	return p.In(s.language)
}

// CheckName is a check in words.
func (s *Speaker) CheckName(id string) string { return s.CheckWords("check.", id) }

// CheckWords says what the words of a kind, "check." or "trouble.", say of a check.
func (s *Speaker) CheckWords(kind, id string) string {
	return s.saidOf(words.Check(s.Words, kind, id, s.about(id)))
}

// Trouble says what a check means in daily life.
func (s *Speaker) Trouble(c verdict.Check) string {
	return s.saidOf(words.Trouble(s.Words, c, s.about(c.ID)))
}

// saidOf puts in what a text is about.
func (s *Speaker) saidOf(text, about string) string {
	if about == "" {
		return text
	}
	return fmt.Sprintf(text, Name(s.Called(about)))
}

// Columns say what the columns of a step's table are: their units, and how they follow from each other. Those of which
// there is no more to say share a line.
func (s *Speaker) Columns(t *working.Table) []string {
	var out []string
	plain := false // the last line is of such columns
	for _, c := range t.Columns {
		line := c.Name
		if c.Unit != "" {
			line += ", " + s.UnitName(c.Unit)
		}
		if c.Expr == "" && c.Title.Empty() {
			if plain {
				out[len(out)-1] = s.InTurn(out[len(out)-1], line)
			} else {
				out = append(out, line)
			}
			plain = true
			continue
		}
		plain = false
		if c.Expr != "" {
			line += " = " + c.Expr
		}
		if !c.Title.Empty() {
			line = s.Headed(line, s.Prose(c.Title))
		}
		out = append(out, line)
	}
	return out
}
