package speech

import "testing"

func voiceOf(t testing.TB, lang string) Voice {
	t.Helper()
	v, err := NewVoice(lang, false)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// Each language joins, quotes and lowers in its own manner.
func TestManners(t *testing.T) {
	for _, tt := range []struct {
		lang, and, quoted, lower, short string
	}{
		{"de", "a, b und c", "„x y“", "Strom je Phase", "AC-Seite"},
		{"es", "a, b y c", "«x y»", "strom je Phase", "AC-Seite"},
		{"fr", "a, b et c", "«\u00a0x y\u00a0»", "strom je Phase", "AC-Seite"},
	} {
		v := voiceOf(t, tt.lang)
		if and, quoted, lower, short := v.And("a, b", "c"), v.Quoted("x y"), v.Lower("Strom je Phase"),
			v.Lower("AC-Seite"); and != tt.and || quoted != tt.quoted || lower != tt.lower || short != tt.short {
			t.Errorf("%s: %q, %q, %q, %q; want %q, %q, %q, %q", tt.lang, and, quoted, lower, short, tt.and, tt.quoted,
				tt.lower, tt.short)
		}
	}
	es := voiceOf(t, "es")
	for last, want := range map[string]string{"«Iluminación»": "a e «Iluminación»", "hilo": "a e hilo",
		"hielo": "a y hielo", "3": "a y 3"} {
		if got := es.And("a", last); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// Numbers: the sign of the language, a true minus, and groups from five digits on.
func TestLocal(t *testing.T) {
	en, de := voiceOf(t, "en"), voiceOf(t, "de")
	american, spanish := en, voiceOf(t, "es")
	american.US, spanish.US = true, true
	check := func(v Voice, in, want string) {
		t.Helper()
		if got := v.Local(in); got != want {
			t.Errorf("%s: local(%q) = %q, want %q", v.Lang, in, got, want)
		}
	}
	check(en, "0", "0")
	check(en, "1234", "1234")
	check(en, "12345", "12\u202f345")
	check(en, "1234567.25", "1\u202f234\u202f567.25")
	check(american, "1234", "1234")
	check(american, "12345", "12,345")
	check(american, "-1234567.25", "−1,234,567.25")
	check(spanish, "12345.5", "12\u202f345,5") // of an American home, whose decimal sign is the comma
	check(de, "21.3", "21,3")
	check(de, "-0.5", "−0,5")
	check(en, "1e+06", "1e+06")
	check(de, "-1.5e+06", "−1,5e+06")
	check(de, "+2.50", "+2,50")
	check(de, "+Inf", "+Inf") // what has no digits alone stays as it is
	check(de, "-", "−")
	if got := en.Fixed(-0.04, 1); got != "0.0" {
		t.Errorf("fixed(-0.04, 1) = %q: no minus before a zero", got)
	}
}

// Fahrenheit is exact by definition: 0 C is 32 F, 100 C is 212 F, and -40 is the same on both.
func TestTemperature(t *testing.T) {
	v := voiceOf(t, "en")
	if got := v.Temperature(25); got != "25\u00a0°C" {
		t.Errorf("metric: %q", got)
	}
	v.US = true
	for c, want := range map[float64]string{0: "32\u00a0°F (0\u00a0°C)", 100: "212\u00a0°F (100\u00a0°C)",
		-40: "−40\u00a0°F (−40\u00a0°C)"} {
		if got := v.Temperature(c); got != want {
			t.Errorf("temperature(%g) = %q, want %q", c, got, want)
		}
	}
}

// An inch is 25.4 mm and a foot 12 inches by definition; what is required is never rounded down.
func TestLeastAmountsOfAir(t *testing.T) {
	v := voiceOf(t, "en")
	if got := v.Amount(178, "cm2"); got != "178\u00a0cm²" {
		t.Errorf("metric: %q", got)
	}
	v.US = true
	for _, c := range []struct {
		x          float64
		unit, want string
	}{
		{178, "cm2", "178\u00a0cm² (28\u00a0in²)"},            // 27.590
		{64.516, "cm2", "64.5\u00a0cm² (10\u00a0in²)"},        // exactly
		{724, "mm", "724\u00a0mm (29\u00a0in)"},               // 28.504
		{6.3, "m3/h", "6.3\u00a0m³/h (3.8\u00a0ft³/min)"},     // 3.7080
		{40.7762, "m3/h", "40.8\u00a0m³/h (24\u00a0ft³/min)"}, // 24.0000
	} {
		if got := v.Amount(c.x, c.unit); got != c.want {
			t.Errorf("amount(%g %s) = %q, want %q", c.x, c.unit, got, c.want)
		}
	}
}

// A unit behind a number of the format itself gets its sign, and nothing else does.
func TestSigned(t *testing.T) {
	for in, want := range map[string]string{
		"at 25 C, %g C": "at 25 °C, %g °C", "%.1f mm2 of 16 mm2": "%.1f mm² of 16 mm²", "%g m3/h": "%g m³/h", "%s m3": "%s m³",
		"%g mohm": "%g mΩ", "class C": "class C", "type 2 Cable": "type 2 Cable", "2 strings of 3": "2 strings of 3",
		"curve C, 10 kA": "curve C, 10 kA",
	} {
		if got := signed(in); got != want {
			t.Errorf("signed(%q) = %q, want %q", in, got, want)
		}
	}
}
