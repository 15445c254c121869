package doc

import (
	"math"
	"slices"
	"strings"
	"sync"
	"unicode"

	"outlast/backup/sheet/speech"
)

// How the owner's page fills its sheet: the largest type at which everything fits is found from estimates of what each
// block takes. They are of the plain sans serif that page and drawings are set in, and err on the safe side; a test
// prints the fullest pages. All lengths of the page are in its type (style.css, .one-page), so that one number sets it.

// Sizes of type in points: what a home with little to say is set in, what is easily read, what is the least, and the
// step between.
const (
	largeType = 14.0
	EasyType  = 9.5
	leastType = 6.5
	typeStep  = 0.25
)

const (
	mmPerPt    = 25.4 / 72
	lineHeight = 1.25
	columnGap  = 7.0  // mm, between the columns
	slimmer    = 0.93 // a text beside what [width] takes it for, which is wide for labels that must not meet
	spareMM    = 7.0  // kept free, for fonts that are a little wider
	mostGapMM  = 5.0  // between sections, of what is left at the largest type
)

// sheetMM is what the margins leave of a sheet.
func sheetMM(size string) (width, height float64) {
	if size == "letter" {
		return 215.9 - 24, 279.4 - 25
	}
	return 210 - 24, 297 - 25
}

// leftShares are the widths that the left column may have, as a share of both, the even one first.
var leftShares = []float64{0.5, 0.46, 0.54, 0.42, 0.58, 0.38, 0.62}

// Fit chooses type, columns and gaps of a part of one page; home is the name above it.
func (p *Part) Fit(size, home string) {
	width, height := sheetMM(size)
	height -= spareMM
	for p.Type = largeType; ; p.Type -= typeStep {
		taken := p.taken(width, home)
		if taken <= height || p.Type <= leastType {
			p.Gap = max(0, min(mostGapMM, (height-taken)/float64(len(p.Sections)+1)))
			return
		}
	}
}

// taken is the height of a part in mm in its type. It settles which of its sections stand in the left column and how
// wide that is, so that it is least.
func (p *Part) taken(widthMM float64, home string) (mm float64) {
	em := p.Type * mmPerPt
	full, both := widthMM/em, (widthMM-columnGap)/em
	height := (1.15*17*lines(home, 17, 0.7*widthMM/mmPerPt) + 16) * mmPerPt // head of the document
	height += (1.5*1.2*lines(p.Title, 1.5, full*0.6) + 0.5) * em
	var columns []Section
	for _, s := range p.Sections {
		if s.Class == "full" {
			height += s.taken(full) * em
		} else {
			columns = append(columns, s)
		}
	}
	best := math.Inf(1)
	for _, share := range leftShares {
		left, right := allTaken(columns, share*both), allTaken(columns, (1-share)*both)
		for k := range len(columns) + 1 {
			if tallest := max(stacked(left[:k]), stacked(right[k:])); tallest < best {
				best, p.Split, p.LeftShare = tallest, k, share
			}
		}
	}
	return height + best*em
}

// allTaken are the heights of sections in a width.
func allTaken(sections []Section, width float64) []float64 {
	out := make([]float64, len(sections))
	for i, s := range sections {
		out[i] = s.taken(width)
	}
	return out
}

// stacked is the height of what is below each other.
func stacked(heights []float64) (h float64) {
	for _, one := range heights {
		h += one
	}
	return h
}

// taken is the height of a section in its type, in a width.
func (s Section) taken(width float64) float64 {
	h := 0.7
	if s.Title != "" {
		h += 1.15*1.25*lines(s.Title, 1.15, width) + 0.25
	}
	for _, b := range s.Blocks {
		switch {
		case b.Text != nil:
			h += lineHeight*lines(b.Text.S, 1, width) + 0.25
		case b.List != nil:
			h += itemsTaken(b.List.Items, width-1.4) + 0.25
		case b.Box != nil:
			h += boxTaken(b.Box, width-2.2)
		case b.Fields != nil:
			n := b.Fields.Columns()
			for rows := range slices.Chunk(b.Fields.Rows, n) {
				row := 0.0
				for _, it := range rows {
					row = max(row, lineHeight*0.9*lines(it.Lead+" "+it.Text.S, 0.9, width/float64(n)-1.5))
				}
				h += row + 1.8
			}
		}
	}
	return h
}

func itemsTaken(items []Item, width float64) (h float64) {
	for _, it := range items {
		h += lineHeight*lines(it.Lead+" "+it.Text.S, 1, width) + 0.1
	}
	return h
}

// boxTaken is the height of a box; the texts of the safety box run on in one paragraph, a little smaller.
func boxTaken(b *Box, width float64) float64 {
	if b.Kind == "safety" {
		text := b.Title
		for _, t := range b.Texts {
			text += " " + t.S
		}
		return lineHeight*0.9*lines(text, 0.9, width+2) + 0.6
	}
	h := 1.15*lineHeight*lines(b.Title, 1.15, width) + 1
	for _, t := range b.Texts {
		h += lineHeight*lines(t.S, 1, width) + 0.3
	}
	if len(b.Items) > 0 {
		h += itemsTaken(b.Items, width-1.4) + 0.3
	}
	return h
}

// lines is how many lines a text takes at a size, in a width of the same unit.
func lines(s string, size, most float64) float64 {
	n, at, blank := 1.0, 0.0, slimmer*Width(" ", size)
	for _, word := range strings.Fields(s) {
		w := slimmer * Width(word, size)
		if at > 0 && at+blank+w > most {
			n, at = n+1, 0
		}
		if at > 0 {
			at += blank
		}
		for at += w; at > most; at -= most { // no line holds the word: it is broken
			n++
		}
	}
	return n
}

// Width estimates how wide a text is set, from the widths of a plain sans serif. The fonts are the reader's, so that it
// can only be an estimate; it errs on the wide side.
func Width(s string, size float64) float64 {
	w, plain := 0.0, plainWidths()
	for _, r := range s {
		if int(r) < len(plain) {
			w += plain[r]
		} else {
			w += widthOf(r)
		}
	}
	return w * size
}

// plainWidths are those of the signs that most texts are made of.
var plainWidths = sync.OnceValue(func() *[256]float64 {
	var all [256]float64
	for r := range all {
		all[r] = widthOf(rune(r))
	}
	return &all
})

// widthOf is the width of a sign in a size of 1.
func widthOf(r rune) float64 {
	switch {
	case strings.ContainsRune("iljtfI.,:;'|!()[] -"+speech.Thin+speech.Hard, r):
		return 0.33
	case strings.ContainsRune("W@—", r):
		return 1.02
	case strings.ContainsRune("mwM%", r):
		return 0.9
	case unicode.IsUpper(r):
		return 0.7
	case r >= 0x1100:
		return 1.05
	}
	return 0.57
}

// Shorten cuts a text so that it fits, and shows that it did.
func Shorten(s string, most, size float64) string {
	if Width(s, size) <= most {
		return s
	}
	runes := []rune(s)
	for len(runes) > 1 && Width(string(runes)+"…", size) > most {
		runes = runes[:len(runes)-1]
	}
	return strings.TrimRight(string(runes), " ,") + "…"
}
