package drawing

// Symbols of the single-line diagram, after IEC 60617: each is drawn downwards from (0, 0), where its conductor comes
// in, and is as long as its constant says. Turn them with at.
const (
	switchLen = 34.0
	fuseLen   = 30.0
	cellLen   = 26.0
)

// contact is a switch contact, open as diagrams show it: the blade turns on the lower end.
func (d *drawing) contact() {
	d.line(0, 0, 0, 9, "wire")
	d.line(0, 25, -8, 10, "wire")
	d.line(0, 25, 0, switchLen, "wire")
}

// breaker is a circuit-breaker: a contact with a cross.
func (d *drawing) breaker() {
	d.contact()
	d.path(cross(0, 9, 3), "wire")
}

// isolator is a switch-disconnector: a contact with a bar and a ring, for what may be opened under load and separates
// safely.
func (d *drawing) isolator() {
	d.contact()
	d.line(-4, 9, 4, 9, "wire")
	d.circle(0, 11.6, 2.2, "wire hollow")
}

// fuse is a box with the conductor through it.
func (d *drawing) fuse() {
	d.line(0, 0, 0, fuseLen, "wire")
	d.rect(-4.5, 5, 9, 20, "wire hollow-none")
}

// changeover is a contact with two positions, 1 at (-12, 0) and 2 at (12, 0), common at (0, switchLen), and perhaps one
// between them, off. It stands in the first, or on the grid where there is no off: what comes in at the right.
func (d *drawing) changeover(off bool) {
	d.line(-12, 0, -12, 8, "wire")
	d.line(12, 0, 12, 8, "wire")
	d.circle(-12, 10, 2, "wire hollow")
	d.circle(12, 10, 2, "wire hollow")
	to := 11.0
	if off {
		d.circle(0, 10, 2, "wire hollow")
		to = -11
	}
	d.line(0, 27, to, 12, "wire")
	d.line(0, 27, 0, switchLen, "wire")
}

// sensor is a current transformer around the conductor.
func (d *drawing) sensor() {
	d.line(0, 0, 0, 20, "wire")
	d.circle(0, 10, 7, "wire hollow-none accent-wire")
	d.line(7, 10, 18, 10, "wire accent-wire")
	d.line(11, 13, 13, 7, "wire accent-wire")
	d.line(14, 13, 16, 7, "wire accent-wire")
}

// meter is an integrating instrument for energy.
func (d *drawing) meter() {
	d.rect(-15, 0, 30, 24, "wire hollow")
	d.line(-15, 7, 15, 7, "wire")
	d.text(0, 19, middle, "small", "Wh")
}

// source is a source of alternating current with a letter: G for a generator, none for the public supply.
func (d *drawing) source(letter string) {
	d.circle(0, 0, 15, "wire hollow")
	if letter != "" {
		d.text(0, -1, middle, "strong", letter)
		d.wave(0, 6, 6)
		return
	}
	d.wave(0, 0, 8)
}

// wave is the sign of alternating current.
func (d *drawing) wave(x, y, half float64) {
	d.path("M"+px(x-half)+" "+px(y)+"q"+px(half/2)+" "+px(-half)+" "+px(half)+" 0t"+px(half)+" 0", "wire")
}

// direct is the sign of direct current.
func (d *drawing) direct(x, y, half float64) {
	d.line(x-half, y-3, x+half, y-3, "wire")
	d.path("M"+px(x-half)+" "+px(y+2)+"h"+px(2*half), "wire dashed-short")
}

// converter is a bidirectional converter: AC above the diagonal, DC below. It is a square around (0, 0).
func (d *drawing) converter(half float64) {
	d.rect(-half, -half, 2*half, 2*half, "wire hollow")
	d.line(-half, half, half, -half, "wire")
	d.wave(-half/2, -half/2, 9)
	d.direct(half/2, half/2+1, 8)
}

// battery is two cells one above the other: the long line is the positive pole.
func (d *drawing) battery() {
	d.line(0, 0, 0, 6, "wire")
	d.line(-13, 6, 13, 6, "wire")
	d.line(-6, 11, 6, 11, "wire heavy")
	d.path("M0 11V17", "wire dashed-short")
	d.line(-13, 17, 13, 17, "wire")
	d.line(-6, 22, 6, 22, "wire heavy")
	d.text(-18, 9, end, "small", "+")
	d.text(-18, 25, end, "small", "−")
}

// array is a photovoltaic generator: a box with a cell in it, and light falling on it. It hangs above (0, 0).
func (d *drawing) array() {
	d.rect(-20, 0, 40, 34, "wire hollow")
	d.line(0, 0, 0, 14, "wire")
	d.line(-9, 14, 9, 14, "wire")
	d.line(-4, 19, 4, 19, "wire heavy")
	d.line(0, 19, 0, 28, "wire")
	for _, x := range []float64{-34, -28} {
		d.line(x-2, 6, x+8, 14, "wire")
		d.path("M"+px(x+8)+" 14l-5 -1l2 -3z", "wire dark")
	}
}

// earth is the sign of the earth.
func (d *drawing) earth() {
	d.line(0, 0, 0, 10, "wire")
	d.line(-9, 10, 9, 10, "wire")
	d.line(-6, 13.5, 6, 13.5, "wire")
	d.line(-3, 17, 3, 17, "wire")
}
