package words

// A Term is a word of the trade as the program uses it.
type Term struct {
	Name, Meaning string
	Unit          string            // "-": none
	Norm          string            // where a standard has it, or what it rests on
	In            map[string]string // by language, English too; "; " parts the word from its other forms
}

// termColumns are what the glossary says of each term, in their order; headings is for the test that holds the papers
// to it.
var termColumns = []string{"meaning", "unit", "norm", "headings", "en", "de", "es", "fr"}

// Glossary lists the words of the trade, by subject.
func Glossary() []Term {
	var out []Term
	for _, r := range rows("glossary") {
		t := Term{Name: r.key, Meaning: r.in["meaning"], Unit: r.in["unit"], Norm: r.in["norm"],
			In: map[string]string{}}
		for _, lang := range languages {
			t.In[lang] = r.in[lang]
		}
		out = append(out, t)
	}
	return out
}
