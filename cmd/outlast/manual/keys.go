package manual

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"outlast/backup/sheet/columns"
	"outlast/backup/site"
	"outlast/catalog"
	"outlast/catalog/strict"
	"outlast/cmd/outlast/terminal"
)

// catalogTables begins the names under which help knows the tables of a catalog: "catalog.battery".
const catalogTables = "catalog"

// keyTable is one table of a file, by the name under which help knows it: "load".
type keyTable struct {
	name string
	keys *strict.Keys
}

// keyTables are the tables of a site file, or those of a catalog.
func keyTables(file *strict.Keys, prefix string) []keyTable {
	var out []keyTable
	for _, k := range file.List {
		out = append(out, keyTable{prefix + k.Name, k.Keys})
	}
	return out
}

func siteTables() []keyTable { return keyTables(site.FileKeys(), "") }

func allTables() []keyTable {
	return append(siteTables(), keyTables(catalog.FileKeys(), catalogTables+".")...)
}

// TableNames are what help knows tables by.
func TableNames() []string {
	var out []string
	for _, t := range allTables() {
		out = append(out, t.name)
	}
	return append(out, catalogTables)
}

// only is a table with no more than the keys of a name.
func (t keyTable) only(name string) (one keyTable, ok bool) {
	for i := range t.keys.List {
		if t.keys.List[i].Name == name {
			return keyTable{t.name, &strict.Keys{Name: t.keys.Name, List: t.keys.List[i : i+1]}}, true
		}
	}
	return t, false
}

// tablesFor finds what is asked for: a table, one of its keys as in "bank.strings", or a key of whatever tables have
// it.
func tablesFor(asked string) ([]keyTable, error) {
	if asked == "" {
		return siteTables(), nil
	}
	if asked == catalogTables {
		return keyTables(catalog.FileKeys(), catalogTables+"."), nil
	}
	var found []keyTable
	keys := TableNames()
	for _, t := range allTables() {
		if t.name == asked {
			return []keyTable{t}, nil
		}
		name, inIt := strings.CutPrefix(asked, t.name+".")
		if inIt {
			if one, ok := t.only(name); ok {
				return []keyTable{one}, nil
			}
		}
		for i := range t.keys.List {
			if keys = append(keys, t.keys.List[i].Name); inIt {
				keys = append(keys, t.name+"."+t.keys.List[i].Name)
			}
		}
	}
	for _, t := range siteTables() {
		if one, ok := t.only(asked); ok {
			found = append(found, one)
		}
	}
	if found != nil {
		return found, nil
	}
	hint := "the tables are " + strings.Join(TableNames(), ", ")
	if near := strict.Nearest(asked, keys); near != "" {
		hint = fmt.Sprintf("did you mean %q? %s", near, hint)
	}
	return nil, terminal.Usage(fmt.Sprintf("there is no table and no key %q", asked), hint)
}

// keysAsked are the tables that are asked for, and the page that stands before all of them where none are.
func keysAsked(asked string) (tables []keyTable, page string, err error) {
	if tables, err = tablesFor(asked); err == nil && asked == "" {
		page, err = TopicPage(KeysTopic)
	}
	return tables, page, err
}

// WriteKeys writes the keys that are asked for, all of a site file where none are: an example of each, what it means,
// what it takes, and what holds without it.
func WriteKeys(w io.Writer, asked string, width int) error {
	width = min(width, widestHelp)
	tables, page, err := keysAsked(asked)
	if err != nil {
		return err
	}
	var b strings.Builder
	if page != "" {
		b.WriteString(rendered(page, width))
	}
	wrap := func(text, first, next string) {
		b.WriteString(strings.Join(columns.Wrapped(text, width, first, next), "\n") + "\n")
	}
	for _, t := range tables {
		if b.Len() > 0 {
			b.WriteByte('\n')
		}
		fmt.Fprintf(&b, "%s\n%s\n", t.keys.Name, strings.Repeat("-", len(t.keys.Name)))
		for i := range t.keys.List {
			k := &t.keys.List[i]
			b.WriteString(k.Name + " = " + k.Example + "\n")
			wrap(keyWords(k), "    ", "    ")
			for _, below := range keysBelow(k) {
				wrap(below.Name+" = "+below.Example+": "+keyWords(&below), "    - ", "      ")
			}
		}
	}
	_, err = io.WriteString(w, b.String())
	return err
}

// keysBelow are the keys of the tables that a key holds; none of an option's, which are those of the tables of the same
// names.
func keysBelow(k *strict.Key) []strict.Key {
	if k.Keys == nil || strings.HasSuffix(k.Keys.Name, site.OfOption) {
		return nil
	}
	return k.Keys.List
}

// keyWords is what a key means, what it takes, and what holds where it is not given.
func keyWords(k *strict.Key) string {
	return strings.ReplaceAll(k.Doc, "`", "") + "; " + takes(k) + "; " + withoutIt(k) + "."
}

// takes says what a key takes, its unit too. The keys of tables are told below it.
func takes(k *strict.Key) string {
	switch {
	case k.Kind == strict.Groups:
		return "a list of tables { … }"
	case k.Kind == strict.Group:
		return "a table { … }"
	}
	return k.Wants()
}

func withoutIt(k *strict.Key) string {
	if k.Required || k.Alone {
		return k.Without()
	}
	return "default: " + k.Without()
}

// WriteKeysMarkdown writes the same as tables of Markdown.
func WriteKeysMarkdown(w io.Writer, asked string) error {
	tables, page, err := keysAsked(asked)
	if err != nil {
		return err
	}
	var b strings.Builder
	if page != "" {
		b.WriteString(page)
		tables = allTables()
	}
	for _, t := range tables {
		if b.Len() > 0 {
			b.WriteByte('\n')
		}
		title := "`" + t.keys.Name + "`"
		if strings.HasPrefix(t.name, catalogTables+".") {
			title += " of a catalog"
		}
		fmt.Fprintf(&b, "## %s\n\n| Key | Meaning | Takes | Without it | Example |\n| --- | --- | --- | --- | --- |\n",
			title)
		row := func(name string, k *strict.Key) {
			cells := []string{"`" + name + "`", k.Doc, takes(k), k.Without(), "`" + k.Example + "`"}
			for i, cell := range cells {
				cells[i] = strings.ReplaceAll(cell, "|", `\|`)
			}
			b.WriteString("| " + strings.Join(cells, " | ") + " |\n")
		}
		for i := range t.keys.List {
			k := &t.keys.List[i]
			row(k.Name, k)
			for _, below := range keysBelow(k) {
				row(k.Name+"."+below.Name, &below)
			}
		}
	}
	_, err = io.WriteString(w, b.String())
	return err
}

// CompleteKeys offers the tables, and the keys of the one that is begun.
func CompleteKeys(begun string) []string {
	names := TableNames()
	for _, t := range allTables() {
		if strings.HasPrefix(begun, t.name+".") {
			for i := range t.keys.List {
				names = append(names, t.name+"."+t.keys.List[i].Name)
			}
		}
	}
	return slices.DeleteFunc(names, func(name string) bool { return !strings.HasPrefix(name, begun) })
}
