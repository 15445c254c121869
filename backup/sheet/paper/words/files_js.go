package words

import "embed"

// files are the tables that an engine inside a page needs: no papers are made there. A test of package live holds them
// against what it asks for, and one of package tablepage those sentences that are left out.
//
//go:embed texts/checks.toml texts/common.toml texts/live.toml texts/owner.toml texts/page.toml texts/safety.toml
//go:embed sentences/[^cew]*.toml sentences/charging.toml sentences/circuits.toml sentences/conductors.toml
//go:embed sentences/every-start.toml sentences/working.toml labels called american
var files embed.FS
