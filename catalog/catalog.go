// Package catalog holds equipment data: a generic set that ships with the program, and the user's own files.
//
// [Generic] gives the embedded set: classes of equipment, typical and invented, no maker's product. [Read] reads a
// file of the user's own with the same keys and the same strictness, and [Catalog.Add] lays it over another. The
// equipment tables of a site file go through the same functions ([DecodeInverter] and its siblings), where keys
// given beside `use` override those of the entry.
//
// Powers are W or VA, currents A, potentials V, temperatures degrees C. A zero in an optional field means that the
// data sheet does not tell; where zero would be a value, the field is a pointer.
package catalog

import (
	"fmt"
	"slices"
	"sync"

	"outlast/battery"
	"outlast/catalog/strict"
)

// A Catalog is a set of equipment, found by id. It keeps the order of the files.
type Catalog struct {
	entries []entry
	byID    map[string]int // in entries
}

// An entry is one piece of equipment. A command asks for a few of them at most, so the text of those that ship with the
// program is read only when it is asked for.
type entry struct {
	kind, id string
	table    func() *strict.Table // has been checked
	value    func() any           // what its kind's decoder makes of it
}

// newEntry makes an entry of a table that is read, and then decoded, once.
func newEntry(kind, id string, table func() *strict.Table) entry {
	return entry{kind, id, table, sync.OnceValue(func() any { return decoders[kind](table()) })}
}

// decoders make the value of an entry, by kind.
var decoders = map[string]func(*strict.Table) any{
	inverterKind:  func(t *strict.Table) any { v, _ := DecodeInverter(t, nil); return v },
	batteryKind:   func(t *strict.Table) any { v, _ := DecodeBattery(t, nil); return v },
	moduleKind:    func(t *strict.Table) any { v, _ := DecodeModule(t, nil); return v },
	generatorKind: func(t *strict.Table) any { v, _ := DecodeGenerator(t, nil); return v },
	applianceKind: func(t *strict.Table) any { v, _ := DecodeAppliance(t); return v },
}

// The kinds of equipment, as the tables of a file are called.
const (
	inverterKind  = "inverter"
	batteryKind   = "battery"
	moduleKind    = "module"
	generatorKind = "generator"
	applianceKind = "appliance"
)

// Read reads a catalog file. The error is of type [strict.Problems] and names every fault of the file.
func Read(file string, src []byte) (*Catalog, error) {
	root, err := strict.Parse(file, src, &fileKeys)
	if err != nil {
		return nil, err
	}
	c := &Catalog{byID: map[string]int{}}
	for _, kind := range []string{inverterKind, batteryKind, moduleKind, generatorKind, applianceKind} {
		c.read(kind, root)
	}
	if ps := root.Problems(); ps != nil {
		return nil, ps
	}
	return c, nil
}

// read takes the entries of one kind; what is wrong with them is reported in their tables.
func (c *Catalog) read(kind string, root *strict.Table) {
	for _, t := range root.Tables(kind) {
		e := newEntry(kind, "", func() *strict.Table { return t })
		e.value()
		if !t.Require("id") {
			continue
		}
		id, ok := t.Text("id")
		if _, twice := c.byID[id]; ok && twice {
			t.Report("id", "", "found %s a second time, want each id once", strict.Quote(id))
			continue
		}
		e.id = id
		c.put(e)
	}
}

func (c *Catalog) put(e entry) {
	c.byID[e.id] = len(c.entries)
	c.entries = append(c.entries, e)
}

// Inverters lists all inverters.
func (c *Catalog) Inverters() []Inverter { return all[Inverter](c, inverterKind) }

// Batteries lists all battery units.
func (c *Catalog) Batteries() []battery.Unit { return all[battery.Unit](c, batteryKind) }

// Modules lists all PV modules.
func (c *Catalog) Modules() []Module { return all[Module](c, moduleKind) }

// Generators lists all generators.
func (c *Catalog) Generators() []Generator { return all[Generator](c, generatorKind) }

// Appliances lists all classes of appliances.
func (c *Catalog) Appliances() []Appliance { return all[Appliance](c, applianceKind) }

func all[T any](c *Catalog, kind string) []T {
	var out []T
	for _, e := range c.entries {
		if e.kind == kind {
			out = append(out, e.value().(T))
		}
	}
	return out
}

// ApplianceIDs are the ids of all classes of appliances, in their order; nothing of them is read for it.
func (c *Catalog) ApplianceIDs() (ids []string) {
	for _, e := range c.entries {
		if e.kind == applianceKind {
			ids = append(ids, e.id)
		}
	}
	return ids
}

// TOML is an entry as it may stand in a catalog file; empty for an unknown id.
func (c *Catalog) TOML(id string) string {
	at, ok := c.byID[id]
	if !ok {
		return ""
	}
	return c.entries[at].table().TOML()
}

// IDs are the ids of all entries, sorted.
func (c *Catalog) IDs() []string {
	ids := make([]string, len(c.entries))
	for i, e := range c.entries {
		ids[i] = e.id
	}
	slices.Sort(ids)
	return ids
}

// Add lays other over c: an entry of other takes the place of the one with the same id, even of another kind. One of
// the same kind keeps its place in the list.
func (c *Catalog) Add(other *Catalog) {
	sum := Catalog{byID: map[string]int{}}
	for _, e := range c.entries {
		at, over := other.byID[e.id]
		if !over {
			sum.put(e)
		} else if other.entries[at].kind == e.kind {
			sum.put(other.entries[at])
		}
	}
	for _, e := range other.entries {
		if _, there := sum.byID[e.id]; !there {
			sum.put(e)
		}
	}
	*c = sum
}

// Inverter finds an inverter by id.
func (c *Catalog) Inverter(id string) (Inverter, error) {
	return find[Inverter](c, id, inverterKind)
}

// Battery finds a battery unit by id.
func (c *Catalog) Battery(id string) (battery.Unit, error) {
	return find[battery.Unit](c, id, batteryKind)
}

// Module finds a PV module by id.
func (c *Catalog) Module(id string) (Module, error) { return find[Module](c, id, moduleKind) }

// Generator finds a generator by id.
func (c *Catalog) Generator(id string) (Generator, error) {
	return find[Generator](c, id, generatorKind)
}

// Appliance finds a class of appliances by id.
func (c *Catalog) Appliance(id string) (Appliance, error) {
	return find[Appliance](c, id, applianceKind)
}

// An UnknownID is an id that the catalog does not have.
type UnknownID struct {
	Kind, ID string
	Nearest  string // the id that was most likely meant, or ""
}

func (e *UnknownID) Error() string {
	return fmt.Sprintf("no %s %s in the catalog", e.Kind, strict.Quote(e.ID))
}

func find[T any](c *Catalog, id, kind string) (v T, err error) {
	if at, ok := c.byID[id]; ok && c.entries[at].kind == kind {
		return c.entries[at].value().(T), nil
	}
	var ids []string
	for _, e := range c.entries {
		if e.kind == kind {
			ids = append(ids, e.id)
		}
	}
	return v, &UnknownID{Kind: kind, ID: id, Nearest: strict.Nearest(id, ids)}
}
