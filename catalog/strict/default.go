package strict

// Default is a value that a file left to us, for the working.
type Default struct {
	Table string // as written in the file: "[site]", "[[load]]"
	Key   string
	Value string // with its unit
	Count int    // how many tables left it out
	Class string // id of the class that the value is typical of; "": the default of the key
}

// NoteDefault notes a default that was given out: one of the table's own, or one by chemistry, say.
func (t *Table) NoteDefault(key, value string) { t.NoteTypical(key, value, "") }

// usualDefaults is room for the keys that a load usually leaves out, and most tables of a file are loads.
const usualDefaults = 8

// NoteTypical notes a value that was given out for a key because it is typical of a class.
func (t *Table) NoteTypical(key, value, class string) {
	for _, d := range t.defaults {
		if d.Key == key {
			return
		}
	}
	if t.defaults == nil {
		t.defaults = make([]Default, 0, usualDefaults)
	}
	t.defaults = append(t.defaults, Default{Table: t.keys.Name, Key: key, Value: value, Count: 1, Class: class})
}

// Noted says whether a value was given out for a key that the table does not give, and for which class of appliances it
// is typical; "" where it is the default of the key.
func (t *Table) Noted(key string) (class string, ok bool) {
	for _, d := range t.defaults {
		if d.Key == key {
			return d.Class, true
		}
	}
	return "", false
}

// Defaults lists the defaults that the getters of tables, and of the tables in them, gave out, in the order of the
// tables and of first use. A nil table is passed over.
func Defaults(tables ...*Table) []Default {
	var out []Default
	index := map[Default]int{}
	var collect func(t *Table)
	collect = func(t *Table) {
		if t == nil {
			return
		}
		for _, d := range t.defaults {
			i, ok := index[d]
			if !ok {
				i = len(out)
				index[d] = i
				out = append(out, d)
				continue
			}
			out[i].Count++
		}
		for i := range t.keys.List {
			for _, s := range t.subs[t.keys.List[i].Name] {
				collect(s)
			}
		}
	}
	for _, t := range tables {
		collect(t)
	}
	return out
}
