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
	{"summary", "what outlast plan --summary --format json prints", func() map[string]any {
		return record.SummarySchema("urn:outlast:schema:summary", "Many homes counted by outlast")
	}},
	{"size", "what outlast size --format json prints", func() map[string]any {
		return record.SizeSchema("urn:outlast:schema:size", "Equipment for a home, found by outlast")
	}},
	{"outage", "what outlast outage --format json prints", func() map[string]any {
		return record.OutageSchema("urn:outlast:schema:outage", "An outage followed by outlast")
	}},
	{"starts", "the same with --every-start", func() map[string]any {
		return record.StartsSchema("urn:outlast:schema:starts", "Outages from every hour of a year, followed by outlast")
	}},
	{"compare", "what outlast compare --format json prints", func() map[string]any {
		return record.CapacitySchema("urn:outlast:schema:compare", "The log of a bank beside its plan")
	}},
	{"meter", "what outlast import meter --format json prints", func() map[string]any {
		return record.MeterSchema("urn:outlast:schema:meter", "What a meter tells of a home, read by outlast")
	}},
}
