package catalog_test

import "math"

// The texts in which figures of appliances were read. The figures are nameplate or typical ones of their time and
// place, mostly North America between 1980 and 2025.
const (
	doe = "US Department of Energy, Estimating appliance and home electronic energy use, " +
		"its list as repeated by a city and by cooperatives"
	utility    = "a utility on Long Island, Electronics energy guide"
	coop       = "a rural electric cooperative, chart for the size of a generator"
	homeList   = "This Old House, list of running and additional starting watts"
	household  = "Grit, Wattage per household appliance"
	courant    = "Hartford Courant, 2012-10-13"
	ratings    = "a public page on appliance ratings"
	secondCoop = "a second cooperative (CWREMC), appliance electric usage"
	nbPower    = "NB Power, Generators"
	manitoba   = "Manitoba Hydro, Standby electric generators"
	farmer     = "Today's Farmer, Generators on the farm"
	extension  = "North Dakota State University Extension, December 2022: 1000 W to run and 4000 W to start per hp"
	smeco      = "SMECO, generators: central air and heat pumps start above 10,000 W across the line"
	portable   = "operator's manual of a portable generator, approximate motor watts by type"
	genset     = "generator-set application manual, 2007, table 4"
	nec248     = "NEC table 430.248, full-load current at 230 V, times 230 V"
	nec251     = "NEC table 430.251(A), locked-rotor current at 230 V, times 230 V"
	shaft      = "746 W per hp: a motor takes no less than it gives"
	health     = "a health-information page"
	public     = "a public page on CPAP machines"
	measured   = "a user's measurement of a CPAP machine: 0.15 kWh in 4 h 32 min"
	waterHeat  = "two utilities' lists"
	worked     = "a worked example of a UK house: shower of 7.2 kW"
	kettleList = "a Canadian consumption list"
	oven       = "appliance test page: 1406 W drawn for 1000 W of output"
)

// A figure that is published: running W or starting VA (lists print W and size sets by it; it is held against the VA),
// from and to.
type published struct {
	class    string
	starting bool
	from, to float64
	source   string
}

const runs, starts = false, true

// What is published of the classes. Where a list tells what a start adds, it stands here with the running watts added.
var publishedFigures = []published{
	{"fridge", runs, 200, 1000, utility + "; " + courant},
	{"fridge", starts, 750, 2300, coop + "; " + homeList},
	{"fridge-freezer", runs, 200, 200, utility},
	{"fridge-freezer", runs, 500, 500, coop},
	{"fridge-freezer", runs, 350, 800, nbPower},
	{"fridge-freezer", runs, 725, 725, doe},
	{"fridge-freezer", runs, 800, 800, homeList},
	{"fridge-freezer", runs, 1000, 1000, courant},
	{"fridge-freezer", starts, 750, 750, coop},
	{"fridge-freezer", starts, 3100, 3100, homeList},
	{"fridge-freezer", starts, 1500, 1500, household},
	{"fridge-freezer", starts, 1050, 2400, nbPower},
	{"fridge-freezer", starts, 2500, 2500, manitoba},
	{"fridge-freezer", starts, 1200, 1500, farmer},
	{"fridge-freezer-large", runs, 200, 200, utility},
	{"fridge-freezer-large", runs, 725, 725, doe},
	{"fridge-freezer-large", starts, 1050, 2400, nbPower},
	{"fridge-freezer-large", starts, 2500, 2500, manitoba},
	{"fridge-freezer-old", runs, 350, 800, nbPower},
	{"fridge-freezer-old", runs, 725, 725, doe},
	{"fridge-freezer-old", starts, 1050, 2400, nbPower},
	{"fridge-freezer-old", starts, 3100, 3100, homeList},
	{"chest-freezer", runs, 335, 335, ratings},
	{"chest-freezer", runs, 300, 700, nbPower},
	{"chest-freezer", runs, 800, 800, household},
	{"chest-freezer", starts, 900, 2100, nbPower},
	{"chest-freezer", starts, 1250, 1250, homeList},
	{"upright-freezer", runs, 335, 335, ratings},
	{"upright-freezer", runs, 720, 720, coop},
	{"upright-freezer", starts, 900, 2100, nbPower},
	{"upright-freezer", starts, 1890, 1890, coop},
	{"freezer-old", runs, 300, 700, nbPower},
	{"freezer-old", runs, 720, 720, coop},
	{"freezer-old", starts, 900, 2100, nbPower},
	{"freezer-old", starts, 2000, 2000, household},
	{"cold-room", runs, 1000, 1840, extension + "; " + nec248},
	{"cold-room", starts, 4000, 11040, extension + "; " + nec251},

	{"kettle", runs, 1500, 1500, kettleList},
	{"kettle", runs, 2000, 3000, "from memory: 230 V countries"},
	{"microwave", runs, 750, 1100, doe},
	{"microwave", runs, 600, 1500, nbPower},
	{"microwave", runs, 1406, 1406, oven},
	{"toaster", runs, 800, 1400, doe},
	{"toaster-oven", runs, 1225, 1225, doe},
	{"toaster-oven", runs, 1051, 1051, utility},
	{"coffee-maker", runs, 900, 1200, doe},
	{"coffee-maker", runs, 750, 1200, nbPower},
	{"hob", runs, 2000, 2000, courant},
	{"hob", runs, 3000, 3000, utility},
	{"electric-range", runs, 2000, 2000, courant},
	{"electric-range", runs, 3000, 3000, utility},
	{"oven", runs, 2000, 3000, courant + "; " + utility},
	{"dishwasher", runs, 1200, 2400, doe},
	{"dishwasher", runs, 1400, 1400, utility},
	{"dishwasher", runs, 700, 700, courant},
	{"water-heater", runs, 4500, 5500, doe},
	{"water-heater", runs, 3000, 3000, nbPower},
	{"water-heater", runs, 4000, 4000, coop},
	{"electric-shower", runs, 7200, 10500, worked + "; the upper end from memory"},

	{"well-pump-370w", runs, 600, 600, portable},
	{"well-pump-370w", runs, 700, 700, genset},
	{"well-pump-370w", runs, 750, 750, manitoba},
	{"well-pump-370w", runs, 900, 900, nbPower},
	{"well-pump-370w", runs, 1000, 1000, homeList},
	{"well-pump-370w", starts, 1800, 1800, portable},
	{"well-pump-370w", starts, 1950, 1950, coop},
	{"well-pump-370w", starts, 2700, 2700, nbPower},
	{"well-pump-370w", starts, 3100, 3100, homeList},
	{"well-pump-370w", starts, 5300, 7700, genset},
	{"well-pump-370w", starts, 6762, 6762, nec251},
	{"well-pump-550w", runs, 850, 850, portable},
	{"well-pump-550w", runs, 1000, 1000, genset},
	{"well-pump-550w", starts, 2600, 2600, portable},
	{"well-pump-550w", starts, 7100, 7100, genset},
	{"well-pump-550w", starts, 9522, 9522, nec251},
	{"well-pump-750w", runs, 1000, 1000, extension},
	{"well-pump-750w", runs, 746, 1840, shaft + "; " + nec248},
	{"well-pump-750w", starts, 3300, 3300, portable},
	{"well-pump-750w", starts, 11040, 11040, nec251},
	{"well-pump-1100w", runs, 1119, 2300, shaft + "; " + nec248},
	{"well-pump-1100w", starts, 6000, 13800, extension + "; " + nec251},
	{"well-pump-1500w", runs, 1492, 2760, shaft + "; " + nec248},
	{"well-pump-1500w", starts, 8000, 16560, extension + "; " + nec251},
	{"well-pump-2200w", runs, 2238, 3910, shaft + "; " + nec248},
	{"well-pump-2200w", starts, 12000, 23460, extension + "; " + nec251},
	{"sump-pump-250w", runs, 800, 800, coop},
	{"sump-pump-250w", runs, 750, 750, household},
	{"sump-pump-250w", runs, 450, 500, portable + "; " + genset},
	{"sump-pump-250w", starts, 1250, 1250, coop},
	{"sump-pump-250w", starts, 3550, 3550, homeList},
	{"sump-pump-250w", starts, 3900, 5600, genset},
	{"sump-pump-250w", starts, 4968, 4968, nec251},
	{"sump-pump-370w", runs, 1050, 1050, courant},
	{"sump-pump-370w", runs, 600, 600, portable},
	{"sump-pump-370w", starts, 2200, 2200, courant},
	{"sump-pump-370w", starts, 6762, 6762, nec251},

	{"furnace-fan-190w", runs, 600, 600, homeList},
	{"furnace-fan-190w", runs, 700, 700, manitoba},
	{"furnace-fan-190w", runs, 450, 450, nbPower},
	{"furnace-fan-190w", runs, 350, 350, ratings},
	{"furnace-fan-190w", starts, 1600, 1600, homeList},
	{"furnace-fan-190w", starts, 1350, 1350, nbPower},
	{"furnace-fan-190w", starts, 3300, 4800, genset},
	{"furnace-fan-370w", runs, 875, 875, homeList},
	{"furnace-fan-370w", runs, 1100, 1100, coop},
	{"furnace-fan-370w", starts, 3225, 3225, homeList},
	{"furnace-fan-370w", starts, 2000, 2000, coop},
	{"furnace-fan-370w", starts, 5300, 7700, genset},
	{"portable-heater", runs, 750, 1500, doe},
	{"portable-heater", runs, 1500, 1800, coop},
	{"electric-blanket", runs, 60, 100, doe},
	{"heat-pump-fixed", runs, 3000, 5400, coop},
	{"heat-pump-fixed", starts, 5000, 7200, coop},
	{"heat-pump-fixed", starts, 10000, math.Inf(1), smeco},
	{"window-ac-1800", runs, 750, 750, ratings},
	{"window-ac-3500", runs, 1000, 1000, utility},
	{"window-ac-3500", runs, 1412, 1412, coop},
	{"window-ac-3500", runs, 1200, 1200, nbPower},
	{"window-ac-3500", runs, 2000, 2000, homeList},
	{"window-ac-3500", starts, 3600, 3600, nbPower},
	{"split-ac-fixed-3500", runs, 1000, 1000, utility},
	{"split-ac-fixed-3500", runs, 1412, 1412, coop},
	{"split-ac-fixed-3500", starts, 3600, 3600, nbPower},
	{"central-ac-10k", runs, 3500, 3500, utility},
	{"central-ac-10k", runs, 5400, 5400, coop},
	{"central-ac-10k", starts, 7200, 7200, coop},
	{"central-ac-10k", starts, 10000, math.Inf(1), smeco},
	{"ceiling-fan", runs, 65, 175, doe},
	{"pedestal-fan", runs, 55, 250, doe},
	{"whole-house-fan", runs, 240, 750, doe},
	{"whole-house-fan", runs, 500, 500, utility},
	{"dehumidifier", runs, 785, 785, doe},
	{"dehumidifier", runs, 500, 500, utility},
	{"dehumidifier", runs, 257, 257, secondCoop},
	{"humidifier", runs, 120, 120, "a cooperative, appliance electric usage, 2021"},

	{"washing-machine", runs, 255, 1150, utility + "; " + coop},
	{"washing-machine-cold", runs, 350, 500, doe},
	{"washing-machine-cold", runs, 255, 255, utility},
	{"washing-machine-cold", runs, 1150, 1150, coop},
	{"washing-machine-cold", starts, 2200, 2200, coop},
	{"washing-machine-cold", starts, 2300, 2300, courant},
	{"clothes-dryer", runs, 1800, 5000, doe},
	{"clothes-dryer", runs, 2790, 2790, utility},
	{"clothes-dryer", runs, 5400, 5400, ratings},
	{"iron", runs, 1000, 1800, doe},
	{"iron", runs, 1100, 1100, utility},
	{"vacuum-cleaner", runs, 1000, 1440, doe},
	{"hair-dryer", runs, 1200, 1875, doe},
	{"hair-dryer", runs, 710, 710, utility},

	{"led-lamp", runs, 10, 10, utility},
	{"television", runs, 65, 180, doe},
	{"television", runs, 100, 200, utility},
	{"television-large", runs, 200, 200, utility},
	{"television-large", runs, 400, 400, coop},
	{"set-top-box", runs, 35, 35, utility},
	{"router", runs, 10, 10, nbPower},
	{"phone-charger", runs, 5, 5, utility},
	{"laptop", runs, 50, 50, doe},
	{"laptop", runs, 60, 60, utility},
	{"desktop-computer", runs, 120, 120, doe},
	{"desktop-computer", runs, 100, 100, utility},
	{"desktop-computer", runs, 300, 300, coop},
	{"monitor", runs, 150, 150, doe},
	{"games-console", runs, 36, 36, utility},
	{"security-system", runs, 100, 500, homeList},
	{"garage-door", runs, 550, 550, coop},
	{"garage-door", runs, 875, 875, ratings},
	{"garage-door", starts, 1000, 1000, coop},
	{"garage-door", starts, 3300, 4800, genset},
	{"aquarium", runs, 50, 1210, doe},

	{"cpap", runs, 30, 60, public},
	{"cpap", runs, 33, 33, measured},
	{"oxygen-concentrator", runs, 300, 600, health},

	{"barn-fan-370w", runs, 600, 600, portable},
	{"bench-grinder-370w", runs, 600, 600, portable},
	{"bench-grinder-370w", starts, 1800, 3600, portable},
	{"bench-grinder-370w", starts, 6762, 6762, nec251},
	{"barn-fan-370w", starts, 1800, 3600, portable},
	{"barn-fan-370w", starts, 6762, 6762, nec251},
}

// sameMotor are the classes whose motors are published once, for another: running W and starts are those of the motor.
var sameMotor = map[string]string{
	"pressure-pump-370w": "well-pump-370w", "pressure-pump-550w": "well-pump-550w",
	"pressure-pump-750w": "well-pump-750w", "pressure-pump-1100w": "well-pump-1100w",
	"sewage-pump-550w": "well-pump-550w", "transfer-pump-370w": "well-pump-370w", "pool-pump-750w": "well-pump-750w",
	"irrigation-pump-2200w": "well-pump-2200w",
	"milking-pump-1500w":    "well-pump-1500w", "milk-cooler-1500w": "well-pump-1500w",
	"grain-auger-1500w": "well-pump-1500w", "feed-mill-2200w": "well-pump-2200w",
	"air-compressor-1500w": "well-pump-1500w", "table-saw-1500w": "well-pump-1500w",
}

// outside are typical figures that lie outside of what is published, with the reason.
var outside = map[string]string{
	"fridge runs": "the lists are of nameplates and of frost-free appliances with freezers, before 2010; " +
		"present ones draw 50 to 150 W: common practice",
	"fridge-freezer runs": "as above; at 150 W and 8 h a day it takes 440 kWh a year, " +
		"the mean of 209 of about 1990 was 1009 (Lawrence Berkeley National Laboratory, field performance)",
	"chest-freezer runs":   "as above; 110 W and 8 h a day are 320 kWh a year",
	"upright-freezer runs": "as above; 140 W and 9 h a day are 460 kWh a year",
	"washing-machine runs": "the lists are of machines that take hot water in; this class heats it, 1.8 to 2.2 kW: common practice",
	"router runs":          "the list has one box, this class two",
	"set-top-box runs":     "one list has 35 W, before standby was limited",
	"phone-charger runs":   "the list is of chargers of telephones before tablets and fast charging",
	"monitor runs":         "the list is of picture tubes",
	"games-console runs":   "the list is of consoles of about 2006",
	"security-system runs": "the list is of systems with cameras and lights, a class of its own here",

	"window-ac-3500 starts": "one list has 3600 W; a compressor across the line takes 6 times its running VA " +
		"(its locked-rotor current, where no plate tells)",
	"split-ac-fixed-3500 starts": "as above",
}
