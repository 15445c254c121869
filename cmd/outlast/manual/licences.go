package manual

import _ "embed" // for the list of licences

// Licences lists what the program is made of besides its own source, over a line of dashes, and holds the licence of
// each below it. It is written by a test, which holds it against what is linked for every system.
//
//go:embed licences.txt
var Licences string

// BelowList parts the list from the texts.
const BelowList = "----\n"
