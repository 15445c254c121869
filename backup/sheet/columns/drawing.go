package columns

import (
	"fmt"
	"strconv"
	"strings"
)

// Chart draws shares from 0 to 1 over minutes with plain characters: a column shows the least of its minutes.
func Chart(soc []float64, width int) []string {
	const rows, left = 10, 5
	columns := min(width-left-1, len(soc))
	if columns < 1 {
		return nil
	}
	least := make([]float64, columns)
	for c := range least {
		from, to := c*len(soc)/columns, (c+1)*len(soc)/columns
		least[c] = 1
		for _, v := range soc[from:max(to, from+1)] {
			least[c] = min(least[c], v)
		}
	}
	var lines []string
	for row := rows; row >= 1; row-- {
		var b strings.Builder
		fmt.Fprintf(&b, "%4d |", row*100/rows)
		for _, v := range least {
			if v*rows >= float64(row)-0.5 {
				b.WriteByte('#')
			} else {
				b.WriteByte(' ')
			}
		}
		lines = append(lines, strings.TrimRight(b.String(), " "))
	}
	lines = append(lines, "   0 +"+strings.Repeat("-", columns))
	hours := float64(len(soc)-1) / 60
	axis := []byte(strings.Repeat(" ", columns+6))
	for i := 0; i <= 4; i++ {
		mark := fmt.Sprintf("%.4g", hours*float64(i)/4)
		at := left + 1 + (columns-1)*i/4 - len(mark)/2
		at = max(left+1, min(at, len(axis)-len(mark)))
		copy(axis[at:], mark)
	}
	return append(lines, strings.TrimRight(string(axis), " "))
}

// Units of a string and strings that are drawn one by one; of more, the first two and the last.
const mostDrawn = 4

// BankWiring shows how the units are joined: a line of boxes for each string, plus on the left of each box. The plus
// of the bank is taken from the first string and its minus from the last, so that the way through every string is as
// long.
func BankWiring(series, parallel int) []string {
	digits := len(strconv.Itoa(series * parallel))
	boxes := func(str int) string {
		var b []byte
		for _, n := range drawn(series) {
			if n == 0 {
				b = append(b, " ... --"...)
				continue
			}
			b = fmt.Appendf(b, "[%*d]--", digits, (str-1)*series+n)
		}
		return string(b)
	}
	if parallel == 1 {
		return []string{"(+)--" + boxes(1) + "(-)"}
	}
	var out []string
	width := len(boxes(1))
	gap := func(mark string) string {
		return "     " + mark + strings.Repeat(" ", width+2) + mark
	}
	for _, n := range drawn(parallel) {
		if len(out) > 0 {
			out = append(out, gap("|"))
		}
		switch n {
		case 0:
			out = append(out, gap(":"))
		case 1:
			out = append(out, "(+)--+--"+boxes(n)+"+")
		case parallel:
			out = append(out, "     +--"+boxes(n)+"+--(-)")
		default:
			out = append(out, "     +--"+boxes(n)+"+")
		}
	}
	return out
}

// drawn lists which of n things are drawn, from 1; 0 stands for those that are left out.
func drawn(n int) []int {
	var out []int
	for i := 1; i <= n; i++ {
		switch {
		case n <= mostDrawn || i <= 2 || i == n:
			out = append(out, i)
		case i == 3:
			out = append(out, 0)
		}
	}
	return out
}
