package paper

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io"
)

//go:embed templates
var templates embed.FS

// page is the template of the papers, with its style sheet inside: one file, nothing loaded.
var page = template.Must(template.New("page.html").Funcs(template.FuncMap{
	"style": func() template.CSS {
		css, err := templates.ReadFile("templates/style.css")
		if err != nil {
			panic(err) // it is embedded above
		}
		return template.CSS(css)
	},
}).ParseFS(templates, "templates/*.html"))

// writeHTML writes one self-contained file.
func writeHTML(w io.Writer, d *Document) error {
	var b bytes.Buffer
	if err := page.Execute(&b, d); err != nil {
		return fmt.Errorf("the page cannot be made: %w", err)
	}
	_, err := w.Write(b.Bytes())
	return err
}
