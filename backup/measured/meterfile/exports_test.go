package meterfile_test

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"outlast/backup/measured/meter"
	"outlast/backup/measured/meterfile"
	"outlast/backup/measured/tabular"
	"outlast/catalog/strict"
)

// refused says whether a table is refused at a place, with a reason and a remedy.
func refused(t *testing.T, name, text, want, remedy string) {
	t.Helper()
	d, err := table(t, text, meterfile.TableOptions{})
	var ps strict.Problems
	if !errors.As(err, &ps) || !strings.Contains(err.Error(), want) || !strings.Contains(ps[0].Hint, remedy) {
		t.Errorf("%s: %+v, %v, want %q and %q", name, d, err, want, remedy)
	}
}

// A comma between columns and one before decimals: what is left of the figure is not taken for all of it.
func TestCommasThatPartFigures(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"in the last column", "time,kWh\n2025-02-01 00:00,0,200\n2025-02-01 01:00,1,300\n",
			"t.csv:2:3: found 3 cells, but the head in line 1 names 2 columns"},
		{"beside another", "time,kWh,Status\n2025-02-01 00:00,1,R\n2025-02-01 01:00,0,200,R\n",
			"t.csv:3:4: found 4 cells, but the head in line 1 names 3 columns"},
	} {
		refused(t, c.name, c.text, c.want, "semicolons")
	}
	for _, text := range []string{
		"time,kWh\n2025-02-01 00:00,\"0,25\",\n2025-02-01 01:00,\"0,5\",,\n",
		"time;kWh\n2025-02-01 00:00;0,25;checked\n2025-02-01 01:00;0,5\n",
		"time,kWh,\n2025-02-01 00:00,0.25\n2025-02-01 01:00,0.5\n",
	} {
		d, err := table(t, text, meterfile.TableOptions{})
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		near(t, fmt.Sprintf("%q", text), use(t, d, nil).TakenWh, 750, 1e-9)
	}
}

// What a table does not tell is asked back: the months of a home would be others.
func TestDatesThatAreNotTold(t *testing.T) {
	refused(t, "no date", "time,kWh\n00:00,1\n01:00,2\n", "t.csv:2:1: found \"00:00\", a time of day whose date no column tells",
		"--column date=1")
	const said = "and whether dates begin with the day or the month is not told: say which with --dates dmy or --dates mdy"
	refused(t, "day or month", "time,kWh\n02/01/2025 00:00,1\n02/01/2025 01:00,2\n",
		"t.csv:2:1: found the date \"02/01/2025\", "+said, "")
	refused(t, "day or month, in two columns", "time,date,kWh\n00:00,02/01/2025,1\n01:00,02/01/2025,2\n",
		"t.csv:2:2: found the date \"02/01/2025\", "+said, "")
	for _, c := range []struct {
		text string
		o    meterfile.TableOptions
		want time.Month
	}{
		{"time,kWh\n02/01/2025 00:00,1\n02/01/2025 01:00,2\n", meterfile.TableOptions{Dates: "dmy"}, time.January},
		{"time,kWh\n02/01/2025 00:00,1\n02/01/2025 01:00,2\n", meterfile.TableOptions{Dates: "mdy"}, time.February},
		{"time,kWh\n02/02/2025 00:00,1\n02/02/2025 01:00,2\n", meterfile.TableOptions{}, time.February},
		{"time,kWh\n02.01.2025 00:00,1\n02.01.2025 01:00,2\n", meterfile.TableOptions{}, time.January},
	} {
		d, err := table(t, c.text, c.o)
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		if u := use(t, d, nil); u.Days[0].Month != int(c.want) {
			t.Errorf("%q is of month %d, want %d", c.text, u.Days[0].Month, c.want)
		}
	}
}

// With 24:00 no interval begins: such times are those at which intervals end, unless the user says otherwise.
func TestTimesUpTo24(t *testing.T) {
	var b strings.Builder
	b.WriteString("Fecha;Hora;Consumo kWh\n")
	for h := 1; h <= 24; h++ {
		fmt.Fprintf(&b, "01/02/2025;%02d:00;0,%03d\n", h, 100+h%5)
	}
	first := time.Date(2025, 2, 1, 0, 0, 0, 0, time.UTC).Unix()
	for _, c := range []struct {
		o     meterfile.TableOptions
		fromS int64
	}{
		{meterfile.TableOptions{Dates: "dmy"}, first},
		{meterfile.TableOptions{Dates: "dmy", Ends: true}, first},
		{meterfile.TableOptions{Dates: "dmy", Begins: true}, first + 3600},
	} {
		d, err := table(t, b.String(), c.o)
		if err != nil {
			t.Fatal(err)
		}
		if u := use(t, d, nil); u.FromS != c.fromS || u.ToS != c.fromS+86400 {
			t.Errorf("%+v: from %d to %d, want a day from %d", c.o, u.FromS, u.ToS, c.fromS)
		}
	}
}

// A row below the head tells the units, one of sums at the end is left out, and a minus before all that is fed into the
// grid tells its direction once more.
func TestUnitsSumsAndMinus(t *testing.T) {
	for _, c := range []struct {
		name, text string
		taken, fed float64
		leftOut    []string
	}{
		{"units below", "Date;Time;Import;Export\n;;[kWh];[kWh]\n2025-02-01;00:00;1;2\n2025-02-01;01:00;3;4\n", 4000, 6000, nil},
		{"units and a form below", "Time;Power;Remark\nyyyy-mm-dd hh:mm;kW;text\n2025-02-01 00:00;1;\n2025-02-01 01:00;3;\n", 4000, 0, nil},
		{"the same unit twice", "Time;Energy Wh\n;Wh\n2025-02-01 00:00;1\n2025-02-01 01:00;3\n", 4, 0, nil},
		{"German sum", "Datum;Uhrzeit;kWh\n01.02.2025;00:00;1\n01.02.2025;01:00;3\nSumme;;4\n", 4000, 0, []string{"t.csv:4: Summe"}},
		{"English sum, behind a column", "No;Time;kWh\n1;2025-02-01 00:00;1\n2;2025-02-01 01:00;3\n;Total;4\n", 4000, 0,
			[]string{"t.csv:4: Total"}},
		{"a meter that is called so", "Meter;Time;kWh\nTotal;2025-02-01 00:00;1\nTotal;2025-02-01 01:00;3\n", 4000, 0, nil},
		{"minus", "Time;Import kWh;Export kWh\n2025-02-01 00:00;1;-2\n2025-02-01 01:00;3;0\n2025-02-01 02:00;0;-4\n", 4000, 6000, nil},
	} {
		d, err := table(t, c.text, meterfile.TableOptions{Dates: "dmy"})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if u := use(t, d, nil); u.TakenWh != c.taken || u.FedWh != c.fed || !slices.Equal(d.LeftOut, c.leftOut) {
			t.Errorf("%s: %g Wh taken, %g fed, %q left out, want %g, %g, %q", c.name, u.TakenWh, u.FedWh, d.LeftOut, c.taken, c.fed,
				c.leftOut)
		}
	}
	rows := ";1;2\n2025-02-01 01:00;3;4\n"
	refused(t, "power where energy is told", "Time;Verbrauch (kW)\n2025-02-01 00:00;1\n2025-02-01 01:00;2\n",
		"t.csv:2:2: found the unit kW, one of power, but the head tells of energy", `--column "power=2 kW" for the mean power`)
	refused(t, "energy where power is told", "Time;Leistung\n2025-02-01 00:00;1 kWh\n2025-02-01 01:00;2 kWh\n",
		"t.csv:2:2: found the unit kWh, one of energy, but the head tells of power", `--column "energy=2 kWh" for the energy`)
	refused(t, "no unit", "Time;Status;Energy\n2025-02-01 00:00;R;1\n2025-02-01 01:00;R;2\n", "t.csv:2:3: the unit is not told: want Wh or kWh",
		`--column "energy=3 kWh"`)
	refused(t, "export of another unit", "Time;Import kWh;Export kW\n2025-02-01 00:00"+rows, "t.csv:2:3: the unit is kW, want Wh or kWh",
		"--column export=none")
	refused(t, "export of both signs", "Time;Import kWh;Export kWh\n2025-02-01 00:00;1;-2\n2025-02-01 01:00;3;4\n",
		"t.csv:2:3: found a figure below 0, and 1 above", "--column export=none")
	refused(t, "kWh/h of quarters of an hour", "Time;Power kWh/h\n2025-02-01 00:00;1\n2025-02-01 00:15;2\n",
		"t.csv:1:2: found energy by the hour, but intervals of 15 min", `--column "power=2 kW" for the mean power`)
	refused(t, "more than there is", "Time;Energy kWh\n2025-02-01 00:00;99999999\n2025-02-01 01:00;2\n",
		"t.csv:2:2: found 9.9999999e+07, want at most 1e+07", "smaller unit")
	for _, wish := range []tabular.Wish{{Kind: "power", Which: "2", Unit: "kw"}, {Kind: "energy", Which: "2", Unit: "kwh"}} {
		d, err := table(t, "Time;Power kWh/h\n2025-02-01 00:00;1\n2025-02-01 00:15;2\n",
			meterfile.TableOptions{Columns: []tabular.Wish{wish}})
		if err != nil {
			t.Errorf("%+v: %v", wish, err)
			continue
		}
		want := 3000.0
		if wish.Kind == "power" {
			want = 750
		}
		near(t, wish.Kind+" of kWh/h", use(t, d, nil).TakenWh, want, 1e-9)
	}
	refused(t, "a net figure", "Time;Energy kWh\n2025-02-01 00:00;1\n2025-02-01 01:00;-2\n", "t.csv:3:2: found -2, want a figure from 0",
		"called export")
}

// What programs write where nothing was read is no figure, and no fault.
func TestNothingRead(t *testing.T) {
	d, err := table(t, "time,kWh\n2025-02-01 00:00,1\n2025-02-01 01:00,n/a\n2025-02-01 02:00,-\n2025-02-01 03:00,NaN\n"+
		"2025-02-01 04:00,2\n", meterfile.TableOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if u := use(t, d, nil); u.TakenWh != 3000 || u.GapS != 3*3600 {
		t.Errorf("%g Wh, gaps of %d s, want 3000 and three hours", u.TakenWh, u.GapS)
	}
}

// Dates and times of day as programs spell them: two hours from 14:00 of 1 February 2025, by the clock on the wall.
func TestSpellingsOfTimes(t *testing.T) {
	from := time.Date(2025, 2, 1, 14, 0, 0, 0, time.UTC).Unix()
	for _, c := range []struct{ name, head, first, second string }{
		{"German", "Datum;Uhrzeit", "01.02.2025;14:00 Uhr", "01.02.2025;15:00 Uhr"},
		{"French", "Date;Heure", "01.02.2025;14h00", "01.02.2025;15h00"},
		{"halves of the day with points", "Date;Time", "2025-02-01;2:00 p.m.", "2025-02-01;3:00 p. m."},
		{"halves of the day behind a narrow blank", "Time", "2025-02-01 2:00:00\u202fPM", "2025-02-01 3:00:00\u202fPM"},
		{"from when to when", "Date;Time", "2025-02-01;14:00 - 15:00", "2025-02-01;15:00 - 16:00"},
		{"from when to when, no blanks", "Date;Time", "2025-02-01;14:00-15:00", "2025-02-01;15:00-16:00"},
		{"from when to when, a longer dash", "Date;Time", "2025-02-01;14:00–15:00", "2025-02-01;15:00–16:00"},
		{"from one date to another", "Time", "2025-02-01 14:00 - 2025-02-01 15:00", "2025-02-01 15:00 - 2025-02-01 16:00"},
		{"no signs in the date", "Date;Time", "20250201;14:00", "20250201;15:00"},
		{"no signs in the time of day", "Date;Time", "2025-02-01;1400", "2025-02-01;1500"},
		{"no signs", "Time", "202502011400", "202502011500"},
		{"no signs, with seconds", "Time", "20250201140000", "20250201150000"},
		{"no signs but a letter", "Time", "20250201T140000", "20250201T150000"},
		{"no signs, and numbers of hours", "Date;Hour", "20250201;14", "20250201;15"},
	} {
		d, err := table(t, c.head+";kWh\n"+c.first+";1\n"+c.second+";2\n", meterfile.TableOptions{Begins: true})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if u := use(t, d, nil); u.FromS != from || u.ToS != from+7200 || u.TakenWh != 3000 {
			t.Errorf("%s: %g Wh from %d to %d, want 3000 from %d to %d", c.name, u.TakenWh, u.FromS, u.ToS, from, from+7200)
		}
	}
	d, err := table(t, "Time;kWh\n2025-02-01T14:00-05:00;1\n2025-02-01T15:00-05:00;2\n", meterfile.TableOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if u := use(t, d, nil); u.FromS != from+5*3600 || u.ToS != from+7*3600 {
		t.Errorf("an offset behind a date: from %d to %d, want two hours from %d", u.FromS, u.ToS, from+5*3600)
	}
	for _, c := range []struct{ text, want string }{
		{"45689.5", "if it is a date, have the spreadsheet show it as one"},
		{"20251301", "want a time such as"},
		{"2025-02-01 2500", "want a time such as"},
		{"2025-02-01 14:00 xm", "want a time such as"},
	} {
		refused(t, c.text, "Time;kWh\n"+c.text+";1\n"+c.text+";2\n", c.want, "")
	}
}

// FuzzTable: whatever is taken for a table of a meter is read the same twice, to energies that can be added up, or refused
// with a reason.
func FuzzTable(f *testing.F) {
	for _, s := range []string{
		"Fecha;Hora;AE_kWh\n26/10/2024;24;0,1\n27/10/2024;1;0,2\n27/10/2024;25;0,3\n",
		"time,kWh\n2024-10-27 02:00,1\n2024-10-27 02:00,2\n2024-10-27 03:00,2\n",
		"Date;Time;Import;Export\n;;kWh;kWh\n2025-02-01;14:00-15:00;1;-2\n2025-02-01;15:00-16:00;1;0\nTotal;;2;\n",
		"Time,Power kW\n20250201T140000Z,1\n20250201T150000Z,2\n",
		"Ende;Leistung (kW)\n01.02.2025 23:45;0,25\n01.02.2025 24:00;0,5\n",
	} {
		f.Add(s, false)
		f.Add(s, true)
	}
	madrid, err := time.LoadLocation("Europe/Madrid")
	if err != nil {
		f.Skip("no time zones on this machine:", err)
	}
	f.Fuzz(func(t *testing.T, text string, zoned bool) {
		var o meterfile.TableOptions
		if zoned {
			o.Zone = madrid
		}
		once := func() (*meter.Use, string) {
			tab, err := tabular.Open("t.csv", strings.NewReader(text), tabular.Options{})
			if err != nil {
				return nil, err.Error()
			}
			d, err := meterfile.ReadTable(tab, o)
			if err != nil {
				var ps strict.Problems
				if !errors.As(err, &ps) || len(ps) == 0 || ps[0].Msg == "" {
					t.Fatalf("%T %v, want problems with a reason", err, err)
				}
				return nil, err.Error()
			}
			for _, c := range d.Channels {
				for i, r := range c.Readings {
					if r.Wh < 0 || r.Wh != r.Wh || r.Seconds <= 0 {
						t.Fatalf("reading %d of %s: %+v", i, c.Name, r)
					}
				}
			}
			clock := d.Clock
			if clock == nil {
				clock = meter.Fixed(0)
			}
			u, err := d.Use(clock)
			if err != nil {
				return nil, err.Error()
			}
			return u, ""
		}
		u, said := once()
		again, saidAgain := once()
		if said != saidAgain || !reflect.DeepEqual(u, again) {
			t.Fatalf("%q %+v, then %q %+v", said, u, saidAgain, again)
		}
	})
}

// A row of the hour that the clock of the place jumped over meets the one behind it: the remedy is told.
func TestHourThatWasJumpedOver(t *testing.T) {
	zone, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Skip("no time zones on this machine:", err)
	}
	const rows = "time,kWh\n2024-03-31 01:00,1\n2024-03-31 02:00,0\n2024-03-31 03:00,1\n2024-03-31 04:00,2\n"
	d, err := table(t, rows, meterfile.TableOptions{Zone: zone})
	var ps strict.Problems
	if !errors.As(err, &ps) || len(ps) != 1 || ps[0].Line != 4 ||
		ps[0].Hint != "the clock of Europe/Berlin jumped over the time of the other row: delete that one, or leave out --zone" {
		t.Errorf("%+v, %+v", d, ps)
	}
	if d, err = table(t, rows, meterfile.TableOptions{}); err != nil || use(t, d, nil).TakenWh != 4000 {
		t.Errorf("without a place: %+v, %v", d, err)
	}
}
