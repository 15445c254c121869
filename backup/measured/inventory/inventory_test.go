package inventory

import (
	"errors"
	"strings"
	"testing"

	"outlast/backup/measured/tabular"
	"outlast/backup/phrase"
	"outlast/backup/sheet/paper/words"
	"outlast/backup/site"
	"outlast/catalog"
	"outlast/catalog/strict"
)

func names(t testing.TB) (*Names, *catalog.Catalog) {
	t.Helper()
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	return NewNames(cat, func(label string) (out []string) {
		for _, lang := range []string{"de", "es", "fr"} {
			if text, ok := words.Equipment(lang, label, func(s string) string { return s }); ok {
				out = append(out, text)
			}
		}
		return out
	}), cat
}

const home = `
[site]
name = "Home"
nominal_v = 230
[outage]
autonomy_h = 8
[inverter]
use = "hybrid-5k-48"
[bank]
use = "lfp-51-100"
`

// told reads a list and gives what it tells of its loads, one a line, without comments; a site of it must be one that
// is accepted.
func told1(t testing.TB, src string, o Options, wishes ...string) (string, error) {
	t.Helper()
	n, cat := names(t)
	table, err := tabular.Open("l.csv", strings.NewReader(src), tabular.Options{})
	if err != nil {
		return "", err
	}
	kinds, units := Kinds()
	if o.Wishes, err = tabular.ReadWishes(wishes, kinds, units); err != nil {
		t.Fatal(err)
	}
	list, err := Read(table, n, o)
	if err != nil {
		return "", err
	}
	text := list.Text(phrase.Phrase.String)
	if _, err := site.Read("s.toml", []byte(home+text), cat); err != nil {
		t.Errorf("the site file is refused: %v\n%s", err, text)
	}
	var out []string
	for line := range strings.Lines(text) {
		line, _, _ = strings.Cut(line, "#")
		switch line = strings.TrimSpace(line); {
		case strings.HasPrefix(line, "[["):
			out = append(out, strings.Trim(line, "[]")+":")
		case line != "":
			out[len(out)-1] += " " + strings.ReplaceAll(line, " = ", "=")
		}
	}
	return strings.Join(out, "\n"), nil
}

// loadsOf is what told1 says of loads alone.
func loadsOf(t testing.TB, src string, o Options, wishes ...string) string {
	t.Helper()
	text, err := told1(t, src, o, wishes...)
	if err != nil {
		return err.Error()
	}
	var out []string
	for line := range strings.Lines(text) {
		if l, ok := strings.CutPrefix(strings.TrimSpace(line), "load: "); ok {
			out = append(out, l)
		}
	}
	return strings.Join(out, "\n")
}

func TestUnits(t *testing.T) {
	check := func(head, row, want string) {
		t.Helper()
		o := Options{Volts: 230, Phases: 1}
		if got := loadsOf(t, head+"\n"+row+"\n", o); !strings.HasSuffix(got, want) {
			t.Errorf("%s / %s:\n got %s\nwant …%s", head, row, got, want)
		}
	}
	check("Load;Power;Hours", "Beamer;1,5 kW;2", "running_w=1500 hours_per_day=2")
	check("Load;Power (kW);Hours", "Beamer;1,5;2", "running_w=1500 hours_per_day=2")
	check("Load;W;h/day", "Beamer;1500;2,5", "running_w=1500 hours_per_day=2.5")
	check("Load;Power;Hours", "Beamer;4 A;2", "running_w=920 hours_per_day=2")       // at the volts of the supply
	check("Load;Power;Hours", "Beamer;4 A 120 V;2", "running_w=480 hours_per_day=2") // own volts
	check("Load;Amps;Volts;Hours", "Beamer;4;120;2", "running_w=480 hours_per_day=2")
	check("Load;Strom [mA];Hours", "Beamer;500;2", "running_w=115 hours_per_day=2")
	check("Load;VA;cos phi;Hours", "Beamer;500;0,8;2", "running_w=400 power_factor=0.8 hours_per_day=2")
	check("Load;VA;Hours", "Beamer;500;2", "running_w=500 hours_per_day=2") // the safe side
	check("Load;W;Hours", "Beamer;100;0:45", "running_w=100 hours_per_day=0.75")
	check("Load;W;Hours", "Beamer;100;30 min", "running_w=100 hours_per_day=0.5")
	check("Load;W;Minutes per day", "Beamer;100;30", "running_w=100 hours_per_day=0.5")
	check("Load;W;Hours", "Beamer;100;1 h 30 min", "running_w=100 hours_per_day=1.5")
	check("Load;W;Hours", "Beamer;100;24/7", "running_w=100 hours_per_day=24")
	check("Load;W;Hours", "Beamer;100;18:00-22:30", `running_w=100 hours_per_day=4.5 when=["18:00-22:30"]`)
	check("Load;W;Hours per week", "Beamer;100;14", "running_w=100 hours_per_day=2")
	check("Load;W;Hours;Days per week", "Beamer;100;7;3", "running_w=100 hours_per_day=3")
	check("Load;W;Wh/day", "Beamer;100;250", "running_w=100 hours_per_day=2.5")
	check("Load;W;Energy", "Beamer;100;0,25 kWh/day", "running_w=100 hours_per_day=2.5")
	check("Load;W;kWh per year", "Beamer;100;365", "running_w=100 hours_per_day=10")
	check("Load;Qty;Total W;Hours", "Beamer;4;400;2", "quantity=4 running_w=100 hours_per_day=2")
	check("Load;W;Surge;Hours", "Beamer;100;3x;2", "running_w=100 starting_va=300 hours_per_day=2")
	check("Load;W;Starting A;Hours", "Beamer;100;3;2", "running_w=100 starting_va=690 hours_per_day=2")
	check("Load;W;Starting VA;Start seconds;Hours", "Beamer;100;690;0,5;2",
		"running_w=100 starting_va=690 starting_s=0.5 hours_per_day=2")
	check("Load;W;Hours;Priority", "Beamer;100;2;high", "running_w=100 hours_per_day=2 priority=1")
	check("Load;W;Hours", "8 x Beamer;100;2", "quantity=8 running_w=100 hours_per_day=2")
	check("Load;W;Hours", "Beamer × 8;100;2", "quantity=8 running_w=100 hours_per_day=2")
}

func TestFourLanguages(t *testing.T) {
	for _, src := range []string{
		"Appliance,Quantity,Running watts,Starting watts,Hours per day\nBeamer,2,150,900,8\n",
		"Gerät;Anzahl;Leistung [W];Anlaufleistung [W];Stunden pro Tag\nBeamer;2;150;900;8\n",
		"Aparato;Cantidad;Potencia (W);Arranque (W);Horas al día\nBeamer;2;150;900;8\n",
		"Appareil;Quantité;Puissance (W);Puissance de démarrage (W);Heures par jour\nBeamer;2;150;900;8\n",
		"Nombre;Cantidad;Potencia en vatios W;Pico W;Horas\nBeamer;2;150;900;8\n",
		"Appareil;Nombre;Puissance W;Pointe W;Heures\nBeamer;2;150;900;8\n",
	} {
		const want = `name="Beamer" circuit="beamer" quantity=2 running_w=150 starting_w=900 hours_per_day=8`
		if got := loadsOf(t, src, Options{}); got != want {
			t.Errorf("%s\n got %s\nwant %s", src, got, want)
		}
	}
}

func TestClassGivesWhatARowLeavesOut(t *testing.T) {
	check := func(row, want string) {
		t.Helper()
		if got := loadsOf(t, "Load;Qty;W;Starting W;Hours;Class\n"+row+"\n",
			Options{Volts: 230, Phases: 1}); got != want {
			t.Errorf("%s:\n got %s\nwant %s", row, got, want)
		}
	}
	check("Chest freezer;1;;;;", `name="Chest freezer" use="chest-freezer"`)
	check("Gefriertruhe;1;90;;;", `name="Gefriertruhe" use="chest-freezer" running_w=90`)
	check("Arcón congelador;;;;7;", `name="Arcón congelador" use="chest-freezer" hours_per_day=7`)
	check("Congélateur coffre;2;;;;", `name="Congélateur coffre" use="chest-freezer" quantity=2`)
	check("The old white one;1;90;;;chest-freezer", `name="The old white one" use="chest-freezer" running_w=90`)
	check("Well pump;1;1/2 hp;;;", `name="Well pump" use="well-pump-370w"`)
	check("Well pump 1.1 kW;1;;;;", `name="Well pump 1.1 kW" use="well-pump-1100w"`)
	check("Brunnenpumpe 1,5 hp;1;;;;", `name="Brunnenpumpe 1,5 hp" use="well-pump-1100w"`)
	check("Router;1;;;;", `name="Router" use="router"`)

	// What a class gives is said, with its figures.
	n, _ := names(t)
	table, err := tabular.Open("l.csv", strings.NewReader("Load;W\nChest freezer;90\n"), tabular.Options{})
	if err != nil {
		t.Fatal(err)
	}
	list, err := Read(table, n, Options{})
	if err != nil {
		t.Fatal(err)
	}
	said := strings.Join(strings.Fields(strings.ReplaceAll(list.Text(phrase.Phrase.String), "#", "")), " ")
	if want := "by its name; it gives power factor 0.7, 950 VA at its start, 8 h a day, rhythm, priority"; !strings.Contains(said, want) {
		t.Errorf("got %s, want %s", said, want)
	}
}

func TestRowsThatAreNoLoads(t *testing.T) {
	const src = `Our cottage;;;

Load;Qty;W;Hours
Kitchen;;;
Beamer;1;100;2
;;;
GARDEN:;;;
Load;Qty;W;Hours
Beamer;2;50;1
Spare;0;70;1
Total;;200;
Measured last winter;;;
`
	got := loadsOf(t, src, Options{})
	if want := "name=\"Beamer\" circuit=\"beamer\" running_w=100 hours_per_day=2\n" +
		"name=\"Beamer 2\" circuit=\"beamer-2\" quantity=2 running_w=50 hours_per_day=1"; got != want {
		t.Errorf("got %s\nwant %s", got, want)
	}
	n, _ := names(t)
	table, _ := tabular.Open("l.csv", strings.NewReader(src), tabular.Options{})
	list, err := Read(table, n, Options{})
	if err != nil {
		t.Fatal(err)
	}
	notes := strings.Join(phrase.Strings(list.Notes), "\n")
	for _, want := range []string{`line 10, "Spare", is left out`,
		`the sum in line 11, "200", agrees with the rows before it: 200 W`,
		`taken for titles: "Kitchen" in line 4, "GARDEN:" in line 7, "Measured last winter" in line 12`} {
		if !strings.Contains(notes, want) {
			t.Errorf("the notes are\n%s\nand do not say %s", notes, want)
		}
	}
}

func TestCircuitsAndBoards(t *testing.T) {
	got, err := told1(t,
		"Load;W;Hours;Room;Essential\nBeamer;100;2;Salon;yes\nAmplifier;50;2;Salon;no\nRouter;;;Salon;yes\nKettle 2;2000;0,1;;no\n",
		Options{Phases: 2, Volts: 120})
	const want = `circuit: id="salon" label="Salon" phase="any" board="backup"
load: name="Beamer" circuit="salon" running_w=100 hours_per_day=2
circuit: id="salon-2" label="Salon" board="main"
load: name="Amplifier" circuit="salon-2" running_w=50 hours_per_day=2
load: name="Router" use="router" circuit="salon"
circuit: id="kettle-2" label="Kettle 2" board="main"
load: name="Kettle 2" circuit="kettle-2" running_w=2000 hours_per_day=0.1`
	if err != nil || got != want {
		t.Errorf("got %s, %v\nwant %s", got, err, want)
	}
}

// What is unsure is asked back, with row and column.
func TestAskedBack(t *testing.T) {
	check := func(src, want string, o ...Options) {
		t.Helper()
		got := loadsOf(t, src+"\n", append(o, Options{})[0])
		if !strings.HasPrefix(got, want) {
			t.Errorf("%s\n got %s\nwant %s…", src, got, want)
		}
	}
	check("Load;Power;Hours\nBeamer;150;2",
		`l.csv:2:2: found "150", and neither the cell nor the head of its column tells the unit`)
	check("Load;W;Hours\nBeamer;1,100;2", `l.csv:2:2: found "1,100", which may be meant for thousands or for decimals`)
	check("Load;W;Hours\nBeamer;100;",
		`l.csv:2:1: found "Beamer" without hours a day, and no class of appliances is called so`)
	check("Load;W;Hours\nBeamer;;2", `l.csv:2:1: found "Beamer" without W or A`)
	check("Load;W;Hours\nBeamer;100;25", `l.csv:2:3: found "25", which is 25 h a day, want at most 24`)
	check("Load;W;Hours\nBeamer;-100;2", `l.csv:2:2: found "-100", want a power above 0`)
	check("Load;W;Hours\nBeamer;100-150;2", `l.csv:2:2: found "100-150", want`)
	check("Load;W;Hours\nBeamer;#N/A;2\nLamp;~60;#VALUE!",
		"l.csv:2:2: found \"#N/A\", want a number\nl.csv:3:2: found \"~60\", want a number\nl.csv:3:3: "+
			"found \"#VALUE!\", want a number")
	check("Load;W;Starting W;Hours\nBeamer;100;90;2",
		`l.csv:2:3: found a start of "90", want at least what it runs at, 100`)
	check("Load;Power;Hours\nBeamer;4 A;2", `l.csv:2:2: found amps, and the volts are not told`)
	check("Load;Power;Hours\nBeamer;4 A;2", `l.csv:2:2: found amps, and whether at 120 or 240 V is not told`,
		Options{Volts: 120, Phases: 2})
	check("Load;Power;Hours\nBeamer;1/2 hp;2",
		`l.csv:2:2: found "1/2 hp", which is what a shaft gives, not what the motor draws`)
	check("Load;Power;Hours\nWell pump;;2", `l.csv:2:1: found "Well pump", which comes in sizes: well-pump-370w`)
	check("Load;W;Hours;Wh\nBeamer;100;2;300", `l.csv:2:4: found "300", but 100 W for 2 h are 200 Wh`)
	check("Load;Qty;W;Wh\nBeamer;3;100;300", `l.csv:2:4: found "300", and whether it is of one or of all 3 is not told`)
	check("Load;Qty;W;Total W;Hours\nBeamer;3;100;200;1", `l.csv:2:4: found "200", but 3 of 100 W are 300 W`)
	check("Load;Qty;W;Hours\nBeamer;1.5;100;1", `l.csv:2:2: found "1.5", want how many there are`)
	check("Load;Qty;W;Hours\n2 x Beamer;3;100;1", `l.csv:2:2: found 3, but the name says 2`)
	check("Load;W;Hours\nBeamer;100;1\nSomething", `l.csv:3:1: found "Something" and nothing else in the row`)
	check("Load;W;Hours\nBeamer;100;1\n;77;1", `l.csv:3:1: found a row without a name`)
	check("Load;W;Hours;Essential\nBeamer;100;1;yes\nLamp;10;1;\nFan;10;1;no",
		`l.csv:3:4: found nothing, want yes or no`)
	check("Load;W;Watts;Hours\nBeamer;100;100;1", `l.csv:1:3: found "Watts", but column "W" may tell the power too`)
	check("Load;W;Hours;Class\nBeamer;100;1;beamers", `l.csv:2:4: found "beamers", want a class of appliances`)
	check("Name;Colour\nBeamer;red", `l.csv:1:1: no row names its columns with words that are known`)
}

func TestColumnsNamed(t *testing.T) {
	const want = `name="Beamer" circuit="beamer" running_w=1500 hours_per_day=2`
	if got := loadsOf(t, "Beamer;x;1,5;2\n", Options{}, "name=1", "power=3 kW", "hours=4"); got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	if got := loadsOf(t, "Was;kW alt;kW neu;Stunden\nBeamer;9;1,5;2\n", Options{}, "name=Was",
		"power=kW neu"); got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// FuzzLoads: whatever the list, it is refused with places, or its loads are accepted.
func FuzzLoads(f *testing.F) {
	for _, s := range []string{"Load;Qty;W;Starting W;Hours\nChest freezer;1;90;;\nBeamer;2;4 A;3x;18:00-22:00",
		"Gerät,Leistung,h/Tag,Raum,wichtig\n\"a,b\",1/2 hp,0:45,Küche,ja",
		"Load,W,Wh,Total\nx,10,240,10\nTotal,10,240,", "Load;VA;cos phi;Hours per week\nBeamer;5;80 %;7"} {
		f.Add(s)
	}
	n, cat := names(f)
	f.Fuzz(func(t *testing.T, src string) {
		table, err := tabular.Open("l.csv", strings.NewReader(src), tabular.Options{})
		var list *List
		if err == nil {
			list, err = Read(table, n, Options{Volts: 230, Phases: 1})
		}
		var ps strict.Problems
		if err != nil {
			if !errors.As(err, &ps) || len(ps) == 0 {
				t.Fatalf("%T: %v", err, err)
			}
			return
		}
		if _, err := site.Read("s.toml", []byte(home+list.Text(phrase.Phrase.String)), cat); err != nil {
			t.Fatalf("%v\n%s", err, list.Text(phrase.Phrase.String))
		}
	})
}

// TestVoltsOfARow: what is between the phases is on all of them, and three phases carry the amps of each; what is for
// another supply is refused, as is a row that is longer than the head, and a motor that gives more than it takes.
func TestVoltsOfARow(t *testing.T) {
	two, three := Options{Volts: 120, Phases: 2}, Options{Volts: 230, Phases: 3}
	untold := Options{Assumed: 230, Phases: 1}
	const head, withWatts = "name,amps,volts,hours\n", "name,power W,volts,hours\n"
	for _, c := range []struct {
		src  string
		o    Options
		want string // in what is told, or in the error
	}{
		{head + "Motor,8,400,1\n", three, "phase=0 board=\"backup\"\nload: name=\"Motor\" circuit=\"motor\" running_w=5542.5625"},
		{head + "Motor,8,230,1\n", three, "phase=\"any\" board=\"backup\"\nload: name=\"Motor\" circuit=\"motor\" running_w=1840"},
		{"name,amps,hours\nMotor,8 A 400 V,1\n", three, "phase=0"},
		{withWatts + "Motor,3000,400,1\n", three, "phase=0 board=\"backup\"\nload: name=\"Motor\" circuit=\"motor\" running_w=3000"},
		{head + "Dryer,20,240,1\n", two, "phase=0 board=\"backup\"\nload: name=\"Dryer\" circuit=\"dryer\" running_w=4800"},
		{withWatts + "Water heater,4500,240,2\n", two, "phase=0"},
		{withWatts + "Lamp,60,115,2\n", two, "phase=\"any\""},
		{withWatts + "Beamer,12,12,2\n", two, "phase=\"any\""},
		{withWatts + "Oven,2000,208,2\n", two, "phase=0"},
		{head + "Motor,8,400,1\n", untold, "l.csv:2:3: found 400 V, want what the home has: 230 V"},
		{withWatts + "Motor,3000,400,1\n", Options{Volts: 230, Phases: 1}, "l.csv:2:3: found 400 V"},
		{withWatts + "Lamp,60,120,1\n", untold, "l.csv:2:3: found 120 V"},
		{withWatts + "Motor,3000,400,1\n", two, "l.csv:2:3: found 400 V, want what the home has: 120 V or 240 V between its legs"},
		{head + "Motor,8,690,1\n", three, "want what the home has: 230 V or 398 V between its phases"},
		{"name,power kW,hours\nHeater,1,5,2\n", untold, "l.csv:2:4: found a cell in column 4, want 3 columns"},
		{"name,power kW,hours\nHeater,1,5,\n", untold, "running_w=1000 hours_per_day=5"},
		{"name,power W,hours\nWell pump 1.1 kW,79,1\n", untold, "l.csv:2:1: found a motor that gives 1100 W and takes 79"},
		{"name,power W,hours\nWell pump 1.1 kW,1600,1\n", untold, "running_w=1600"},
	} {
		got, err := told1(t, c.src, c.o)
		if err != nil {
			got = err.Error()
		}
		if !strings.Contains(got, c.want) {
			t.Errorf("%s: got\n%s\nwant %s", c.src, got, c.want)
		}
	}
}
