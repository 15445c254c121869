package banklog_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"outlast/backup/measured/banklog"
	"outlast/backup/measured/tabular"
	"outlast/catalog/strict"
)

func read(text string, o banklog.Options, wishes ...string) (*banklog.Log, error) {
	kinds, units := banklog.Kinds()
	ws, err := tabular.ReadWishes(wishes, kinds, units)
	if err != nil {
		return nil, err
	}
	o.Wishes = ws
	table, err := tabular.Open("log.csv", strings.NewReader(text), tabular.Options{})
	if err != nil {
		return nil, err
	}
	return banklog.Read(table, o)
}

// rows are five readings a minute apart, each row as format says of its number.
func rows(head string, row func(i int) string) string {
	var b strings.Builder
	b.WriteString(head + "\n")
	for i := range 5 {
		b.WriteString(row(i) + "\n")
	}
	return b.String()
}

// TestColumns: the same log by its words in four languages, with the signs of each.
func TestColumns(t *testing.T) {
	for _, text := range []string{
		rows("Time,Battery power [W],Battery voltage [V],SoC [%],Temp [C]",
			func(i int) string { return fmt.Sprintf("2026-11-27 10:%02d:00,500,52.%d,%d,20", i, 9-i, 100-i) }),
		rows("Zeit;Batterieleistung (W);Batteriespannung (V);Ladezustand %;Temperatur (°C)",
			func(i int) string { return fmt.Sprintf("27.11.2026 10:%02d;500,0;52,%d;%d;20,0", i, 9-i, 100-i) }),
		rows("Fecha;Hora;Potencia de la batería (kW);Tensión;Estado de carga;Temperatura",
			func(i int) string { return fmt.Sprintf("27/11/2026;10:%02d;0,50;52,%d;%d %%;20,0", i, 9-i, 100-i) }),
		rows("Heure;Puissance batterie W;Tension V;État de charge;Température C",
			func(i int) string { return fmt.Sprintf("10:%02d;-500,0;52,%d;%d;20,0", i, 9-i, 100-i) }),
		rows("Time [min],Battery [W],Voltage [V],State of charge,Temp",
			func(i int) string { return fmt.Sprintf("%d,500,52.%d,%.2f,20", i, 9-i, 1-float64(i)/100) }),
		rows("Time,Battery power [W],Battery voltage [V],SoC [%],Temperature (°F)",
			func(i int) string { return fmt.Sprintf("2026-11-27 10:%02d:00,500,52.%d,%d,68", i, 9-i, 100-i) }),
		rows("Time,Battery power [W],Battery voltage [V],SoC [%],Temp Fahrenheit",
			func(i int) string { return fmt.Sprintf("2026-11-27 10:%02d:00,500,52.%d,%d,68 °F", i, 9-i, 100-i) }),
	} {
		l, err := read(text, banklog.Options{})
		if err != nil {
			t.Errorf("%s: %v", text[:20], err)
			continue
		}
		x := l.At(3)
		if x.AtS != 180 || x.BankW != 500 || math.Abs(float64(x.Volts)-52.6) > 1e-4 ||
			math.Abs(float64(x.SoC)-0.97) > 1e-6 || x.TempC != 20 || l.StepS != 60 || l.HasLoadW || l.HasAmps {
			t.Errorf("%s: %+v", text[:20], x)
		}
	}
}

// TestThreeDecimals: volts to the millivolt are no thousands, whatever the sign.
func TestThreeDecimals(t *testing.T) {
	for _, sign := range []string{".", ","} {
		l, err := read(rows("time s;battery W;battery V", func(i int) string {
			return fmt.Sprintf("%d;500;52%s20%d", 60*i, sign, 9-i)
		}), banklog.Options{})
		if err != nil {
			t.Errorf("%s: %v", sign, err)
		} else if v := l.At(1).Volts; math.Abs(float64(v)-52.208) > 1e-4 {
			t.Errorf("%s: %g V, want 52.208", sign, v)
		}
	}
	if _, err := read(rows("time s;battery W", func(i int) string { return fmt.Sprintf("%d;1.20%d", 60*i, i) }),
		banklog.Options{}); err == nil || !strings.Contains(err.Error(), "thousands or for decimals") {
		t.Errorf("watts that may be thousands: %v", err)
	}
}

// TestSigns: which sign is discharge is proved by the log, or said, or asked back.
func TestSigns(t *testing.T) {
	both := func(soc func(i int) float64) string {
		return rows("time s,current A,soc", func(i int) string {
			a := -10
			if i == 2 {
				a = 4
			}
			return fmt.Sprintf("%d,%d,%.2f", 3600*i, a, soc(i))
		})
	}
	falls := both(func(i int) float64 { return 1 - 0.1*float64(i) })
	if l, err := read(falls, banklog.Options{}); err != nil || !l.Turned || l.At(0).Amps != 10 {
		t.Errorf("minus is discharge by the falling charge: %v", err)
	}
	level := both(func(int) float64 { return 0.5 })
	if _, err := read(level, banklog.Options{}); err == nil || !strings.Contains(err.Error(), "both signs") {
		t.Errorf("both signs without proof: %v", err)
	}
	if l, err := read(level, banklog.Options{Discharge: banklog.SignPositive}); err != nil || l.Turned {
		t.Errorf("as the user says: %v", err)
	}
}

func TestRefused(t *testing.T) {
	minute := func(head, cells string) string {
		return rows(head, func(i int) string { return fmt.Sprintf("%d,%s", 60*i, cells) })
	}
	for _, tt := range []struct{ name, text, want string }{
		{"empty", "", "log.csv"},
		{"no words", "a,b\n1,2\n", "no row names its columns"},
		{"power of what", minute("time s,power W", "500"),
			"log.csv:1:2: found column \"power W\", and whether it is of the loads or of the bank"},
		{"no unit", minute("time s,battery power", "500"),
			"log.csv:1:2: found column \"battery power\", whose head tells no unit"},
		{"no figure", minute("time s,battery W", "many"), "log.csv:2:2: found \"many\""},
		{"too high", minute("time s,battery W", "1e9"), "log.csv:2:2"},
		{"charge of 120 %", minute("time s,battery W,soc", "500,120"), "log.csv:2:3: found 120 %, want 0 to 110"},
		{"share or percent", minute("time s,battery W,soc", "500,1.2"), "is it percent?"},
		{"too short", "time s,battery W\n0,1\n", "found 1 readings"},
		{"newest first", rows("time,battery W", func(i int) string { return fmt.Sprintf("2026-11-27 10:%02d,500", 9-i) }),
			"4 of 5 readings lie before the one above: the newest comes first"},
		{"hotter than boiling", minute("time s,battery W,temp F", "500,260"), "log.csv:2:3: found 260 °F, want -76 to 248"},
		{"one moment", rows("time s,battery W", func(int) string { return "0,500" }), "of one moment"},
		{"a unit that is none", minute("time s,battery W", "5 V"),
			"log.csv:2:2: found \"V\" behind the figure, want W"},
	} {
		_, err := read(tt.text, banklog.Options{})
		var ps strict.Problems
		if err == nil || !errors.As(err, &ps) || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: %v, want %q", tt.name, err, tt.want)
		}
	}
}

func TestWishesAndCut(t *testing.T) {
	text := rows("t,x,y", func(i int) string { return fmt.Sprintf("10:%02d,%d,52.5", 10*i, 500+i) })
	l, err := read(text, banklog.Options{FromH: 0.3, ToH: 0.6}, "time=1", "load_power=2 W", "volts=3")
	if err == nil {
		t.Fatalf("%d readings are taken", l.Len())
	}
	l, err = read(text+"11:00,600,52.5\n11:10,601,52.5\n11:20,602,52.5\n", banklog.Options{FromH: 0.3, ToH: 1.2},
		"time=1",
		"load_power=2 W", "volts=3")
	if err != nil {
		t.Fatal(err)
	}
	if n := l.Len(); n != 5 || l.At(0).AtS != 0 || l.At(0).LoadW != 502 || l.Moment(0) != "10:20" {
		t.Errorf("%d readings from %s: %+v", n, l.Moment(0), l.At(0))
	}
}

func FuzzLog(f *testing.F) {
	f.Add([]byte("time s,battery W,battery V,soc %\n0,5,52,100\n60,5,52,99\n120,5,51.9,98\n180,5,51,97\n240,5,51,96\n"))
	f.Add([]byte("Zeit;Strom A;Spannung V\n27.11.2026 10:00;-5,1;52,4\n27.11.2026 10:01;-5,0;52,3\n"))
	f.Add([]byte("time,load W\n10:00,5\n9:00,nan\n11:00,1e300\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		l, err := read(string(src), banklog.Options{})
		if err != nil {
			var ps strict.Problems
			if !errors.As(err, &ps) {
				t.Fatalf("%v is no list of problems", err)
			}
			return
		}
		last := 0.0
		for i := range l.Len() {
			x := l.At(i)
			if !(x.AtS >= last) || x.SoC < 0 || x.SoC > 1 {
				t.Fatalf("%+v after %g s", x, last)
			}
			last = x.AtS
		}
		if !(l.StepS > 0) {
			t.Fatalf("steps of %g s", l.StepS)
		}
		l.Moment(last)
	})
}

// TestCountedTimeAndSmallAmps: a head that only counts, and amps in thousandths.
func TestCountedTimeAndSmallAmps(t *testing.T) {
	l, err := read(rows("minutes;current mA;battery V", func(i int) string {
		return fmt.Sprintf("%d;%d;12.%d", 10*i, 1500+i, 9-i)
	}), banklog.Options{Discharge: banklog.SignPositive}, "time=minutes")
	if err != nil {
		t.Fatal(err)
	}
	if x := l.At(2); x.AtS != 1200 || math.Abs(float64(x.Amps)-1.502) > 1e-6 || !l.Elapsed {
		t.Errorf("%+v, elapsed %v; want 1200 s and 1.502 A", x, l.Elapsed)
	}
}
