package doc

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io"
	"slices"
	"strings"
	"sync"
)

//go:embed templates
var templates embed.FS

// joints are where a long German word over a narrow column of figures may break: there is no room beside it else.
var joints = strings.NewReplacer("Bemessungsstrom", "Bemessungs\u00adstrom", "Ausschaltvermögen",
	"Ausschalt\u00advermögen", "Strombelastbarkeit", "Strombelast\u00adbarkeit",
	"Spannungsfall", "Spannungs\u00adfall", "Betriebsstunden", "Betriebs\u00adstunden", "Autonomiezeit",
	"Autonomie\u00adzeit", "Tagesverbrauch", "Tages\u00adverbrauch")

// page is the template of the papers, with its style sheet inside: one file, nothing loaded. It is read when the first
// page is set: most commands set none.
var page = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("page.html").Funcs(template.FuncMap{
		"joints": joints.Replace,
		"style": func() template.CSS {
			css, err := templates.ReadFile("templates/style.css")
			if err != nil {
				panic(err) // it is embedded above
			}
			return template.CSS(css)
		},
		"foot": foot,
	}).ParseFS(templates, "templates/*.html"))
})

// writeHTML writes one self-contained file.
func writeHTML(w io.Writer, d *Document) error {
	var b bytes.Buffer
	if err := page().Execute(&b, d); err != nil {
		return fmt.Errorf("the page cannot be made: %w", err)
	}
	_, err := w.Write(b.Bytes())
	return err
}

// foot is the paper of a printed page and what it says below: the stamp, and its number; and the type of the part of
// one page.
func foot(d *Document) template.CSS {
	onePage := ""
	for _, p := range d.Parts {
		if p.OnePage {
			onePage = fmt.Sprintf(" @media print { .one-page { font-size: %.2fpt; --gap: %.1fmm; --left: %.2ffr; --right: %.2ffr; } }",
				p.Type, p.Gap, p.LeftShare, 1-p.LeftShare)
		}
	}
	return template.CSS(fmt.Sprintf("@page { size: %s; @bottom-left { content: %s; } @bottom-right { content: "+
		"%s counter(page) \" / \" counter(pages); } }", d.Size,
		cssString(strings.Join(slices.DeleteFunc(append([]string{d.Date}, d.Stamp...),
			func(s string) bool { return s == "" }), " · ")), cssString(d.Page+" ")) + onePage)
}

// cssString quotes a text for a style sheet. Whatever is no letter, digit or plain mark is escaped: a name must not end
// the string, nor the style sheet.
func cssString(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', strings.ContainsRune(" .,-_", r):
			b.WriteRune(r)
		default:
			fmt.Fprintf(&b, `\%06x `, r) // a blank behind an escape is part of it, even behind six digits
		}
	}
	b.WriteByte('"')
	return b.String()
}
