package sheet

import (
	"bytes"
	"fmt"
	"io"

	"outlast/backup/sheet/columns"
	"outlast/backup/sheet/grid"
	"outlast/backup/sheet/speech"
	"outlast/catalog"
)

// WriteCatalog lists the equipment and the classes of appliances of a catalog as text tables, width columns wide. First
// it tells how many there are and how one of them is used.
func WriteCatalog(w io.Writer, cat *catalog.Catalog, width int) error {
	inverters := entries("Inverter", "rrrr", "VA", "W", "V DC", "Ph")
	for _, v := range cat.Inverters() {
		inverters.add(v.ID, v.Label, grid.Whole(v.RatedVA), grid.Whole(v.RatedW), grid.Short(v.NominalDCV),
			fmt.Sprint(v.Phases))
	}
	batteries := entries("Battery", "lrr", "Type", "V", "Ah")
	for _, v := range cat.Batteries() {
		batteries.add(v.ID, v.Label, string(v.Chemistry), grid.Short(v.NominalV), grid.Short(v.RatedAh))
	}
	modules := entries("Module", "rrr", "W", "Voc V", "Isc A")
	for _, v := range cat.Modules() {
		modules.add(v.ID, v.Label, grid.Whole(v.RatedW), grid.Tenth(v.VocV), grid.Tenth(v.IscA))
	}
	generators := entries("Generator", "rrl", "VA", "Ph", "Fuel")
	for _, v := range cat.Generators() {
		generators.add(v.ID, v.Label, grid.Whole(v.RatedVA), fmt.Sprint(v.Phases), v.Fuel)
	}
	appliances := entries("Appliance", "rrr", "Run W", "Start VA", "Hours")
	for _, v := range cat.Appliances() {
		appliances.add(v.ID, v.Label, spread(v.Typical.RunningW, v.Low.RunningW, v.High.RunningW).String(),
			grid.OrNone(v.Typical.StartingVA), grid.Short(v.Typical.HoursPerDay))
	}
	var b bytes.Buffer
	columns.Paragraph(&b,
		fmt.Sprintf("%s, %s, %s, %s and %s: a site file names one with use = \"ID\", and outlast catalog ID prints it.",
			grid.Plural(len(inverters.Rows), "inverter", "inverters"),
			grid.Plural(len(batteries.Rows), "battery", "batteries"),
			grid.Plural(len(modules.Rows), "PV module", "PV modules"),
			grid.Plural(len(generators.Rows), "generator", "generators"),
			grid.Plural(len(appliances.Rows), "class of appliances", "classes of appliances")), width, "", "  ")
	for _, t := range []entryTable{inverters, batteries, modules, generators, appliances} {
		if len(t.Rows) == 0 {
			continue
		}
		b.WriteByte('\n')
		if err := t.Write(&b, width); err != nil {
			return err
		}
	}
	b.WriteByte('\n')
	columns.Paragraph(&b,
		"The generic entries are classes with figures typical of their class, not products: "+
			"check each against the data sheet of what is bought. Of an appliance one unit is told, "+
			"in brackets what is met in homes: a nameplate or a clamp meter tells more.",
		width, "", "")
	_, err := w.Write(b.Bytes())
	return err
}

// entryTable lists entries of the catalog: id, class, and figures.
type entryTable struct{ columns.Table }

// entries begins the list of a kind; sides has l or r for each column of figures, as it is set to the left or right.
func entries(kind, sides string, figures ...string) entryTable {
	t := entryTable{columns.Table{Head: append([]string{kind, "Class"}, figures...), Right: []bool{false, false}}}
	for _, side := range sides {
		t.Right = append(t.Right, side == 'r')
	}
	return t
}

func (t *entryTable) add(id, label string, figures ...string) {
	t.Rows = append(t.Rows, append([]string{speech.Clean(id), speech.Clean(label)}, figures...))
}
