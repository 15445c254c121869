//go:build !js

package words

import "embed"

// files are the tables: texts by their ids, sentences, labels and what they are called by their English, the glossary by its terms.
//
//go:embed texts sentences labels called glossary american
var files embed.FS
