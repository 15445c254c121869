package strict

// Most files are written with little of what TOML allows: one-line texts without escapes, decimal numbers, lists,
// headers in a row. Of those the tree has the values already, and to read them a second time would take as long as
// everything else that is done with them.

// evident says of a file that was built into a tree without a problem that the value reader would find nothing else in
// it. Where it is in doubt it says no.
func evident(src []byte, root *node) bool { return evidentText(src) && root.evident() }

// evidentText says that no text has an escape or several lines, nothing is in single quotes, no inline table has several
// lines or a comma at its end, and no character is one that a file may not have.
func evidentText(src []byte) bool {
	var quoted, comment bool
	braces := 0
	last := byte(0) // outside of texts and comments, but for spaces
	for i, c := range src {
		switch {
		case c < ' ' && c != '\n' && c != '\t' || c == 0x7f:
			return false
		case c == '\n':
			if quoted || braces != 0 {
				return false
			}
			comment, last = false, c
		case comment:
		case quoted:
			if c == '\\' {
				return false
			}
			quoted = c != '"'
		case c == '\'':
			return false
		case c == '"':
			if i >= 2 && src[i-1] == '"' && src[i-2] == '"' { // of a text of several lines
				return false
			}
			quoted, last = true, c
		case c == '#':
			comment = true
		case c == '}' && last == ',':
			return false
		case c == '{':
			braces, last = braces+1, c
		case c == '}':
			braces, last = braces-1, c
		case c != ' ' && c != '\t':
			last = c
		}
	}
	return !quoted && braces == 0
}

// evident says the same of a value: no table came about by the header of one within it, none of a dotted key has a header
// within, nothing has two headers, names are plain, and numbers have few decimal digits.
func (n *node) evident() bool {
	if len(n.again) > 0 || n.how == implied {
		return false
	}
	switch n.form {
	case formText, formSwitch:
	case formWhole, formFraction:
		return evidentNumber(n.text)
	case formList:
		for _, item := range n.items {
			if !item.evident() {
				return false
			}
		}
	case formTable:
		for name, child := range n.keys {
			if !evidentName(name) || n.how == dotted && child.how == headed || !child.evident() {
				return false
			}
		}
	default:
		return false
	}
	return true
}

func evidentName(name string) bool {
	for _, c := range []byte(name) {
		if !(c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '_' || c == '-') {
			return false
		}
	}
	return name != ""
}

// evidentNumber says that a number is a few digits, maybe with a sign before them and a point between them.
func evidentNumber(text string) bool {
	if text != "" && text[0] == '-' {
		text = text[1:]
	}
	if len(text) > 18 || text == "" || !isDigit(text[0]) || !isDigit(text[len(text)-1]) ||
		len(text) > 1 && text[0] == '0' && text[1] != '.' {
		return false
	}
	points := 0
	for i := range len(text) {
		switch {
		case text[i] == '.':
			points++
		case !isDigit(text[i]):
			return false
		}
	}
	return points <= 1
}
