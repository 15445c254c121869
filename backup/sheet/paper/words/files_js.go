package words

import "embed"

// files are the tables that an engine inside a page needs: no papers are made there. A test of package live holds them
// against what it asks for.
//
//go:embed texts/checks.toml texts/common.toml texts/live.toml texts/owner.toml texts/page.toml texts/safety.toml
//go:embed sentences labels american
var files embed.FS
