package live

import (
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"outlast/catalog"
)

// sunFile is a weather file of a year with a clear day each day: invented, in the rows of the format. Its global
// radiation is as many times what the sun gives at 48 degrees north as is said.
func sunFile(times float64) string {
	var b strings.Builder
	b.WriteString("LOCATION,Nowhere,-,XXX,test,000000,48.00,0.00,0.0,100.0\r\n")
	for _, row := range []string{"DESIGN CONDITIONS,0", "TYPICAL/EXTREME PERIODS,0", "GROUND TEMPERATURES,0",
		"HOLIDAYS/DAYLIGHT SAVING,No,0,0,0", "COMMENTS 1,", "COMMENTS 2,", "DATA PERIODS,1,1,Data,Sunday,1/1,12/31"} {
		b.WriteString(row + "\r\n")
	}
	for month, days := range []int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31} {
		for day := 1; day <= days; day++ {
			for hour := 1; hour <= 24; hour++ {
				global := times * max(0, 300*math.Sin((float64(hour)-6.5)/12*math.Pi))
				fmt.Fprintf(&b,
					"2001,%d,%d,%d,0,?,15,5,60,100000,0,0,300,%.0f,0,%.0f,0,0,0,0,180,2,5,5,20,77777,9,999999999,10,0.1,0,88,0.2,0,0\r\n",
					month+1, day, hour, global, global)
			}
		}
	}
	return b.String()
}

// A touch that changes the text does not read the weather again, and figures follow a weather file that is another.
func TestWeatherIsReadOnce(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("testdata", "sunny.toml"))
	if err != nil {
		t.Fatal(err)
	}
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	sun := sunFile(1)
	table, err := New(Home{File: "sunny.toml", Text: text, Catalog: cat,
		Open: func(name string) (io.ReadCloser, error) {
			if name != "sun.epw" {
				return nil, os.ErrNotExist
			}
			return io.NopCloser(strings.NewReader(sun)), nil
		}})
	if err != nil {
		t.Fatal(err)
	}
	longer := func(hours int) Answer {
		return ask[Answer](t, table, "answer", fmt.Sprintf(
			`{"changes": [{"do": "set", "table": "outage", "key": "autonomy_h", "value": %d}], "view": {"hours": 96}}`,
			hours))
	}
	first := longer(20)
	read := table.forecasts.known["sun.epw"].read
	if read == nil {
		t.Fatal("no weather was read")
	}
	for hours := 21; hours < 24; hours++ {
		longer(hours)
	}
	if table.forecasts.known["sun.epw"].read != read {
		t.Error("the same weather file was read again")
	}
	if !table.Current() {
		t.Error("the weather file is as it was, and the table does not know")
	}
	sun = sunFile(0.1)
	if table.Current() {
		t.Error("the weather file is another, and the table does not know")
	}
	dull := longer(25)
	if table.forecasts.known["sun.epw"].read == read {
		t.Error("another weather file was not read")
	}
	if last := func(a Answer) float64 { return a.Curve.Points[len(a.Curve.Points)-1][1] }; last(dull) >= last(first) {
		t.Errorf("with a tenth of the sun the bank ends at %g, with all of it at %g", last(dull), last(first))
	}
}
