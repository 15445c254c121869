package tabular

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"outlast/catalog/strict"
)

// signs is what is known of the decimal sign of a table. It is one for the whole table, never told cell by cell.
type signs struct {
	given  rune // by the user
	found  rune // '.' or ','; 0: no cell has proved one
	line   int  // where it was proved
	proof  string
	proven []bool // by column: a cell of it proves that sign
}

// look takes a row's cells into account.
func (s *signs) look(line int, cells []Cell) {
	for col, c := range cells {
		if c.Typed || c.Text == "" || c.Text[0] < '+' || c.Text[0] > '9' {
			continue
		}
		digits, _ := cutNumber(c.Text)
		sign := decimalOf(digits)
		if sign == 0 {
			continue
		}
		if s.found == 0 {
			s.found, s.line, s.proof = sign, line, digits
		}
		if sign == s.found {
			for len(s.proven) <= col {
				s.proven = append(s.proven, false)
			}
			s.proven[col] = true
		}
	}
}

// NoThousands says that no figure of a column can have marks for thousands, as its unit allows nothing so large: 50.204
// volts of a battery have three decimals.
func (t *Table) NoThousands(col int) {
	for len(t.signs.proven) <= col {
		t.signs.proven = append(t.signs.proven, false)
	}
	t.signs.proven[col] = true
}

// cutNumber parts a text into the figure with which it begins, as it stands, and what follows.
func cutNumber(text string) (digits, rest string) {
	end := 0
	for i := 0; i < len(text); {
		r, n := utf8.DecodeRuneInString(text[i:])
		switch {
		case r >= '0' && r <= '9':
			end = i + n
		case i == 0 && (r == '+' || r == '-' || r == '\u2212'):
		case r == '.' || r == ',':
			if i+n >= len(text) || !isDigit(text[i+n]) {
				return text[:end], text[end:]
			}
		case r == '\'' || r == '’' || r == ' ' || r == '\u00a0' || r == '\u202f' || r == '\u2009':
			// A mark for thousands stands before three digits and no more.
			next := text[i+n:]
			if end == 0 || len(next) < 3 || !isDigit(next[0]) || !isDigit(next[1]) || !isDigit(next[2]) ||
				len(next) > 3 && isDigit(next[3]) {
				return text[:end], text[end:]
			}
		default:
			return text[:end], text[end:]
		}
		i += n
	}
	return text[:end], text[end:]
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }

// decimalOf is the decimal sign that a figure proves, or 0.
func decimalOf(digits string) rune {
	point, comma := strings.Count(digits, "."), strings.Count(digits, ",")
	last := rune('.')
	if strings.LastIndexByte(digits, ',') > strings.LastIndexByte(digits, '.') {
		last = ','
	}
	other := map[rune]rune{'.': ',', ',': '.'}
	switch {
	case point+comma == 0:
		return 0
	case point > 0 && comma > 0:
		if _, ok := plain(digits, last); ok {
			return last
		}
		return 0
	case point+comma > 1: // marks for thousands: the other is decimal
		if _, ok := plain(digits, other[last]); ok {
			return other[last]
		}
		return 0
	case mayGroup(digits, string(last)):
		return 0
	}
	if _, ok := plain(digits, last); ok {
		return last
	}
	return 0
}

// mayGroup says whether the one sign in a figure may be a mark for thousands: three digits behind it, and one to three
// before, of which the first is not 0.
func mayGroup(digits, sign string) bool {
	before, behind, _ := strings.Cut(strings.TrimLeft(digits, "+-\u2212"), sign)
	return len(behind) == 3 && before != "" && len(before) <= 3 && before[0] != '0'
}

// plain is a figure as the language of the machine has it, if that decimal sign makes a figure of it.
func plain(digits string, decimal rune) (string, bool) {
	whole, part, has := strings.Cut(digits, string(decimal))
	if has && (part == "" || strings.ContainsFunc(part, func(r rune) bool { return r < '0' || r > '9' })) {
		return "", false
	}
	sign := ""
	switch {
	case strings.HasPrefix(whole, "-"):
		whole, sign = whole[1:], "-"
	case strings.HasPrefix(whole, "\u2212"):
		whole, sign = whole[len("\u2212"):], "-"
	case strings.HasPrefix(whole, "+"):
		whole = whole[1:]
	}
	groups := strings.FieldsFunc(whole, func(r rune) bool { return r < '0' || r > '9' })
	if len(groups) > 1 {
		for i, g := range groups {
			if i > 0 && len(g) != 3 || i == 0 && (len(g) > 3 || g[0] == '0') {
				return "", false
			}
		}
	}
	if len(groups) == 0 && !has {
		return "", false
	}
	whole = strings.Join(groups, "")
	if !has {
		return sign + whole, true
	}
	return sign + whole + "." + part, true
}

// Number reads the figure with which a cell begins, and what stands behind it. ok is false if something was reported,
// or where there is no figure.
func (t *Table) Number(col int) (v float64, behind string, ok bool) {
	c := t.Cell(col)
	v, behind, msg, hint := t.signs.number(c, col)
	if msg != "" {
		t.Report(col, hint, "%s", msg)
		return 0, "", false
	}
	return v, behind, true
}

// number reads the figure of a cell; msg says what is wrong.
func (s *signs) number(c Cell, col int) (v float64, behind, msg, hint string) {
	if c.Typed {
		v, err := strconv.ParseFloat(c.Text, 64)
		if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
			return 0, "", "found " + strict.Quote(c.Text) + ", want a number", ""
		}
		return v, "", "", ""
	}
	if v, ok := s.quick(c.Text, col); ok {
		return v, "", "", ""
	}
	digits, rest := cutNumber(c.Text)
	if digits == "" {
		return 0, "", "found " + strict.Quote(c.Text) + ", want a number", ""
	}
	decimal := s.given
	if decimal == 0 {
		decimal = s.found
	}
	const settle = "say which with --decimal point or --decimal comma, or write it without a mark for thousands"
	proves := decimalOf(digits)
	if at := strings.LastIndexAny(digits, ".,"); decimal == 0 && proves == 0 && at >= 0 && col < len(s.proven) &&
		s.proven[col] {
		proves = rune(digits[at])
	}
	switch {
	case decimal == 0 && proves != 0:
		s.found, s.proof = proves, digits // the beginning of the table proves none
		decimal = proves
	case decimal == 0 && strings.ContainsAny(digits, ".,"):
		return 0, "",
			fmt.Sprintf("found %s, which may be meant for thousands or for decimals, and no other figure tells",
				strict.Quote(digits)), settle
	case s.given == 0 && proves == 0 && strings.ContainsRune(digits, decimal) &&
		(col >= len(s.proven) || !s.proven[col]):
		return 0, "",
			fmt.Sprintf("found %s, which may be meant for thousands or for decimals: no other figure of its column tells",
				strict.Quote(digits)), settle
	case proves != 0 && proves != decimal:
		where := ""
		if s.line > 0 {
			where = fmt.Sprintf(", as %s in line %d tells", strict.Quote(s.proof), s.line)
		}
		return 0, "", fmt.Sprintf("found %s, but the decimal sign of this table is %q%s", strict.Quote(digits), decimal,
			where), settle
	}
	if decimal == 0 {
		decimal = '.'
	}
	number, ok := plain(digits, decimal)
	if !ok {
		return 0, "", "found " + strict.Quote(digits) + ", want a number", ""
	}
	if rest != "" && (rest[0] == 'e' || rest[0] == 'E') { // as programs write what is very small
		if n := exponent(rest); n > 0 {
			number, rest = number+rest[:n], rest[n:]
		}
	}
	v, err := strconv.ParseFloat(number, 64)
	if err != nil || math.IsInf(v, 0) {
		return 0, "", "found " + strict.Quote(c.Text) + ", want a number", ""
	}
	return v, trimmed(rest), "", ""
}

// powers of ten by which a whole number up to 2^53 is divided with one rounding, as the exact way does.
var powers = [...]float64{1, 10, 100, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

// quick reads a figure of digits with at most one decimal sign that cannot be a mark for thousands: what nearly all
// cells of a log are.
func (s *signs) quick(text string, col int) (v float64, ok bool) {
	if len(text) > 15 {
		return 0, false
	}
	m, i, negative := int64(0), 0, false
	if i < len(text) && text[i] == '-' {
		i, negative = 1, true
	}
	point := -1
	for first := i; i < len(text); i++ {
		b := text[i]
		switch {
		case b >= '0' && b <= '9':
			m = m*10 + int64(b-'0')
		case point < 0 && i > first && rune(b) == s.found && s.given == 0 && col < len(s.proven) && s.proven[col]:
			point = i
		default:
			return 0, false
		}
	}
	behind := 0
	if point >= 0 {
		behind = len(text) - point - 1
	}
	if last := len(text) - 1; last < 0 || text[last] < '0' || text[last] > '9' {
		return 0, false
	}
	if v = float64(m) / powers[behind]; negative {
		v = -v
	}
	return v, true
}

// exponent is how many bytes an exponent takes; 0: there is none.
func exponent(s string) int {
	n := 1
	if n < len(s) && (s[n] == '+' || s[n] == '-') {
		n++
	}
	first := n
	for n < len(s) && isDigit(s[n]) {
		n++
	}
	if n == first {
		return 0
	}
	return n
}
