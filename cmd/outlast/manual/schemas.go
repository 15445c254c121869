package manual

import (
	"outlast/backup/sheet/record"
	"outlast/backup/site"
	"outlast/catalog"
)

// A Schema is a kind of file that a schema tells of.
type Schema struct {
	Name  string
	Short string                // what the files are
	Of    func() map[string]any // the schema itself
}

// Schemas are the kinds of file that a schema tells of, the one that is printed unless another is asked for first.
var Schemas = []Schema{
	{"site", "a site file", func() map[string]any {
		return site.FileKeys().Schema("urn:outlast:schema:site", "Site file of outlast")
	}},
	{"catalog", "a file of equipment, as --catalog takes it", func() map[string]any {
		return catalog.FileKeys().Schema("urn:outlast:schema:catalog", "Catalog of outlast")
	}},
	{"plan", "what outlast plan --format json prints",
		func() map[string]any { return record.PlanSchema("urn:outlast:schema:plan", "Plan of outlast") }},
	{"record", "a line of what outlast plan --format jsonl prints", func() map[string]any {
		return record.RecordSchema("urn:outlast:schema:record", "A home of many, planned by outlast")
	}},
}
