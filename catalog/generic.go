package catalog

import (
	_ "embed" // for the generic set
	"fmt"
	"strings"
	"sync"

	"outlast/catalog/strict"
)

//go:embed generic.toml
var generic string

//go:embed appliances.toml
var appliances string

// Generic returns the embedded set: equipment, then classes of appliances.
//
// Its text is only cut into entries here, as a site names a handful of them: reading all takes longer than planning a
// home. A test reads the whole as any other file.
func Generic() (*Catalog, error) {
	c := &Catalog{byID: map[string]int{}}
	for _, file := range []struct{ name, src string }{{"generic.toml", generic}, {"appliances.toml", appliances}} {
		if err := c.cut(file.name, file.src); err != nil {
			return nil, err
		}
	}
	return c, nil
}

// cut adds the entries of a sound file; each begins with its id.
func (c *Catalog) cut(file, src string) error {
	for _, text := range strings.Split(src, "\n[[")[1:] {
		kind, rest, _ := strings.Cut(text, "]]\nid = \"")
		id, _, ok := strings.Cut(rest, "\"\n")
		if _, twice := c.byID[id]; !ok || twice {
			line, _, _ := strings.Cut(text, "\n")
			return fmt.Errorf("%s: entry %d, [[%s, does not begin with an id of its own", file, len(c.entries)+1, line)
		}
		c.put(newEntry(kind, id, sync.OnceValue(func() *strict.Table {
			root, err := strict.Parse(file, []byte("[["+text), &fileKeys)
			if err != nil {
				panic(err) // no slip of the user's: the tests read the whole set
			}
			return root.Tables(kind)[0]
		})))
	}
	return nil
}
