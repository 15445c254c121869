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
	_ "embed" // for the generic set
	"fmt"
	"maps"
	"slices"

	"outlast/battery"
	"outlast/catalog/strict"
)

//go:embed generic.toml
var generic []byte

// A Catalog is a set of equipment, found by id. The lists keep the order of the files.
type Catalog struct {
	Inverters  []Inverter
	Batteries  []battery.Unit
	Modules    []Module
	Generators []Generator

	basis map[string]string // by id: what the figures of an entry rest on
	text  map[string]string // by id: the entry as TOML
}

// Generic reads the embedded set.
func Generic() (*Catalog, error) { return Read("generic.toml", generic) }

// Read reads a catalog file. The error is of type [strict.Problems] and names every fault of the file.
func Read(file string, src []byte) (*Catalog, error) {
	root, err := strict.Parse(file, src, &fileKeys)
	if err != nil {
		return nil, err
	}
	c := &Catalog{basis: map[string]string{}, text: map[string]string{}}
	seen := map[string]bool{}
	for _, t := range root.Tables("inverter") {
		if v, ok := DecodeInverter(t, nil); c.entry(t, seen) && ok {
			c.Inverters = append(c.Inverters, v)
		}
	}
	for _, t := range root.Tables("battery") {
		if v, ok := DecodeBattery(t, nil); c.entry(t, seen) && ok {
			c.Batteries = append(c.Batteries, v)
		}
	}
	for _, t := range root.Tables("module") {
		if v, ok := DecodeModule(t, nil); c.entry(t, seen) && ok {
			c.Modules = append(c.Modules, v)
		}
	}
	for _, t := range root.Tables("generator") {
		if v, ok := DecodeGenerator(t, nil); c.entry(t, seen) && ok {
			c.Generators = append(c.Generators, v)
		}
	}
	if ps := root.Problems(); ps != nil {
		return nil, ps
	}
	return c, nil
}

// entry checks what every entry of a file has: an id of its own.
func (c *Catalog) entry(t *strict.Table, seen map[string]bool) bool {
	if !t.Require("id") {
		return false
	}
	id, ok := t.Text("id")
	if ok && seen[id] {
		t.Report("id", "", "found %s a second time, want each id once", strict.Quote(id))
		return false
	}
	seen[id] = true
	if basis, ok := t.Text("basis"); ok {
		c.basis[id] = basis
	}
	c.text[id] = t.TOML()
	return ok
}

// Basis tells what the figures of an entry rest on: "typical of its class", or the user's own words; may be empty.
func (c *Catalog) Basis(id string) string { return c.basis[id] }

// Add lays other over c: an entry of other takes the place of the one with the same id, even of another kind.
func (c *Catalog) Add(other *Catalog) {
	c.Inverters = lay(c.Inverters, other.Inverters, other, func(v Inverter) string { return v.ID })
	c.Batteries = lay(c.Batteries, other.Batteries, other, func(v battery.Unit) string { return v.ID })
	c.Modules = lay(c.Modules, other.Modules, other, func(v Module) string { return v.ID })
	c.Generators = lay(c.Generators, other.Generators, other, func(v Generator) string { return v.ID })
	for id, text := range other.text {
		c.text[id] = text
		c.basis[id] = other.basis[id] // not the old one's where the new one has none
	}
}

// TOML is an entry as it may stand in a catalog file; empty for an unknown id.
func (c *Catalog) TOML(id string) string { return c.text[id] }

// IDs are the ids of all entries, sorted.
func (c *Catalog) IDs() []string { return slices.Sorted(maps.Keys(c.text)) }

// lay keeps the place of an entry in the list when it is replaced by one of its kind.
func lay[T any](base, over []T, other *Catalog, id func(T) string) []T {
	var out []T
	for _, b := range base {
		i := slices.IndexFunc(over, func(v T) bool { return id(v) == id(b) })
		switch {
		case i >= 0:
			out = append(out, over[i])
		case other.text[id(b)] == "":
			out = append(out, b)
		}
	}
	for _, v := range over {
		if !slices.ContainsFunc(base, func(b T) bool { return id(b) == id(v) }) {
			out = append(out, v)
		}
	}
	return out
}

// Inverter finds an inverter by id.
func (c *Catalog) Inverter(id string) (Inverter, error) {
	return find(c.Inverters, id, "inverter", func(v Inverter) string { return v.ID })
}

// Battery finds a battery unit by id.
func (c *Catalog) Battery(id string) (battery.Unit, error) {
	return find(c.Batteries, id, "battery", func(v battery.Unit) string { return v.ID })
}

// Module finds a PV module by id.
func (c *Catalog) Module(id string) (Module, error) {
	return find(c.Modules, id, "module", func(v Module) string { return v.ID })
}

// Generator finds a generator by id.
func (c *Catalog) Generator(id string) (Generator, error) {
	return find(c.Generators, id, "generator", func(v Generator) string { return v.ID })
}

// An UnknownID is an id that the catalog does not have.
type UnknownID struct {
	Kind, ID string
	Nearest  string // the id that was most likely meant, or ""
}

func (e *UnknownID) Error() string {
	return fmt.Sprintf("no %s %s in the catalog", e.Kind, strict.Quote(e.ID))
}

func find[T any](list []T, id, kind string, idOf func(T) string) (T, error) {
	ids := make([]string, len(list))
	for i, v := range list {
		if ids[i] = idOf(v); ids[i] == id {
			return v, nil
		}
	}
	var none T
	return none, &UnknownID{Kind: kind, ID: id, Nearest: strict.Nearest(id, ids)}
}
