package working

import "outlast/backup/phrase"

// A Document is a published text that figures and rules are taken from. The table of all of them is in documents.go;
// what is not known of one is left out.
type Document struct {
	Title   phrase.Phrase
	Edition string // its year or edition
}

// A Basis is how a source is known.
type Basis byte

// How sources are known. Definition is of what needs no document: a definition, arithmetic, a law of physics, a data
// sheet, the site file.
const (
	Definition Basis = iota
	Read             // read in the document that is named
	Quoted           // read in public texts that quote the document; the document itself was not at hand
	Practice         // what the trade does, or a planning rule of this program; no document decides it
	Memory           // not held against a document yet
)

// Bases are those that a source says in a word behind it, in the order in which a key explains them. What has no word
// was read where it says, or needs no document.
func Bases() []Basis { return []Basis{Quoted, Practice, Memory} }

// Word stands in brackets behind a source; empty where there is nothing to say.
func (b Basis) Word() phrase.Phrase {
	switch b {
	case Quoted:
		return phrase.Of("quoted")
	case Practice:
		return phrase.Of("practice")
	case Memory:
		return phrase.Of("memory")
	}
	return phrase.Phrase{}
}

// Means explains the word, once for all sources.
func (b Basis) Means() phrase.Phrase {
	switch b {
	case Quoted:
		return phrase.Of("read in texts that quote the document, which is sold: where it decides, check it there")
	case Practice:
		return phrase.Of("what the trade does, or a rule of this plan: no document decides it")
	case Memory:
		return phrase.Of("a figure that was not looked up again")
	}
	return phrase.Phrase{}
}

// Name is the basis for other programs.
func (b Basis) Name() string {
	return [...]string{"definition", "read", "quoted", "practice", "memory"}[b]
}

// A Source is what a figure or a rule rests on.
type Source struct {
	Of       phrase.Phrase // which figure of the step it is of; empty: all
	Document *Document     // nil: no document, and Place says in words what it is
	Place    phrase.Phrase // clause, table, chapter or page
	Basis    Basis
	said     bool // Place says in words how it is known
}

// At is a place in a document, and how it is known.
func (d *Document) At(place phrase.Phrase, b Basis) Source {
	return Source{Document: d, Place: place, Basis: b}
}

// From is a source that is no document of the table.
func From(words phrase.Phrase, b Basis) Source { return Source{Place: words, Basis: b} }

// Plainly is a source whose words say how it is known, as "common practice" does.
func Plainly(words phrase.Phrase, b Basis) Source { return Source{Place: words, Basis: b, said: true} }

// For is the source as that of one figure of a step.
func (s Source) For(figure phrase.Phrase) Source {
	s.Of = figure
	return s
}

// Phrase is the source as it is printed: which figure, document, edition and place, and in brackets how it is known.
func (s Source) Phrase() phrase.Phrase {
	text := s.Place
	if d := s.Document; d != nil {
		text = d.Title
		if d.Edition != "" {
			text = phrase.Symbols("%s (%s)", text, phrase.Name(d.Edition))
		}
		if !s.Place.Empty() {
			text = phrase.Symbols("%s, %s", text, s.Place)
		}
	}
	if word := s.Basis.Word(); !word.Empty() && !s.said {
		text = phrase.Symbols("%s [%s]", text, word)
	}
	if !s.Of.Empty() {
		text = phrase.Symbols("%s: %s", s.Of, text)
	}
	return text
}

// String is the source in English.
func (s Source) String() string { return s.Phrase().String() }

// Cited is what the step rests on, as it is printed; empty where there is nothing to say.
func (s Step) Cited() phrase.Phrase {
	return Cite(s.Sources)
}

// Cite is several sources as they are printed. What is said twice is said once.
func Cite(sources []Source) phrase.Phrase {
	var out []phrase.Phrase
	seen := map[string]bool{}
	for _, source := range sources {
		if p := source.Phrase(); !seen[p.String()] {
			seen[p.String()] = true
			out = append(out, p)
		}
	}
	return phrase.Separated(out, "; ")
}

// InTable names a table of a document; the numbers of clauses stand for themselves.
func InTable(number string) phrase.Phrase { return phrase.Of("Table %s", number) }

// InAnnex names an annex of a document.
func InAnnex(letter string) phrase.Phrase { return phrase.Of("Annex %s", letter) }

// InClause names a clause of a document by its number.
func InClause(number string) phrase.Phrase { return phrase.Of("clause %s", number) }

// InChapter names a chapter of a book.
func InChapter(number int) phrase.Phrase { return phrase.Of("chapter %d", number) }
