package words

import (
	"fmt"
	"io/fs"
	"strings"
)

// A row says one thing in every language.
type row struct {
	key  string            // in brackets above it
	in   map[string]string // by column, mostly a language
	path string            // of the file
	line int               // of the key
}

func (r row) place() string { return fmt.Sprintf("%s:%d", r.path, r.line) }

// rows reads the tables of a folder, by the names of their files. They were read by the tests: a fault is no slip of
// the user's.
func rows(folder string) []row {
	all, err := readFolder(files, folder, columns(folder))
	if err != nil {
		panic(err)
	}
	return all
}

// columns are what each row of a folder gives, mostly languages: where the English is the key it is not said twice.
func columns(folder string) []string {
	switch folder {
	case "texts", "called":
		return languages
	case "glossary":
		return termColumns
	case "american":
		return []string{"us"}
	}
	return languages[1:]
}

func readFolder(fsys fs.FS, folder string, want []string) ([]row, error) {
	paths, err := fs.Glob(fsys, folder+"/*.toml")
	if err != nil {
		return nil, err
	}
	var all []row
	seen := map[string]row{}
	for _, path := range paths {
		src, err := fs.ReadFile(fsys, path)
		if err != nil {
			return nil, err
		}
		of, err := readTable(path, string(src), want)
		if err != nil {
			return nil, err
		}
		for _, r := range of {
			if first, twice := seen[r.key]; twice {
				return nil, fmt.Errorf("%s: %q stands at %s too", r.place(), r.key, first.place())
			}
			seen[r.key] = r
		}
		all = append(all, of...)
	}
	return all, nil
}

// readTable reads a file of rows. It is TOML, and no more of it than this: a key in brackets and quotes, below it a
// line for each language, in their order, and comments and blank lines between the rows. A reader of all of TOML takes
// more than twice as long, which each paper waits for, lets a language be left out, and does not say in which line a
// text stands.
func readTable(path, src string, want []string) (out []row, err error) {
	err = eachText(path, src, want, func(key string, n int) {
		out = append(out, row{key: key, in: make(map[string]string, len(want)), path: path, line: n})
	}, func(lang, quoted string) error {
		value, err := unquote(quoted)
		out[len(out)-1].in[lang] = value
		return err
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// column reads of a folder what one language says, by the keys. All of it would take five times as long, which a page
// in a browser waits for.
func column(folder, lang string) map[string]string {
	out := map[string]string{}
	paths, err := fs.Glob(files, folder+"/*.toml")
	for _, path := range paths {
		var src []byte
		if src, err = files.ReadFile(path); err != nil {
			break
		}
		key := ""
		if err = eachText(path, string(src), columns(folder), func(k string, _ int) { key = k },
			func(of, quoted string) (err error) {
				if of == lang {
					out[key], err = unquote(quoted)
				}
				return err
			}); err != nil {
			break
		}
	}
	if err != nil {
		panic(err) // as in rows
	}
	return out
}

// eachText goes through a file of rows: begin is given each key with its line, take each column of the row with what
// stands there, in quotes.
func eachText(path, src string, want []string, begin func(key string, line int), take func(column, quoted string) error,
) error {
	due := []string(nil) // what the row still lacks
	n := 0
	fault := func(format string, args ...any) error {
		return fmt.Errorf("%s:%d: %s", path, n, fmt.Sprintf(format, args...))
	}
	for line := range strings.Lines(src) {
		n++
		line = strings.TrimSuffix(line, "\n")
		switch {
		case len(due) > 0:
			lang, text, ok := strings.Cut(line, " = ")
			if !ok || lang != due[0] {
				return fault("found %q, want the row's %s = \"…\"", line, due[0])
			}
			if err := take(lang, text); err != nil {
				return fault("%s: %v", lang, err)
			}
			due = due[1:]
		case line == "" || strings.HasPrefix(line, "#"):
		case strings.HasPrefix(line, "[") && strings.HasSuffix(line, "]"):
			key, err := unquote(line[1 : len(line)-1])
			if err != nil {
				return fault("%v", err)
			}
			begin(key, n)
			due = want
		default:
			return fault("found %q, want a row's [\"key\"]; it gives %s", line, strings.Join(want, ", "))
		}
	}
	if len(due) > 0 {
		return fault("the file ends in a row that lacks %s", strings.Join(due, ", "))
	}
	return nil
}

// unquote reads what stands in quotes.
func unquote(quoted string) (string, error) {
	text, ok := strings.CutPrefix(quoted, `"`)
	text, closed := strings.CutSuffix(text, `"`)
	switch {
	case !ok || !closed:
		return "", fmt.Errorf("found %s, want a text in straight quotes", quoted)
	case text == "":
		return "", fmt.Errorf("found no text between the quotes")
	case !strings.ContainsAny(text, `"\`): // nearly all
		return text, nil
	}
	var out strings.Builder
	for rest := text; rest != ""; {
		before, after, escape := strings.Cut(rest, `\`)
		if strings.Contains(before, `"`) || escape && !strings.HasPrefix(after, `"`) && !strings.HasPrefix(after, `\`) {
			return "", fmt.Errorf(`found %s, want a quote inside it as \" and a backslash as \\, and no other escapes`,
				quoted)
		}
		out.WriteString(before)
		if escape {
			out.WriteByte(after[0])
			after = after[1:]
		}
		rest = after
	}
	return out.String(), nil
}
