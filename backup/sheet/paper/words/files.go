//go:build !js

package words

import "embed"

// files are the tables: texts by their ids, sentences and labels by their English, the glossary by its terms.
//
//go:embed texts sentences labels glossary american
var files embed.FS
