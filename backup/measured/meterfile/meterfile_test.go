package meterfile_test

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
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

func read(t testing.TB, path string) *meter.Data {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	d, err := meterfile.Read(filepath.Base(path), f)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// wholeUse is what a table of whole days without a gap tells, which comes to so much energy; nil where it is not read.
func wholeUse(t *testing.T, name, text string, zone *time.Location, wh float64) *meter.Use {
	t.Helper()
	d, err := table(t, text, meterfile.TableOptions{Zone: zone})
	if err != nil {
		t.Errorf("%s: %v", name, err)
		return nil
	}
	u := use(t, d, nil)
	near(t, name+": energy", u.TakenWh, wh, 1e-6)
	if u.GapS != 0 || u.WholeDays() != len(u.Days) {
		t.Errorf("%s: %d whole days of %d, gaps of %d s", name, u.WholeDays(), len(u.Days), u.GapS)
	}
	return u
}

func use(t testing.TB, d *meter.Data, clock meter.Clock) *meter.Use {
	t.Helper()
	u, err := d.Use(clock)
	if err != nil {
		t.Fatal(err)
	}
	return u
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tolerance {
		t.Errorf("%s = %v, want %v", what, got, want)
	}
}

// data is the folder with real files, which are not part of the project.
func data(t *testing.T) string {
	t.Helper()
	dir := os.Getenv("OUTLAST_DATA")
	if dir == "" {
		t.Skip("OUTLAST_DATA names no folder with real meter files")
	}
	return dir
}

// The four readings of the made file, with a multiplier of -3 and a mean of 1,241 W in the last quarter of an hour: by
// hand.
func TestESPIMade(t *testing.T) {
	d := read(t, "testdata/greenbutton_tiny.xml")
	if len(d.Channels) != 1 || d.Channels[0].Direction != meter.FromGrid {
		t.Fatalf("channels %+v", d.Channels)
	}
	u := use(t, d, nil)
	near(t, "energy", u.TakenWh, 112.5+98.75+104+310.25, 1e-9)
	near(t, "highest quarter of an hour", u.Demand[0].W, 1241, 1e-9)
	if u.StepS != 900 || u.EstimatedS != 900 || u.GapS != 0 {
		t.Errorf("step %d s, estimated %d s, gaps %d s, want 900, 900 (quality 8), 0", u.StepS, u.EstimatedS, u.GapS)
	}
	if w := u.WholeDays(); w != 0 {
		t.Errorf("%d whole days of one hour", w)
	}
}

// The made file: energies, outage flagged in intervals 21 to 26 (10:00 to 13:00), the rest substituted; by hand from
// its records.
func TestNEM12Made(t *testing.T) {
	u := use(t, read(t, "testdata/nem12_tiny.csv"), nil)
	near(t, "taken", u.TakenWh, 8440, 1e-6)
	near(t, "fed", u.FedWh, 2100, 1e-6)
	if !u.NetOfSolar() || u.YearOfDemand() {
		t.Error("feeds into the grid: its demand must not stand for a year")
	}
	ten := time.Date(2025, 1, 14, 0, 0, 0, 0, time.UTC).Unix() // 10:00 ten hours east
	if len(u.Outages) != 1 || u.Outages[0] != (meter.Span{FromS: ten, ToS: ten + 3*3600}) {
		t.Errorf("outages %v, want 10:00 to 13:00", u.Outages)
	}
	if u.EstimatedS != 22*1800 || u.WholeDays() != 1 {
		t.Errorf("estimated %d s, %d whole days, want 22 half hours and 1", u.EstimatedS, u.WholeDays())
	}
	near(t, "hour of 08:00", u.Days[0].HourW[8], 620, 1e-9)
	// of the night, 80 Wh in half an hour: by day the array hides it, and the supply had failed
	near(t, "base load", u.BaseW, 160, 1e-9)
}

// Totals as the file's own summary tells them: nine days of hours, 199,563 Wh, least 273, most 1,365 Wh, first midnight
// of 2014 at five hours west.
func TestESPIReal(t *testing.T) {
	u := use(t, read(t, filepath.Join(data(t), "greenbutton_hourly_9days.xml")), nil)
	near(t, "energy", u.TakenWh, 199_563, 1e-6)
	near(t, "highest hour", u.Demand[0].W, 1365, 1e-9)
	if u.WholeDays() != 9 || len(u.Days) != 9 || u.Days[0].Year != 2014 || u.Days[0].Month != 1 || u.Days[0].Day != 1 {
		t.Fatalf("%d days, first %+v, want nine from 2014-01-01", len(u.Days), u.Days[0])
	}
	count := 0
	for _, d := range u.Days {
		if math.Abs(d.Wh()-21_021) < 1e-6 {
			count++
		}
	}
	if count != 6 {
		t.Errorf("%d days of 21,021 Wh, want 6", count)
	}
}

// A month of five minutes with solar: figures counted apart from this code over the same file.
func TestNEM12Real(t *testing.T) {
	u := use(t, read(t, filepath.Join(data(t), "nem12_5min_solar_month.csv")), nil)
	near(t, "taken", u.TakenWh, 270_738, 0.5)
	near(t, "fed", u.FedWh, 589_172, 0.5)
	want := map[int]float64{300: 5988, 1800: 2 * 1673, 3600: 3019}
	seen := 0
	for _, d := range u.Demand {
		if w, ok := want[d.Seconds]; ok {
			near(t, "demand", d.W, w, 0.5)
			seen++
		}
	}
	if seen != 3 || u.WholeDays() != 31 {
		t.Errorf("%d of 3 demands, %d whole days", seen, u.WholeDays())
	}
	var night float64
	for _, d := range u.Days {
		for h, w := range d.HourW {
			if h < 6 || h >= 18 {
				night += w
			}
		}
	}
	near(t, "18:00 to 06:00", night, 155_686, 0.5)
}

// A day whose quality varies: its records tell final substitutes, actual values and substitutes; the row stops early.
func TestNEM12Quality(t *testing.T) {
	u := use(t, read(t, filepath.Join(data(t), "nem12_quality_events.csv")), nil)
	if u.EstimatedS+u.GapS != (20+24)*1800 {
		t.Errorf("estimated %d s and missing %d s, want 44 half hours together", u.EstimatedS, u.GapS)
	}
}

// The rules of daylight saving of North America since 2007: second Sunday of March and first Sunday of November at
// 02:00; the dates are held against the time zone data of the Go library.
func TestDaylight(t *testing.T) {
	zone, err := time.LoadLocation("America/New_York")
	if err != nil {
		t.Skip("no time zones on this machine:", err)
	}
	d, err := meterfile.ReadESPI("a.xml",
		strings.NewReader(espiOf(`<LocalTimeParameters xmlns="http://naesb.org/espi"><dstEndRule>B40E2000</dstEndRule>`+
			`<dstOffset>3600</dstOffset><dstStartRule>360E2000</dstStartRule><tzOffset>-18000</tzOffset></LocalTimeParameters>`)))
	if err != nil {
		t.Fatal(err)
	}
	for at := time.Date(2008, 1, 1, 0, 0, 0, 0, time.UTC); at.Year() < 2030; at = at.Add(97 * time.Minute) {
		if got, want := d.Clock.OffsetS(at.Unix()), (meter.Zone{Location: zone}).OffsetS(at.Unix()); got != want {
			t.Fatalf("%s: offset %d s, want %d", at, got, want)
		}
	}
}

func espiOf(content string) string {
	return `<feed xmlns="http://www.w3.org/2005/Atom"><entry><link rel="self" href="/a"/><content>` + content +
		`</content></entry></feed>`
}

// A year of hours of one kilowatt on a clock that is changed: every day is whole, and every hour 1,000 W.
func TestYearOfDaylight(t *testing.T) {
	zone, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Skip("no time zones on this machine:", err)
	}
	from := time.Date(2025, 1, 1, 0, 0, 0, 0, zone).Unix()
	c := meter.Channel{Name: "1", Direction: meter.FromGrid}
	for s := from; s < time.Date(2026, 1, 1, 0, 0, 0, 0, zone).Unix(); s += 3600 {
		c.Readings = append(c.Readings, meter.Reading{StartS: s, Seconds: 3600, Wh: 1000})
	}
	u := use(t, &meter.Data{Channels: []meter.Channel{c}}, meter.Zone{Location: zone})
	if u.WholeDays() != 365 || !u.YearOfDemand() {
		t.Fatalf("%d whole days, want 365", u.WholeDays())
	}
	for _, d := range u.Days {
		for h, w := range d.HourW {
			if math.Abs(w-1000) > 1e-9 {
				t.Fatalf("%d-%d %d:00 is %v W", d.Month, d.Day, h, w)
			}
		}
	}
}

func TestWrong(t *testing.T) {
	const head = "100,NEM12,202501151200,A,B\n200,7001234567,E1,E1,E1,N1,T1,kWh,30,20250401\n"
	for name, c := range map[string]struct{ text, want string }{
		"other file": {"name;watts\n", "a:1:1: found neither XML"},
		"broken xml": {"<feed><entry>", "a:1:14: is no XML that can be read"},
		"no entries": {"<feed></feed>", "found no entry"},
		"bad quality": {head + "300,20250114" + strings.Repeat(",1", 48) + ",X\n",
			"a:3:110: found \"X\" as a quality"},
		"bad value": {head + "300,20250114,1,x1\n", "a:3:16: found \"x1\" as the value of interval 2"},
		"bad date":  {head + "300,20251314,1\n", "a:3:5: found \"20251314\" as a date"},
		"quality untold": {head + "300,20250114" + strings.Repeat(",1", 48) + ",V\n400,1,20,A\n900\n",
			"a:3:1: the quality of the day varies, but the records 400 behind it tell 20 of its 48 intervals"},
		"twice a day": {head + "300,20250114" + strings.Repeat(",1", 48) + ",A\n300,20250114" +
			strings.Repeat(",1", 48) + ",A\n", "overlap: 2025-01-14 00:00:00 for 1800 s and 2025-01-14 00:00:00"},
		"no type": {
			espiOf(
				`<IntervalBlock xmlns="http://naesb.org/espi"><interval><start>1736899200</start></interval><IntervalReading><value>1</value></IntervalReading></IntervalBlock>`),
			"has no reading type"},
	} {
		d, err := meterfile.Read("a", strings.NewReader(c.text))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, %v, want %q", name, d, err, c.want)
		}
	}
}

func FuzzRead(f *testing.F) {
	for _, name := range []string{"testdata/greenbutton_tiny.xml", "testdata/nem12_tiny.csv"} {
		text, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(text))
	}
	f.Fuzz(func(t *testing.T, text string) {
		d, err := meterfile.Read("a", strings.NewReader(text))
		if err != nil {
			return
		}
		u, err := d.Use(nil)
		if err != nil {
			return
		}
		for _, x := range append([]float64{u.TakenWh, u.FedWh, u.BaseW}, u.Months[0].HourW[:]...) {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Fatalf("a figure is %v", x)
			}
		}
	})
}

// A year of minutes.
func BenchmarkYearOfMinutes(b *testing.B) {
	c := meter.Channel{Direction: meter.FromGrid}
	for i := range 365 * 1440 {
		c.Readings = append(c.Readings, meter.Reading{StartS: 1_735_689_600 + int64(i)*60, Seconds: 60,
			Wh: float64(i % 17)})
	}
	d := &meter.Data{Channels: []meter.Channel{c}, Clock: meter.Fixed(0)}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := d.Use(nil); err != nil {
			b.Fatal(err)
		}
	}
}

func table(t *testing.T, text string, o meterfile.TableOptions) (*meter.Data, error) {
	t.Helper()
	tab, err := tabular.Open("t.csv", strings.NewReader(text), tabular.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return meterfile.ReadTable(tab, o)
}

// Tables as utilities export them: decimal comma, energy in kWh or power in W, a missing row, a missing value.
func TestTable(t *testing.T) {
	for _, c := range []struct {
		name, text  string
		o           meterfile.TableOptions
		wh          float64
		gapS, stepS int
	}{
		{"German",
			"Zeitstempel;Bezug (kWh)\n01.02.2025 00:00;0,25\n01.02.2025 00:15;0,5\n01.02.2025 00:30;0,125\n13.02.2025 00:00;1,0\n",
			meterfile.TableOptions{}, 1875, 12*86400 - 2700, 900},
		{"power",
			"time,power W\n2025-02-01 00:00,1000\n2025-02-01 00:30,500\n2025-02-01 01:00,\n2025-02-01 01:30,250\n",
			meterfile.TableOptions{}, 875, 1800, 1800},
		{"ends", "end time,energy Wh\n2025-02-01 01:00,10\n2025-02-01 02:00,20\n", meterfile.TableOptions{Ends: true},
			30, 0, 3600},
	} {
		d, err := table(t, c.text, c.o)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		u := use(t, d, nil)
		near(t, c.name+": energy", u.TakenWh, c.wh, 1e-9)
		if int(u.GapS) != c.gapS || u.StepS != 0 && u.StepS != c.stepS {
			t.Errorf("%s: gaps of %d s, step %d s, want %d, %d", c.name, u.GapS, u.StepS, c.gapS, c.stepS)
		}
	}
	if d, err := table(t, "time,energy\n2025-02-01 00:00,1\n2025-02-01 01:00,1\n",
		meterfile.TableOptions{}); err == nil || !strings.Contains(err.Error(), "t.csv:2:2: the unit is not told") {
		t.Errorf("energy without a unit: %+v, %v", d, err)
	}
}

// Date and time of day may stand in two columns, and beginning and end of an interval too.
func TestTableDateAndTime(t *testing.T) {
	first := time.Date(2025, 2, 1, 23, 30, 0, 0, time.UTC).Unix()
	whole := meter.Data{Format: meter.Table, Clock: meter.Fixed(0), Channels: []meter.Channel{{
		Direction: meter.FromGrid, Readings: []meter.Reading{
			{StartS: first, Seconds: 900, Wh: 250},
			{StartS: first + 900, Seconds: 900, Wh: 500},
			{StartS: first + 1800, Seconds: 900, Wh: 125},
		}}}}
	for _, c := range []struct{ name, text string }{
		{"English", "Date,Time,kWh\n2025-02-01,23:30,0.25\n2025-02-01,23:45,0.5\n2025-02-02,00:00,0.125\n"},
		{"halves of the day", "Usage date,Start time,End time,Usage (kWh)\n2/1/2025,11:30 PM,11:45 PM,0.25\n" +
			"2/1/2025,11:45 PM,12:00 AM,0.5\n2/2/2025,12:00 AM,12:15 AM,0.125\n"},
		{"German", "Datum;Uhrzeit;Bezug kWh\n01.02.2025;23:30;0,25\n01.02.2025;23:45;0,5\n02.02.2025;00:00;0,125\n"},
		{"time first", "Uhrzeit;Datum;Bezug kWh\n23:30;01.02.2025;0,25\n23:45;01.02.2025;0,5\n00:00;02.02.2025;0,125\n"},
		{"Spanish", "Fecha;Hora;Consumo kWh\n01/02/2025;23:30;0,25\n01/02/2025;23:45;0,5\n02/02/2025;00:00;0,125\n"},
		{"French", "Jour;Heure;Soutirage kWh\n01/02/2025;23:30;0,25\n01/02/2025;23:45;0,5\n02/02/2025;00:00;0,125\n"},
		{"newest first", "Date,Time,kWh\n2025-02-02,00:00,0.125\n2025-02-01,23:45,0.5\n2025-02-01,23:30,0.25\n"},
		{"midnight behind each day", "Date,Time,kWh\n2025-02-01 00:00:00,23:30,0.25\n" +
			"2025-02-01 00:00:00,23:45,0.5\n2025-02-02 00:00:00,00:00,0.125\n"},
		{"a day beside whole times", "Day,Timestamp,kWh\nSaturday,2025-02-01 23:30,0.25\n" +
			"Saturday,2025-02-01 23:45,0.5\nSunday,2025-02-02 00:00,0.125\n"},
		{"beginning and end", "Von;Bis;kWh\n01.02.2025 23:30;01.02.2025 23:45;0,25\n" +
			"01.02.2025 23:45;02.02.2025 00:00;0,5\n02.02.2025 00:00;02.02.2025 00:15;0,125\n"},
		{"end alone", "Bis;kWh\n01.02.2025 23:45;0,25\n02.02.2025 00:00;0,5\n02.02.2025 00:15;0,125\n"},
	} {
		d, err := table(t, c.text, meterfile.TableOptions{})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if d.Channels[0].Name = ""; !reflect.DeepEqual(*d, whole) {
			t.Errorf("%s: %+v, want %+v", c.name, *d, whole)
		}
	}
	d, err := table(t, "Date,Time,kWh\n2025-02-01,23:30,1\n2025-02-01,25:10,1\n", meterfile.TableOptions{})
	if want := "t.csv:3:2: found \"2025-02-01 25:10\", want a time such as"; err == nil ||
		!strings.Contains(err.Error(), want) {
		t.Errorf("a wrong time: %+v, %v, want %q", d, err, want)
	}
}

// Energy into the grid is told by its words though its head has kWh like the other; what is both or neither is asked back.
func TestTableExport(t *testing.T) {
	for _, c := range []struct{ head, want string }{
		{"time;kWh;Export kWh", ""},
		{"Date;Import (kWh);Feed-in (kWh)", ""},
		{"time;Usage kWh;Surplus energy kWh", ""},
		{"Zeit;Bezug kWh;Einspeisung kWh", ""},
		{"Zeit;Energie kWh;Überschuss (kWh)", ""},
		{"Zeit;Verbrauch kWh;Eingespeiste Energie kWh", ""},
		{"Fecha;Consumo kWh;Energía vertida kWh", ""},
		{"Fecha;Energía consumida kWh;Excedentes kWh", ""},
		{"Horodatage;Soutirage kWh;Injection kWh", ""},
		{"Horodatage;Énergie kWh;Énergie injectée kWh", ""},
		{"time;Import kWh;Another kWh", "t.csv:1:3: found \"Another kWh\", but column \"Import kWh\" may tell the energy too"},
		{"time;Export kWh;Price", "no row names its columns"},
		{"time;Import/Export kWh;Price", "no row names its columns"},
	} {
		d, err := table(t, c.head+"\n2025-02-01 00:00;1;3\n2025-02-01 01:00;2;4\n", meterfile.TableOptions{})
		if c.want != "" {
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("%s: %+v, %v, want %q", c.head, d, err, c.want)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", c.head, err)
			continue
		}
		if u := use(t, d, nil); u.TakenWh != 3000 || u.FedWh != 7000 {
			t.Errorf("%s: %g Wh taken and %g fed in, want 3000 and 7000", c.head, u.TakenWh, u.FedWh)
		}
	}
}

// A table that runs backwards as a whole is the same one from below, also over the night of autumn on which an hour comes
// twice, and where the order of day and month is told by nothing but the change of dates.
func TestTableNewestFirst(t *testing.T) {
	zone, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Skip("no time zones on this machine:", err)
	}
	for _, c := range []struct {
		name, layout string
		o            meterfile.TableOptions
	}{
		{"on the wall", "2006-01-02 15:04", meterfile.TableOptions{}},
		{"of a place", "2006-01-02 15:04", meterfile.TableOptions{Zone: zone}},
		{"offsets", time.RFC3339, meterfile.TableOptions{}},
		{"ends", time.RFC3339, meterfile.TableOptions{Ends: true}},
		{"day first", "02/01/2006 15:04", meterfile.TableOptions{Zone: zone}},
	} {
		from := time.Date(2025, 10, 25, 0, 0, 0, 0, zone)
		if c.name == "day first" {
			from = time.Date(2025, 10, 1, 0, 0, 0, 0, zone) // no figure above 12
		}
		var rows []string
		for i := range 4 * 49 {
			rows = append(rows, fmt.Sprintf("%s,%d", from.Add(time.Duration(i)*15*time.Minute).Format(c.layout), i*i%97))
		}
		const head = "time,energy Wh\n"
		want, err := table(t, head+strings.Join(rows, "\n"), c.o)
		if err != nil {
			t.Errorf("%s, oldest first: %v", c.name, err)
			continue
		}
		slices.Reverse(rows)
		got, err := table(t, head+strings.Join(rows, "\n"), c.o)
		if err != nil {
			t.Errorf("%s, newest first: %v", c.name, err)
			continue
		}
		if !reflect.DeepEqual(got, want) {
			t.Errorf("%s: newest first it tells otherwise than oldest first", c.name)
		}
	}
}

// Rows in no order are refused once, and a time that goes back has the hint that fits it.
func TestTableOutOfOrder(t *testing.T) {
	rows := func(times ...string) string {
		return "time,energy Wh\n" + strings.Join(times, ",1\n") + ",1\n"
	}
	for _, c := range []struct{ name, text, want, hint string }{
		{"days newest first, their hours in order",
			rows("2025-02-02 00:00", "2025-02-02 12:00", "2025-02-02 18:00", "2025-02-01 00:00", "2025-02-01 12:00",
				"2025-02-01 18:00"),
			"t.csv:5:1: the rows are in no order of time: 3 of 6 lie before one that should follow them, this one first",
			"sort it by time, the oldest row first"},
		{"newest first, times of day alone", rows("03:00", "02:00", "01:00", "00:00"),
			"t.csv:2:1: found \"03:00\", a time of day whose date no column tells", "name the column of the dates: --column date=1"},
		{"twice", rows("2025-02-01 00:00", "2025-02-01 01:00", "2025-02-01 01:00"),
			"t.csv:4:1: the time does not lie behind that of the row before",
			"delete the row if it is there twice; where the clock was put back, name its place: --zone Europe/Madrid"},
		{"twice, newest first", rows("2025-02-01 01:00", "2025-02-01 00:00", "2025-02-01 00:00", "2025-01-31 23:00"),
			"t.csv:3:1: the newest row comes first, and the time does not lie behind that of the row below",
			"delete the row if it is there twice; where the clock was put back, name its place: --zone Europe/Madrid"},
	} {
		d, err := table(t, c.text, meterfile.TableOptions{})
		var ps strict.Problems
		if !errors.As(err, &ps) || len(ps) != 1 || ps[0].Error() != c.want || ps[0].Hint != c.hint {
			t.Errorf("%s: %+v, %v, want once %q with hint %q", c.name, d, err, c.want, c.hint)
		}
	}
}

// The night on which the clocks are put back has the hour from 2 to 3 twice; with a zone every hour has its place.
func TestTableZone(t *testing.T) {
	zone, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Skip("no time zones on this machine:", err)
	}
	var b strings.Builder
	b.WriteString("time,energy Wh\n")
	for at := time.Date(2025, 10, 26, 0, 0, 0, 0, zone); at.Day() == 26; at = at.Add(time.Hour) {
		b.WriteString(at.Format("2006-01-02 15:04") + ",1000\n")
	}
	d, err := table(t, b.String(), meterfile.TableOptions{Zone: zone})
	if err != nil {
		t.Fatal(err)
	}
	if n := len(d.Channels[0].Readings); n != 25 || d.Channels[0].Disjoint(nil) != nil {
		t.Fatalf("%d readings, %v, want 25 that do not overlap", n, d.Channels[0].Disjoint(nil))
	}
	u := use(t, d, nil)
	near(t, "energy", u.TakenWh, 25_000, 1e-9)
	if u.WholeDays() != 1 || u.GapS != 0 {
		t.Errorf("%d whole days, gaps of %d s", u.WholeDays(), u.GapS)
	}
}

// The clock of the house is that of the offsets written, and what is at midnight there stands at hour 0; universal time
// alone tells no clock.
func TestTableOffsets(t *testing.T) {
	day := func(offset, second string) string {
		var b strings.Builder
		b.WriteString("time,energy Wh\n")
		for h := range 24 {
			wh, o := "100", offset
			if h == 18 {
				wh = "900"
			}
			if h >= 12 {
				o = second
			}
			fmt.Fprintf(&b, "2025-01-06T%02d:00:00%s,%s\n", h, o, wh)
		}
		return b.String()
	}
	for _, c := range []struct{ name, text, want string }{
		{"west", day("-08:00", "-08:00"), ""},
		{"east", day("+0530", "+0530"), ""},
		{"none", day("", ""), ""},
		{"greenwich in winter", day("+00:00", "+00:00"), ""},
		{"universal", day("Z", "Z"), "the clock of the house is not told"},
		{"not in all", day("-08:00", ""), "t.csv:14:1: found \"2025-01-06T12:00:00\", want the offset"},
		{"two places", day("-08:00", "-10:00"), "t.csv:14:1: found an offset from universal time of -10:00, which differs by more than an hour from -08:00 in line 2"},
	} {
		d, err := table(t, c.text, meterfile.TableOptions{})
		var u *meter.Use
		if err == nil {
			u, err = d.Use(nil)
		}
		if c.want != "" {
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("%s: %v, want %q", c.name, err, c.want)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if len(u.Days) != 1 || u.Days[0].Day != 6 || u.WholeDays() != 1 {
			t.Errorf("%s: days %+v, want the 6th alone", c.name, u.Days)
			continue
		}
		near(t, c.name+": 18:00", u.Days[0].HourW[18], 900, 1e-9)
	}
}

// A register is known as one though its meter was exchanged on the way; a home that uses more from hour to hour until
// midnight, day by day, is none.
func TestRegisterThatFalls(t *testing.T) {
	count := func(rows int, of func(i int) float64) string {
		var b strings.Builder
		b.WriteString("time,energy kWh\n")
		at := time.Date(2025, 1, 6, 0, 0, 0, 0, time.UTC)
		for i := range rows {
			fmt.Fprintf(&b, "%s,%.1f\n", at.Add(time.Duration(i)*time.Hour).Format("2006-01-02 15:04"), of(i))
		}
		return b.String()
	}
	for _, c := range []struct {
		name, text, want string // "": it is read
	}{
		{"exchanged once", count(120, func(i int) float64 {
			if i < 70 {
				return 41_000 + 0.4*float64(i)
			}
			return 0.4 * float64(i-70)
		}), "t.csv:72:2: found figures that rise row by row and fall once, first here: the count of a register"},
		{"set back twice, by whole kWh", count(960, func(i int) float64 { return float64(i % 400 / 3) }),
			"t.csv:402:2: found figures that rise row by row and fall 2 times, first here: the count of a register"},
		{"fewer rises than tell", count(48, func(i int) float64 { return 1 + 0.1*float64(i%24) }), ""},
		{"more until midnight", count(960, func(i int) float64 { return 1 + 0.1*float64(i%24) }), ""},
	} {
		d, err := table(t, c.text, meterfile.TableOptions{})
		if c.want == "" && err != nil || c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)) {
			t.Errorf("%s: %+v, %v, want %q", c.name, d, err, c.want)
		}
	}
}

// Where the offsets written change in autumn, the hour that comes twice is no gap and no overlap.
func TestTableOffsetsInAutumn(t *testing.T) {
	at := time.Date(2025, 10, 25, 22, 0, 0, 0, time.UTC) // midnight, two hours east
	var b strings.Builder
	b.WriteString("time,energy Wh\n")
	for i := range 25 {
		east := 2 * time.Hour
		if i >= 3 {
			east = time.Hour
		}
		moment := at.Add(time.Duration(i) * time.Hour).In(time.FixedZone("", int(east.Seconds())))
		b.WriteString(moment.Format(time.RFC3339) + ",100\n")
	}
	d, err := table(t, b.String(), meterfile.TableOptions{})
	if err != nil {
		t.Fatal(err)
	}
	u := use(t, d, nil)
	if u.WholeDays() != 1 || u.GapS != 0 || len(u.Days) != 1 || u.Days[0].Day != 26 {
		t.Errorf("days %+v, gaps of %d s, want the 26th of October, whole", u.Days, u.GapS)
	}
	near(t, "energy", u.TakenWh, 2500, 1e-9)
}

// What is no energy of intervals is refused, with its place: a register that only rises, values below 0, power.
func TestNoEnergyOfIntervals(t *testing.T) {
	rising := func(step float64) string {
		var b strings.Builder
		b.WriteString("time,meter reading kWh\n")
		for h := range 24 {
			fmt.Fprintf(&b, "2025-01-06 %02d:00,%g\n", h, 1000+step*float64(h%23))
		}
		fmt.Fprintf(&b, "2025-01-07 00:00,%g\n", 1000+step*30)
		return strings.Replace(b.String(), "23:00,1000", "23:00,"+fmt.Sprint(1000+step*24), 1)
	}
	of := func(uom int, value string) string {
		return espiOf(fmt.Sprintf(`<ReadingType xmlns="http://naesb.org/espi"><uom>%d</uom></ReadingType>`+
			`<LocalTimeParameters xmlns="http://naesb.org/espi"><tzOffset>0</tzOffset></LocalTimeParameters>`, uom) +
			`</content></entry><entry><link rel="self" href="/b"/><content>` +
			`<IntervalBlock xmlns="http://naesb.org/espi"><IntervalReading><timePeriod><duration>3600</duration>` +
			`<start>1736899200</start></timePeriod><value>` + value + `</value></IntervalReading></IntervalBlock>`)
	}
	xml := func(text string) (*meter.Data, error) { return meterfile.Read("a", strings.NewReader(text)) }
	csv := func(text string) (*meter.Data, error) { return table(t, text, meterfile.TableOptions{}) }
	for _, c := range []struct {
		name, text string
		read       func(string) (*meter.Data, error)
		want       string // "": it is read
	}{
		{"register", rising(0.5), csv, "t.csv:1:2: found figures that rise row by row"},
		{"the same each hour", rising(0), csv, ""},
		{"energy", of(72, "500"), xml, ""},
		{"below 0", of(72, "-500"), xml, "a reading is below 0, want from 0"},
		{"power", of(38, "500"), xml, "left out: 1: W, not Wh"},
		{"another unit", of(169, "500"), xml, "unit of measure 169, not Wh"},
		{"no number", of(72, "x5"), xml, "reading: found \"x5\", want a whole number"},
	} {
		d, err := c.read(c.text)
		if err == nil {
			_, err = d.Use(nil)
		}
		if c.want == "" && err != nil || c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
	}
}
