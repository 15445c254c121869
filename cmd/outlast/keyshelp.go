package main

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"outlast/backup/sheet"
	"outlast/backup/site"
	"outlast/catalog/strict"
)

// examplesFile is a site file in which every key stands once. What may stand in the place of a line follows it as a comment.
const examplesFile = "topics/keys.toml"

// inPlace begins the comment that gives another key in the place of the line before it.
const inPlace = "# or: "

// keyTable is one table of a site file, by the name under which help knows it: "load".
type keyTable struct {
	name string
	keys *strict.Keys
}

func keyTables() []keyTable {
	var out []keyTable
	for _, k := range site.FileKeys().List {
		out = append(out, keyTable{k.Name, k.Keys})
	}
	return out
}

// tableNames are the names of the tables of a site file.
func tableNames() []string {
	var out []string
	for _, t := range keyTables() {
		out = append(out, t.name)
	}
	return out
}

// writeKeys writes every key of a site file, or of one of its tables: an example, what it means, what it takes, and its default.
func writeKeys(w io.Writer, only string, width int) error {
	width = min(width, widestHelp)
	examples, err := keyExamples()
	if err != nil {
		return err
	}
	page, err := topicPage(keysTopic)
	if err != nil {
		return err
	}
	var b strings.Builder
	if only == "" {
		b.WriteString(rendered(page, width))
	}
	for _, t := range keyTables() {
		if only != "" && t.name != only {
			continue
		}
		if b.Len() > 0 {
			b.WriteByte('\n')
		}
		fmt.Fprintf(&b, "%s\n%s\n", t.keys.Name, strings.Repeat("-", len(t.keys.Name)))
		for i := range t.keys.List {
			k := &t.keys.List[i]
			if t.name == "option" && k.Keys != nil {
				b.WriteString(strings.Join(sheet.Wrapped(fmt.Sprintf("%s: any key of [%s], as in %s", k.Name, k.Name, examples[t.name][k.Name]), width, "", "    "), "\n") + "\n")
				continue
			}
			b.WriteString(examples[t.name][k.Name] + "\n")
			b.WriteString(strings.Join(sheet.Wrapped(keyWords(k), width, "    ", "    "), "\n") + "\n")
			if k.Keys == nil {
				continue
			}
			for j := range k.Keys.List {
				b.WriteString(strings.Join(sheet.Wrapped(k.Keys.List[j].Name+": "+keyWords(&k.Keys.List[j]), width, "    - ", "      "), "\n") + "\n")
			}
		}
	}
	_, err = io.WriteString(w, b.String())
	return err
}

// keyWords is what a key means, what it takes, and what stands for it where it is not given.
func keyWords(k *strict.Key) string {
	text := k.Doc + "; " + k.Wants()
	if k.Keys != nil {
		text = k.Doc // its keys follow
		if k.Kind == strict.Groups {
			text += "; a list of tables { … }"
		} else {
			text += "; a table { … }"
		}
	}
	switch v := k.Default.(type) {
	case nil:
		if k.Required {
			text += "; must be given"
		}
	case string:
		text += "; default " + strconv.Quote(v)
	default:
		text += fmt.Sprintf("; default %v", v)
	}
	return strings.ReplaceAll(text, "`", "") + "."
}

// keyExamples are the lines of the examples, by table and key.
func keyExamples() (map[string]map[string]string, error) {
	src, err := topicFiles.ReadFile(examplesFile)
	if err != nil {
		return nil, err
	}
	out := map[string]map[string]string{}
	table := ""
	for line := range strings.Lines(string(src)) {
		line = strings.TrimSpace(strings.TrimPrefix(line, inPlace))
		if strings.HasPrefix(line, "[") {
			table = strings.Trim(line, "[]")
			if out[table] == nil {
				out[table] = map[string]string{}
			}
			continue
		}
		key, _, ok := strings.Cut(line, " = ")
		key, _, _ = strings.Cut(key, ".") // of an option
		if ok && table != "" && !strings.HasPrefix(line, "#") && out[table][key] == "" {
			out[table][key] = line
		}
	}
	return out, nil
}
