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

const genericFile = "generic.toml"

// Generic returns the embedded set.
//
// Its text is only cut into entries here, as a site names a handful of them: reading all takes longer than planning a home. A test
// reads the whole as any other file.
func Generic() (*Catalog, error) { return cut(genericFile, generic) }

// cut makes a catalog of a sound file whose entries begin with their ids.
func cut(file, src string) (*Catalog, error) {
	c := &Catalog{byID: map[string]int{}}
	for _, text := range strings.Split(src, "\n[[")[1:] {
		kind, rest, _ := strings.Cut(text, "]]\nid = \"")
		id, _, ok := strings.Cut(rest, "\"\n")
		if _, twice := c.byID[id]; !ok || twice {
			line, _, _ := strings.Cut(text, "\n")
			return nil, fmt.Errorf("%s: entry %d, [[%s, does not begin with an id of its own", file, len(c.entries)+1, line)
		}
		c.put(newEntry(kind, id, sync.OnceValue(func() *strict.Table {
			root, err := strict.Parse(file, []byte("[["+text), &fileKeys)
			if err != nil {
				panic(err) // no slip of the user's: the tests read the whole set
			}
			return root.Tables(kind)[0]
		})))
	}
	return c, nil
}
