package site

import (
	"slices"
	"strconv"

	"outlast/backup/working"
	"outlast/catalog/strict"
	"outlast/loads"
)

// An Origin is where a figure of a site comes from. The zero Origin is a default of the planner.
type Origin struct {
	Line  int    // of the site file; 0: it does not stand there
	Entry string // the entry of the catalog that gives it; "": none
	Class string // the class of appliances of which the value is typical; "": none
}

// Origin finds where the value of a key comes from: table is that of the file, such as "inverter" or "load", at is
// which of several: the name of a load, the id of a circuit, the number of an array from 1; "" where there is only one.
func (s *Site) Origin(table, at, key string) Origin {
	t := s.tableOf(table, at)
	if t == nil {
		return Origin{}
	}
	if line, ok := t.Line(key); ok {
		return Origin{Line: line}
	}
	if class, ok := t.Noted(key); ok {
		return Origin{Class: class}
	}
	if line, id := usedBy(t); line > 0 {
		if table == "load" {
			return Origin{Class: id}
		}
		return Origin{Entry: id}
	}
	return Origin{}
}

// Gives is the first of some keys that a table gives, or the class of appliances that it names; "" where it gives none.
func (s *Site) Gives(table, at string, keys ...string) string {
	if t := s.tableOf(table, at); t != nil {
		for _, key := range keys {
			if t.Given(key) {
				return key
			}
		}
	}
	return ""
}

// usedBy is the entry of a catalog that a table names, and the line on which it does.
func usedBy(t *strict.Table) (line int, id string) {
	if line, ok := t.Line("use"); ok {
		id, _ := t.AsWritten("use")
		return line, id
	}
	return 0, ""
}

// tableOf is the table of the file as this site has it: that of an option is laid over the site's own. nil: the file
// has none.
func (s *Site) tableOf(name, at string) *strict.Table {
	r := s.reader
	if r == nil {
		return nil
	}
	switch name {
	case "outage":
		return s.equipment.outage
	case "practice":
		return s.equipment.practice
	case "inverter":
		return s.equipment.inverter
	case "bank":
		return s.equipment.bank
	case "load":
		i := slices.IndexFunc(s.Loads, func(l loads.Load) bool { return l.Name == at })
		return nth(r.loads, i)
	case "circuit":
		i := slices.IndexFunc(s.Circuits, func(c loads.Circuit) bool { return c.ID == at })
		return nth(slices.Concat(r.root.Tables("circuit"), r.assumedTables()), i)
	case "array":
		i, _ := strconv.Atoi(at)
		return nth(r.root.Tables("array"), i-1)
	case "wiring":
		return r.wiring
	}
	return r.root.Table(name)
}

// nth is an item of a list; nil where it has no such one.
func nth(list []*strict.Table, i int) *strict.Table {
	if i < 0 || i >= len(list) {
		return nil
	}
	return list[i]
}

// NumberOf is a number as a table gives it, or the class of appliances that it names; ok is false where neither does.
func (s *Site) NumberOf(table, at, key string) (v float64, ok bool) {
	if t := s.tableOf(table, at); t != nil && t.Given(key) {
		return t.Number(key)
	}
	return 0, false
}

// DefaultSource is what a value rests on that the file left to the planner; empty where no more is known than that the
// key has this default.
func (s *Site) DefaultSource(d strict.Default) working.Source {
	if d.Table == bankKeys.Name {
		for _, u := range s.unitDefaults {
			if u.Key == d.Key {
				return u.Source
			}
		}
	}
	return working.Source{}
}
