package sheet

import (
	"bytes"
	"fmt"
	"io"

	"outlast/backup/sheet/speech"
	"outlast/catalog"
)

// WriteCatalog lists the equipment and the classes of appliances of a catalog as text tables, width columns wide. First
// it tells how many there are and how one of them is used.
func WriteCatalog(w io.Writer, cat *catalog.Catalog, width int) error {
	var inverters, batteries, modules, generators, appliances grid
	inverters.head, inverters.right = []string{"Inverter", "Class", "VA", "W", "V DC", "Ph"},
		[]bool{false, false, true, true, true, true}
	for _, v := range cat.Inverters() {
		inverters.rows = append(inverters.rows, []string{speech.Clean(v.ID), speech.Clean(v.Label), whole(v.RatedVA),
			whole(v.RatedW), short(v.NominalDCV), fmt.Sprint(v.Phases)})
	}
	batteries.head, batteries.right = []string{"Battery", "Class", "Type", "V", "Ah"},
		[]bool{false, false, false, true, true}
	for _, v := range cat.Batteries() {
		batteries.rows = append(batteries.rows, []string{speech.Clean(v.ID), speech.Clean(v.Label), string(v.Chemistry),
			short(v.NominalV), short(v.RatedAh)})
	}
	modules.head, modules.right = []string{"Module", "Class", "W", "Voc V", "Isc A"},
		[]bool{false, false, true, true, true}
	for _, v := range cat.Modules() {
		modules.rows = append(modules.rows, []string{speech.Clean(v.ID), speech.Clean(v.Label), whole(v.RatedW),
			tenth(v.VocV), tenth(v.IscA)})
	}
	generators.head, generators.right = []string{"Generator", "Class", "VA", "Ph", "Fuel"},
		[]bool{false, false, true, true, false}
	for _, v := range cat.Generators() {
		generators.rows = append(generators.rows, []string{speech.Clean(v.ID), speech.Clean(v.Label), whole(v.RatedVA),
			fmt.Sprint(v.Phases), v.Fuel})
	}
	appliances.head, appliances.right = []string{"Appliance", "Class", "Run W", "Start VA", "Hours"},
		[]bool{false, false, true, true, true}
	for _, v := range cat.Appliances() {
		appliances.rows = append(appliances.rows, []string{speech.Clean(v.ID), speech.Clean(v.Label),
			spread(v.Typical.RunningW, v.Low.RunningW, v.High.RunningW).String(),
			orNone(v.Typical.StartingVA), short(v.Typical.HoursPerDay)})
	}
	var b bytes.Buffer
	paragraph(&b,
		fmt.Sprintf("%s, %s, %s, %s and %s: a site file names one with use = \"ID\", and outlast catalog ID prints it.",
			plural(len(inverters.rows), "inverter", "inverters"), plural(len(batteries.rows), "battery", "batteries"),
			plural(len(modules.rows), "PV module", "PV modules"),
			plural(len(generators.rows), "generator", "generators"),
			plural(len(appliances.rows), "class of appliances", "classes of appliances")), width, "", "  ")
	for _, t := range []grid{inverters, batteries, modules, generators, appliances} {
		if len(t.rows) == 0 {
			continue
		}
		b.WriteByte('\n')
		if err := textTable(&b, t, width); err != nil {
			return err
		}
	}
	b.WriteByte('\n')
	paragraph(&b,
		"The generic entries are classes with figures typical of their class, not products: check each against the data sheet of what is bought. Of an appliance one unit is told, in brackets what is met in homes: a nameplate or a clamp meter tells more.",
		width, "", "")
	_, err := w.Write(b.Bytes())
	return err
}
