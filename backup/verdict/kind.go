package verdict

import (
	"slices"
	"strings"
)

// A Kind is a sort of check: what it compares, what it depends on, and where it stands on paper. Searches leave out
// what a check does not depend on, so a new check belongs into the table before it is made; a test holds every check of
// every plan to it.
type Kind struct {
	// ID is that of its checks; ending in "-" it is what their ids begin with: the cable to a circuit, one tracker
	// input of several.
	ID    string
	Units []string // that its checks have
	Group Group
	Means Trouble // in daily life, where it fails
	On    Dependence
}

// Dependence is what a check depends on, as far as somebody asks.
type Dependence uint16

// What a check may depend on.
const (
	// OnStrings: on the number of strings. A bank that the planner sizes grows with the split, so one more circuit may
	// bring a string with which such a check passes again.
	OnStrings Dependence = 1 << iota
	// HelpedByStrings: more strings may end its failure; of others that depend on strings they make it worse.
	HelpedByStrings
	// OnCapacity: on what the sizing counts strings for. Other checks of the bank may fail where the capacity is
	// enough.
	OnCapacity
	// OnPhases: on how the circuits stand on the phases.
	OnPhases
	// OnInverterAlone: on loads and inverters, whatever the bank.
	OnInverterAlone
	// OnEquipment: on which inverters and batteries there are. Others are the same whatever is bought.
	OnEquipment
	// OnWays: on the number of ways of the backup board.
	OnWays

	// OfShare: its figures are shares, which people read in per cent.
	OfShare
	// NarrowScale: from good to bad is a small part of the limit, so that its margin is no measure beside others.
	NarrowScale
	// Reach: its demand is a goal to be reached by the limit, so a failing one is short of it, and not over.
	Reach

	// MetThoughOpen: it may be a caution for want of a figure beside a comparison that is met.
	MetThoughOpen
	// AskElectrician: what it lacks is known on site, and not to the supplier.
	AskElectrician
)

// A Group is where a check stands on the papers.
type Group string

// The groups, in the order in which a designer reads them: [Groups].
const (
	OfInverter  Group = "inverter"
	OfBank      Group = "bank"
	OfBoard     Group = "board"
	OfArray     Group = "array"
	OfGenerator Group = "generator"
	OfCables    Group = "cable"
	OfOther     Group = "other"
)

// Groups are all groups in the order of the papers.
func Groups() []Group {
	return []Group{OfInverter, OfBank, OfBoard, OfArray, OfGenerator, OfCables, OfOther}
}

// Trouble is what a failing check means in daily life.
type Trouble string

// The troubles.
const (
	TroublePower     Trouble = "power"     // too much at once
	TroubleStart     Trouble = "start"     // something does not start
	TroubleBattery   Trouble = "battery"   // it is empty too early
	TroubleGrid      Trouble = "grid"      // too much passes through while the grid is there
	TroubleTransfer  Trouble = "transfer"  // what does not ride through the changeover
	TroubleBoard     Trouble = "board"     // more circuits than ways
	TroubleCare      Trouble = "care"      // the battery suffers
	TroubleCold      Trouble = "cold"      // the battery stands too cold
	TroubleAir       Trouble = "air"       // hydrogen gathers
	TroubleVolts     Trouble = "volts"     // battery and inverter do not suit each other
	TroubleArray     Trouble = "array"     // strings and tracker input
	TroubleGenerator Trouble = "generator" // it does not bear or start the house
	TroubleCable     Trouble = "cable"     // conductors and devices
)

// Unworkable is the id that stands for a plan that cannot be made at all.
const Unworkable = "plan"

var kinds = []Kind{
	{"inverter-continuous", []string{"VA"}, OfInverter, TroublePower, OnPhases | OnInverterAlone | OnEquipment},
	{"inverter-continuous-w", []string{"W"}, OfInverter, TroublePower, OnPhases | OnInverterAlone | OnEquipment},
	{"inverter-surge", []string{"VA"}, OfInverter, TroubleStart, OnPhases | OnInverterAlone | OnEquipment},
	{"inverter-restart", []string{"VA"}, OfInverter, TroubleStart, OnPhases | OnInverterAlone | OnEquipment},
	{"pass-through", []string{"A"}, OfInverter, TroubleGrid, OnPhases | OnInverterAlone | OnEquipment},
	{"ac-input", []string{"A"}, OfInverter, TroubleGrid, OnPhases | OnEquipment},
	{"phase-balance", []string{""}, OfInverter, TroublePower, OnPhases | OfShare},
	{"transfer-time", []string{"ms"}, OfInverter, TroubleTransfer, OnInverterAlone | OnEquipment},

	{"dc-current", []string{"A"}, OfBank, TroublePower, OnStrings | HelpedByStrings | OnEquipment | MetThoughOpen},
	{"dc-surge-current", []string{"A"}, OfBank, TroubleStart,
		OnStrings | HelpedByStrings | OnEquipment | MetThoughOpen},
	{"dc-window-high", []string{"V"}, OfBank, TroubleVolts, OnEquipment},
	{"dc-window-low", []string{"V"}, OfBank, TroubleVolts, OnEquipment},
	{"dc-cutoff", []string{"V"}, OfBank, TroubleStart, OnStrings | HelpedByStrings | OnEquipment | NarrowScale},
	{"surge-sag", []string{"V"}, OfBank, TroubleStart, OnStrings | HelpedByStrings | OnEquipment | NarrowScale},
	{"bank-capacity", []string{"Ah"}, OfBank, TroubleBattery, OnStrings | HelpedByStrings | OnCapacity | OnEquipment},
	{"autonomy", []string{"h"}, OfBank, TroubleBattery, OnStrings | HelpedByStrings | OnCapacity | OnEquipment | Reach},
	{"bank-charge-rate", []string{"A/Ah"}, OfBank, TroubleCare, OnStrings | HelpedByStrings | OnEquipment},
	{"bank-chemistry", []string{""}, OfBank, TroubleCare, OnEquipment},
	{"bank-parallel", []string{"strings"}, OfBank, TroubleCare, OnStrings | OnEquipment},
	{"bank-temperature", []string{"C"}, OfBank, TroubleCold, OnEquipment},
	{"ventilation", []string{"cm2"}, OfBank, TroubleAir, OnStrings | OnEquipment | AskElectrician},

	{"board-ways", []string{"circuits"}, OfBoard, TroubleBoard, OnWays},
	{"circuit-breaker", []string{"A"}, OfBoard, TroubleCable, MetThoughOpen | AskElectrician},
	{"slip-", []string{"VA", "W"}, OfBoard, TroubleCable, OnEquipment},

	{"string-", []string{"", "A", "V", "W"}, OfArray, TroubleArray, OnEquipment},
	{"generator-", []string{"%", "A", "VA", "W"}, OfGenerator, TroubleGenerator, OnPhases},
	{"cable-", []string{"%", "A"}, OfCables, TroubleCable, OnPhases | MetThoughOpen | AskElectrician},

	{Unworkable, []string{""}, OfOther, TroubleCable, OnEquipment},
}

// KindOf is the kind of a check by its id; ok is false for one that nobody has put into the table.
func KindOf(id string) (k Kind, ok bool) {
	for _, k := range kinds {
		if k.ID == id || strings.HasSuffix(k.ID, "-") && strings.HasPrefix(id, k.ID) {
			return k, true
		}
	}
	return Kind{ID: id, Group: OfOther, Means: TroubleCable, On: OnPhases | OnEquipment}, false
}

// Depends says whether a check, by its id, depends on all of what is asked.
func Depends(id string, on Dependence) bool {
	k, _ := KindOf(id)
	return k.On&on == on
}

// standing are the checks that compare what no inverter and no battery changes, where they fail: the loads with the
// generator, the circuits with the board and with their own breakers. Chargers are of an inverter, and too much for a
// generator they are a caution at most, as they can be set lower. Cables of circuits are of these as well: what they carry hangs
// on no equipment. How much voltage they may lose does, as the inverter's rating sets what is lost before the board;
// where another inverter cures a cable, the search finds that it does not stand.
var standing = []string{"generator-running", "generator-start", "board-ways", "circuit-breaker"}

// Stands says whether a check, by its id, that fails does so whatever inverters and batteries there are: a search for
// equipment tells it, and looks for what passes everything else.
func Stands(id string) bool { return slices.Contains(standing, id) || Common(id) == AnyCircuit }

// IDsOn are the ids of all kinds that depend on all of what is asked, in the order of the sheet; of all kinds for 0.
func IDsOn(on Dependence) []string {
	var out []string
	for _, k := range kinds {
		if k.On&on == on {
			out = append(out, k.ID)
		}
	}
	return out
}

// Family is what a check's id has in common with others of its kind, "cable-" or "string-"; "" where it is the only
// one.
func Family(id string) string {
	if k, ok := KindOf(id); ok && strings.HasSuffix(k.ID, "-") {
		return k.ID
	}
	return ""
}

// The names in every home of the checks that each home has of its own loads or circuits.
const (
	AnySlip    = "slip"
	AnyCircuit = "cable-circuit"
)

// homesOwn are the families whose checks a home has of its own loads or circuits: what those are called in every home,
// and which checks of the family are the same everywhere, with # in the place of a number.
var homesOwn = map[string]struct {
	any        string
	everywhere []string
}{
	"slip-":  {AnySlip, nil},
	"cable-": {AnyCircuit, []string{"cable-bank", "cable-feeder", "cable-input", "cable-array-#"}},
}

// Common is what a check, by its id, is called in every home: the number of an array or input, the circuit of a cable
// and the load that is held off are left out.
func Common(id string) string {
	family := Family(id)
	if family == "" {
		return id
	}
	name, numbered := id, id
	if at := strings.LastIndexByte(id, '-'); at >= len(family)-1 && at+1 < len(id) &&
		strings.Trim(id[at+1:], "0123456789") == "" {
		name, numbered = id[:at], id[:at]+"-#"
	}
	if own, ok := homesOwn[family]; ok && !slices.Contains(own.everywhere, numbered) {
		return own.any
	}
	return name
}

// GroupOf is where a check stands on the papers.
func GroupOf(id string) Group {
	k, _ := KindOf(id)
	return k.Group
}
