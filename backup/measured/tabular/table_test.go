package tabular

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"unicode/utf16"

	"pgregory.net/rapid"

	"outlast/catalog/strict"
)

// read gives a table as text: line, then cells in brackets.
func read(t *testing.T, src string, o Options) (string, error) {
	t.Helper()
	table, err := Open("t.csv", strings.NewReader(src), o)
	if err != nil {
		return "", err
	}
	var b strings.Builder
	for table.Next() {
		fmt.Fprint(&b, table.Line())
		for _, c := range table.Cells() {
			fmt.Fprintf(&b, "[%s]", c.Text)
		}
		b.WriteByte(' ')
	}
	return strings.TrimSpace(b.String()), table.Err()
}

func TestSpellingsOfATable(t *testing.T) {
	utf16le := func(s string) string {
		var b strings.Builder
		for _, u := range utf16.Encode([]rune(s)) {
			b.Write([]byte{byte(u), byte(u >> 8)})
		}
		return b.String()
	}
	check := func(what, src, want string) {
		t.Helper()
		got, err := read(t, src, Options{})
		if err != nil || got != want {
			t.Errorf("%s: got %s, %v, want %s", what, got, err, want)
		}
	}
	const want = "1[é][W] 2[Kühl][1,5]"
	check("UTF-8", "é;W\nKühl;1,5\n", want)
	check("with byte order mark", "\ufeffé;W\nKühl;1,5", want)
	check("mark before a quotation mark", "\ufeff\"é\";W\nKühl;1,5", want)
	check("UTF-16 with mark", utf16le("\ufeffé;W\r\nKühl;1,5\r\n"), want)
	check("UTF-16 without", utf16le("é;W\r\nKühl;1,5\r\n"), want)
	check("Windows-1252", "\xe9;W\r\nK\xfchl;1,5", want)
	check("CR alone", "é;W\rKühl;1,5\r", want)
	check("tabs", "é\tW\nKühl\t1,5", want)
	check("commas, quoted", "é,W\nKühl,\"1,5\"", want)
	check("sep line", "sep=;\r\né;W\r\nKühl;1,5", "2[é][W] 3[Kühl][1,5]")
	check("sep line that counts cannot tell", "sep=|\na|b,c,d\n", "2[a][b,c,d]")
	check("blank rows and columns", "a,b,,\n\n,,\n \t\nc,d\n", "1[a][b][][] 5[c][d]")
	check("quotation marks and line ends within", "a,b\n\"x \"\"y\"\", z\nw\",2\nc,3",
		"1[a][b] 2[x \"y\", z\nw][2] 4[c][3]")
	check("inches are no quotation", "a,b\n5\" pipe,2", "1[a][b] 2[5\" pipe][2]")
	check("CRLF across a quoted cell", "a;b\r\n\"x\r\ny\";2\r\n", "1[a][b] 2[x\ny][2]")
	check("non-breaking blanks", "a;\u00a0b\u202f\n", "1[a][b]")
}

func TestWhatIsNoTable(t *testing.T) {
	check := func(src, want string) {
		t.Helper()
		_, err := read(t, src, Options{})
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%.40q: got %v, want %s", src, err, want)
		}
	}
	check("", "t.csv: is empty")
	check("\ufeff \n", "t.csv: is empty")
	check("PK\x03\x04", "is a workbook")
	check("a,b\n\"c,d\n", "t.csv:2:1: found a quotation mark that is not closed")
	check("a,b\nc,\"d\"e\n", `t.csv:2:2: found "e" behind a quotation mark`)
	check("a,b\nc,d\x00", "t.csv:2:1: found the byte 0x00 at character 4")
	check("é,b\n\nc,\xe9\n", "t.csv:3:1: found the byte 0xe9 at character 3, which is no text in UTF-8")
	check("\xe9,b\nc,\x81\n", "t.csv:2:1: found the byte 0x81 at character 3")
	check("a\n\""+strings.Repeat("x\n", maxRow), "not closed within 64 KiB")
	check("a\n"+strings.Repeat("x", maxRow+1), "t.csv:2:1: found a row of more than 64 KiB")
	check(strings.Repeat(",", maxColumns), "found more than 1024 columns")
}

// endless is a file of one row over and over.
type endless struct{ row string }

func (e endless) Read(p []byte) (int, error) {
	if len(p) < len(e.row) {
		return copy(p, e.row[:1]), nil
	}
	n := 0
	for n+len(e.row) <= len(p) {
		n += copy(p[n:], e.row)
	}
	return n, nil
}

func TestNoEndlessFile(t *testing.T) {
	table, err := Open("t.csv", endless{strings.Repeat("1,", 500) + "2\n"}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	rows := 0
	for table.Next() {
		rows++
	}
	if err := table.Err(); err == nil || err.Error() != "t.csv: is larger than 256 MiB" || rows < MaxBytes/1010 {
		t.Errorf("%d rows, %v", rows, err)
	}
}

func TestFigures(t *testing.T) {
	check := func(src, want string) {
		t.Helper()
		table, err := Open("t.csv", strings.NewReader(src), Options{Delimiter: ';'})
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for table.Next() {
			for col := range table.Cells() {
				if v, behind, ok := table.Number(col); ok {
					got = append(got, strings.TrimSpace(fmt.Sprintf("%g %s", v, behind)))
				}
			}
		}
		if err := table.Err(); err != nil {
			got = append(got, err.Error())
		}
		if s := strings.Join(got, " | "); s != want {
			t.Errorf("%q:\n got %s\nwant %s", src, s, want)
		}
	}
	check("1;-2;+3;−4", "1 | -2 | 3 | -4")
	check("9,5;1.100;1.234.567,25", "9.5 | 1100 | 1.23456725e+06")
	check("9.5;1,100;1,234,567.25", "9.5 | 1100 | 1.23456725e+06")
	check("1'100;1’100;1 100;1\u00a0100;1\u202f100 W;1,5", "1100 | 1100 | 1100 | 1100 | 1100 W | 1.5")
	check("0,750", "0.75")                          // no mark for thousands stands behind 0
	check("1,234,567", "1.234567e+06")              // nor can there be two decimal signs
	check("1.5 kW;4A;1e-3", "1.5 kW | 4 A | 0.001") // units are the caller's business
	check("0.123\n1.234", "0.123 | 1.234")          // its column proves the sign
	check("1\n2 3", "1 | 2 3")                      // no thousands
	const settle = `which may be meant for thousands or for decimals`
	check("1,100", `t.csv:1:1: found "1,100", `+settle+", and no other figure tells")
	check("9,5;1,100", `9.5 | t.csv:1:2: found "1,100", `+settle+": no other figure of its column tells")
	check("9,5\n9.5",
		`9.5 | t.csv:2:1: found "9.5", but the decimal sign of this table is ',', as "9,5" in line 1 tells`)
	check("12,34,56", `t.csv:1:1: found "12,34,56", `+settle+", and no other figure tells")
	check("x;-;.5", `0.5 | t.csv:1:1: found "x", want a number
t.csv:1:2: found "-", want a number`)
}

// The quick way reads what the plain way reads, to the last bit.
func TestQuickFigures(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`-?[0-9]{0,9}([.][0-9]{0,8})?`).Draw(t, "figure")
		s := signs{found: '.', proven: []bool{true}}
		got, ok := s.quick(text, 0)
		want, _, msg, _ := (&signs{given: '.'}).number(Cell{Text: text}, 0)
		if ok && (msg != "" || got != want) {
			t.Fatalf("%q: quickly %g, else %g %s", text, got, want, msg)
		}
	})
}

func TestDecimalSignGiven(t *testing.T) {
	for decimal, want := range map[rune]float64{'.': 1100, ',': 1.1} {
		table, err := Open("t.csv", strings.NewReader("1,100;a"), Options{Decimal: decimal})
		if err != nil || !table.Next() {
			t.Fatal(err)
		}
		if v, _, ok := table.Number(0); !ok || v != want {
			t.Errorf("%q: got %g, %v, want %g", decimal, v, table.Err(), want)
		}
	}
}

func TestMoments(t *testing.T) {
	check := func(unit, src, want string) {
		t.Helper()
		table, err := Open("t.csv", strings.NewReader(src), Options{Delimiter: ';'})
		if err != nil {
			t.Fatal(err)
		}
		clock := table.NewClock(Column{Unit: unit}, "")
		var got []string
		first := 0.0
		for table.Next() {
			if s, ok := table.Moment(clock, 0); ok {
				if got == nil {
					first = s
				}
				got = append(got, fmt.Sprintf("%g", s-first))
			}
		}
		if err := table.Err(); err != nil {
			got = append(got, err.Error())
		}
		if s := strings.Join(got, " "); s != want {
			t.Errorf("%q:\n got %s\nwant %s", src, s, want)
		}
	}
	check("", "2024-02-28T23:59:30\n2024-02-29 00:00\n2024-02-29 00:00:01.5", "0 30 31.5")
	check("", "2024-03-31T01:59:00+01:00\n2024-03-31T03:00:00+02:00\n2024-03-31T01:01:00Z", "0 60 120")
	check("", "26/01/2012 00:00:00\n26/01/2012 00:00:01", "0 1")
	check("", "01/02/2024 23:59\n01/03/2024 00:00", "0 60")         // month first, as the next day tells
	check("", "01/02/2024 23:59\n02/02/2024 00:00", "0 60")         // day first
	check("", "1.2.2024 23:59\n1.3.2024 00:00", "0 2.41926e+06")    // points: day first
	check("", "5/31/2024 11:59:59 PM\n6/1/2024 12:00:00 AM", "0 1") // noon and midnight
	check("", "23:59\n00:00\n00:01", "0 60 120")                    // the next day
	check("", "1700000000\n1700000060\n1700000120000", "0 60 120")  // since 1970
	check("s", "0\n0,5\n90", "0 0.5 90")                            //
	check("min", "0\n1\n2", "0 60 120")                             //
	check("", "5",
		`t.csv:1:1: found "5", a number whose unit the column does not tell, `+
			`want a time such as 2024-05-31 18:04:05, or seconds with s in the head of the column`)
	check("", "2024-02-30 10:00", `t.csv:1:1: found "2024-02-30", want a date such as 2024-05-31`)
	check("", "2024-02-03 25:00\n10:61\n1:2:3:4", `t.csv:1:1: found "2024-02-03 25:00", want a time such as 2024-05-31 18:04:05
t.csv:2:1: found "10:61", want a time such as 2024-05-31 18:04:05
t.csv:3:1: found "1:2:3:4", want a time such as 2024-05-31 18:04:05`)
	check("", "01/02/2024 10:00\n05/06/2024 10:00",
		`0 t.csv:2:1: found the date "05/06/2024", and whether dates begin with the day or the month is not told: `+
			`say which with --dates dmy or --dates mdy`)
}

func TestColumnsByTheirWords(t *testing.T) {
	kinds := []Kind{{ID: "name", Words: []string{"load", "gerat"}},
		{ID: "power", Number: true, Words: []string{"running", "leistung"}, Units: []string{"w", "kw"}}}
	find := func(src string, wishes ...string) (string, error) {
		table, err := Open("t.csv", strings.NewReader(src), Options{})
		if err != nil {
			t.Fatal(err)
		}
		ws, err := ReadWishes(wishes, kinds, []string{"w", "kw"})
		if err != nil {
			return "", err
		}
		c, ok := FindColumns(table, kinds, []string{"w", "kw"}, ws,
			func(ids map[string]bool) bool { return ids["name"] && ids["power"] })
		if !ok {
			return "", table.Err()
		}
		n, _ := c.Of("name")
		p, _ := c.Of("power")
		more := 0
		for table.Next() {
			more++
		}
		return fmt.Sprintf("%d %d%s %d", n.Index, p.Index, p.Unit, more), nil
	}
	check := func(src, want string, wishes ...string) {
		t.Helper()
		got, err := find(src, wishes...)
		if err != nil {
			got = err.Error()
		}
		if got != want {
			t.Errorf("%q %v: got %s, want %s", src, wishes, got, want)
		}
	}
	check("Load,Running W\na,1\n", "0 1w 1")
	check("Our home\n\nRoom;Gerät;Leistung [kW]\nx;a;1\ny;b;2\n", "1 2kw 2")
	check("Load,kW\na,1\n", "0 1kw 1") // by its unit
	check("a,1\nb,2\n", "0 1kw 2", "name=1", "power=2 kW")
	check("x,y\na,1\n", "0 1 1", "name=x", "power=y")
	check("Load,Running W,Leistung\na,1,2\n",
		`t.csv:1:3: found "Leistung", but column "Running W" may tell the power too`)
	check("Load,Running W,Leistung\na,1,2\n", "0 2 1", "power=3")
	check("Load,Running W\na,1\n",
		"t.csv:1:1: --column power=mains: no row names such a column, or none beside it with words that are known",
		"power=mains", "name=1")
	check("Load,Power\na,1\n", "0 1kw 1", "power=2 kW")
	check("Load,Power\na,1\n", "t.csv:1:1: --column power=7: there is no such column", "power=7")
	check("a,1\n", "t.csv:1:1: no row names its columns with words that are known")
	check("a,1\n", `--column "watts=2": no kind is called so, want one of name, power`, "watts=2")
}

func TestProblemsEnd(t *testing.T) {
	table, err := Open("t.csv", strings.NewReader(strings.Repeat("x\n", 1000)), Options{})
	if err != nil {
		t.Fatal(err)
	}
	for table.Next() {
		table.Number(0)
	}
	var ps strict.Problems
	if !errors.As(table.Err(), &ps) || len(ps) != mostTold+1 || ps[mostTold-1].Line != mostTold {
		t.Errorf("got %v", table.Err())
	}
}

func TestRowsFromElsewhere(t *testing.T) {
	table := OpenRows("t.xlsx", []Row{{3, []Cell{{"1100", true}, {"1,5 kW", false}}}}, Options{})
	if !table.Next() || table.Line() != 3 {
		t.Fatal(table.Err())
	}
	v, _, ok := table.Number(0)
	w, unit, ok2 := table.Number(1)
	if !ok || !ok2 || v != 1100 || w != 1.5 || unit != "kW" {
		t.Errorf("got %g, %g %s: %v", v, w, unit, table.Err())
	}
}

func FuzzTable(f *testing.F) {
	for _, s := range []string{"a;b\n1,5;2", "\"a\"\"\",b\r\n1.100,2", "sep=;\na", "\xff\xfea\x00;\x00b\x00",
		"01/02/2024 10:00,1\n", "\xe9,\x81"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		table, err := Open("t.csv", strings.NewReader(string(src)), Options{})
		if err != nil {
			return
		}
		clock := table.NewClock(Column{Unit: "s"}, "")
		line := 0
		for table.Next() {
			if table.Line() <= line {
				t.Fatalf("line %d after %d", table.Line(), line)
			}
			line = table.Line()
			for col, c := range table.Cells() {
				if v, _, ok := table.Number(col); ok && (v != v || c.Text == "") {
					t.Fatalf("%q is read as %g", c.Text, v)
				}
				table.Moment(clock, col)
			}
		}
		var ps strict.Problems
		if err := table.Err(); err != nil && !errors.As(err, &ps) {
			t.Fatalf("%T: %v", err, err)
		}
	})
}

// year is a year of minutes.
func year() string {
	var b strings.Builder
	b.WriteString("Time,Power (W)\n")
	day, minute := 0, 0
	for i := range 525_600 {
		if minute = i % 1440; minute == 0 {
			day++
		}
		fmt.Fprintf(&b, "2024-%02d-%02d %02d:%02d:00,%d.%d\n", 1+(day-1)/31, 1+(day-1)%28, minute/60, minute%60,
			i*7919%300, i%10)
	}
	return b.String()
}

func BenchmarkYearOfMinutes(b *testing.B) {
	src := year()
	b.SetBytes(int64(len(src)))
	b.ReportAllocs()
	for b.Loop() {
		table, err := Open("t.csv", strings.NewReader(src), Options{})
		if err != nil {
			b.Fatal(err)
		}
		clock := table.NewClock(Column{}, "")
		rows := 0
		for table.Next() {
			if rows++; rows > 1 {
				table.Moment(clock, 0)
				table.Number(1)
			}
		}
		if rows != 525_601 || table.Err() != nil {
			b.Fatal(rows, table.Err())
		}
	}
}
