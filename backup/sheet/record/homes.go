package record

import (
	"bytes"
	"encoding/json"
	"strconv"
	"strings"

	"outlast/backup"
	"outlast/backup/verdict"
)

// Of many homes each is one line: a record of JSON ([Record]), or a row of CSV ([HomeHead], [HomeRow]). Both hold what
// follows at once; what takes studies of its own, such as options, recharge and what each circuit costs, is in the plan
// of a single home.

// recordJSON is a home of many.
type recordJSON struct {
	File string `json:"file" doc:"name of the site file"`
	coreJSON
	Bank     bankJSON   `json:"bank"`
	Circuits []circJSON `json:"circuits"`
}

// Record is a home as one line of JSON, with the names and shapes of the plan's own JSON.
func Record(p *backup.Plan) ([]byte, error) {
	var b bytes.Buffer
	err := json.NewEncoder(&b).Encode(recordJSON{File: p.Site.File, coreJSON: toCore(p), Bank: bankToJSON(p),
		Circuits: circuitsJSON(p)})
	return escaped(b.Bytes()), err
}

// A homeColumn is a column of the table of many homes.
type homeColumn struct {
	name  string
	value func(p *backup.Plan) string
}

func textColumn(name string, value func(p *backup.Plan) string) homeColumn {
	return homeColumn{name, func(p *backup.Plan) string { return Guard(value(p)) }}
}

// numberColumn leaves the cell of a number that is not known empty.
func numberColumn(name string, value func(p *backup.Plan) float64) homeColumn {
	return homeColumn{name, func(p *backup.Plan) string { return Decimal(value(p)) }}
}

var homeColumns = []homeColumn{
	textColumn("file", func(p *backup.Plan) string { return p.Site.File }),
	textColumn("site", func(p *backup.Plan) string { return p.Site.Name }),
	textColumn("verdict", func(p *backup.Plan) string { return string(p.Verdict()) }),
	numberColumn("fails", func(p *backup.Plan) float64 { return float64(len(p.With(verdict.Fail))) }),
	numberColumn("cautions", func(p *backup.Plan) float64 { return float64(len(p.With(verdict.Caution))) }),
	textColumn("failing", func(p *backup.Plan) string {
		var ids []string
		for _, c := range p.With(verdict.Fail) {
			ids = append(ids, c.ID)
		}
		return strings.Join(ids, "; ")
	}),
	numberColumn("month", func(p *backup.Plan) float64 { return float64(p.Month) }),
	numberColumn("required_h", func(p *backup.Plan) float64 { return p.Site.Outage.AutonomyH }),
	numberColumn("autonomy_h", func(p *backup.Plan) float64 { return p.Bank.AutonomyH }),
	numberColumn("autonomy_least_h", func(p *backup.Plan) float64 {
		h, _, err := p.LeastAutonomy()
		return orNaN(h, err == nil)
	}),
	numberColumn("autonomy_new_h", func(p *backup.Plan) float64 { return p.Bank.AutonomyNewH }),
	textColumn("at_least", func(p *backup.Plan) string { return strconv.FormatBool(p.Bank.AutonomyCap) }),
	numberColumn("energy_wh_per_day", func(p *backup.Plan) float64 { return p.Demand.EnergyWhPerDay }),
	numberColumn("connected_w", func(p *backup.Plan) float64 { return p.Demand.Connected.W }),
	numberColumn("scheduled_w", func(p *backup.Plan) float64 { return p.Demand.Scheduled.W }),
	numberColumn("scheduled_va", func(p *backup.Plan) float64 { return p.Demand.Scheduled.VA }),
	numberColumn("probable_w", func(p *backup.Plan) float64 { return p.Demand.ProbableW }),
	textColumn("start", func(p *backup.Plan) string {
		if p.Starts.Worst < 0 {
			return ""
		}
		return p.Starts.All[p.Starts.Worst].Load
	}),
	numberColumn("start_va", func(p *backup.Plan) float64 {
		if p.Starts.Worst < 0 {
			return 0
		}
		return p.Starts.All[p.Starts.Worst].VA
	}),
	numberColumn("pass_through_a", func(p *backup.Plan) float64 { return p.Grid.PassThroughA }),
	textColumn("inverter", func(p *backup.Plan) string { return p.Inverter.Unit.ID }),
	numberColumn("count", func(p *backup.Plan) float64 { return float64(p.Inverter.Count) }),
	numberColumn("derated_w", func(p *backup.Plan) float64 { return p.Inverter.DeratedW() }),
	numberColumn("derated_va", func(p *backup.Plan) float64 { return p.Inverter.DeratedVA() }),
	textColumn("battery", func(p *backup.Plan) string { return p.Bank.Unit.ID }),
	textColumn("chemistry", func(p *backup.Plan) string { return string(p.Bank.Unit.Chemistry) }),
	numberColumn("series", func(p *backup.Plan) float64 { return float64(p.Bank.Series) }),
	numberColumn("strings", func(p *backup.Plan) float64 { return float64(p.Bank.Strings) }),
	numberColumn("units", func(p *backup.Plan) float64 { return float64(p.Bank.Units()) }),
	numberColumn("required_ah", func(p *backup.Plan) float64 { return p.Bank.Sizing.RequiredAh }),
	numberColumn("installed_ah", func(p *backup.Plan) float64 { return p.Bank.CapacityAh() }),
	numberColumn("circuits", func(p *backup.Plan) float64 { return float64(len(p.Circuits)) }),
	numberColumn("on_backup", func(p *backup.Plan) float64 { return float64(len(p.Carried())) }),
	numberColumn("price", func(p *backup.Plan) float64 {
		price, ok := p.Price()
		return orNaN(price, ok)
	}),
}

// HomeHead is the head of the table of many homes.
func HomeHead() []string {
	var head []string
	for _, c := range homeColumns {
		head = append(head, c.name)
	}
	return head
}

// HomeRow is a home in that table, ready for [WriteRows].
func HomeRow(p *backup.Plan) []string {
	var row []string
	for _, c := range homeColumns {
		row = append(row, c.value(p))
	}
	return row
}
