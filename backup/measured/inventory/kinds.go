package inventory

import (
	"strings"

	"outlast/backup/measured/tabular"
)

// What a column of a list may tell.
const (
	kindEnergy    = "energy"
	kindStartingS = "starting_s"
	kindStarting  = "starting"
	kindDays      = "days"
	kindPF        = "power_factor"
	kindTotal     = "total"
	kindHours     = "hours"
	kindQuantity  = "quantity"
	kindAmps      = "amps"
	kindVolts     = "volts"
	kindEssential = "essential"
	kindPriority  = "priority"
	kindCircuit   = "circuit"
	kindRoom      = "room"
	kindNotes     = "notes"
	kindClass     = "class"
	kindPower     = "power"
	kindName      = "name"
	kindNombre    = "nombre" // a number in French, a name in Spanish
)

// kinds are found by words of English, German, Spanish and French, in this order: "starting power" is a start, not a
// power.
var kinds = []tabular.Kind{
	{ID: kindEnergy, Number: true, Units: []string{"wh", "kwh"},
		Words: []string{"wh", "kwh", "watt hours", "watthours", "watt hour", "kilowatt hours", "energy", "energie",
			"energia",
			"verbrauch", "tagesverbrauch", "energieverbrauch", "consumption", "consumo", "consommation",
			"wattstunden"}},
	{ID: kindStartingS, Number: true, Words: []string{"starting seconds", "start seconds", "starting s", "start s",
		"starting time", "anlaufzeit", "anlaufdauer",
		"tiempo de arranque", "temps de demarrage", "duree de demarrage"}},
	{ID: kindStarting, Number: true, Words: []string{"starting", "start", "surge", "peak", "inrush", "startup",
		"start up", "anlauf", "anlaufleistung", "anlaufstrom", "einschaltleistung",
		"einschaltstrom", "spitze", "spitzenleistung", "arranque", "pico", "demarrage", "pointe", "appel"}},
	{ID: kindDays, Number: true, Words: []string{"days", "days per week", "days week", "tage", "tage pro woche", "dias",
		"jours"}},
	{ID: kindPF, Number: true, Words: []string{"power factor", "pf", "cos phi", "cosphi", "cos", "leistungsfaktor",
		"factor de potencia", "facteur de puissance"}},
	{ID: kindTotal, Number: true, Words: []string{"total", "gesamt", "gesamtleistung", "summe", "insgesamt", "sum",
		"suma", "somme"}},
	{ID: kindHours, Number: true, Units: []string{"h", "min"},
		Words: []string{"hours", "hour", "hrs", "hr", "stunden", "std", "horas", "heures", "betriebsstunden",
			"laufzeit", "runtime", "run time",
			"duration", "dauer", "duracion", "duree", "minutes", "minuten", "minutos"}},
	{ID: kindQuantity, Number: true, Words: []string{"qty", "quantity", "count", "how many", "number of", "pcs",
		"pieces", "anzahl", "stuck", "stuckzahl", "menge", "cantidad", "cant", "unidades",
		"numero de", "quantite", "qte", "nombre de", "nombre d"}},
	{ID: kindAmps, Number: true, Units: []string{"a", "ma"}, Words: []string{"amps", "amp", "ampere", "amperes",
		"current", "strom", "stromaufnahme", "corriente", "amperios", "courant", "intensite", "intensidad"}},
	{ID: kindVolts, Number: true, Units: []string{"v"}, Words: []string{"volts", "volt", "voltage", "spannung",
		"tension", "voltaje", "voltios"}},
	{ID: kindEssential, Words: []string{"essential", "critical", "must stay on", "backup", "backed up", "notwendig",
		"wichtig", "notstrom", "ersatzstrom", "esencial", "critico", "respaldo",
		"essentiel", "critique", "secouru"}},
	{ID: kindPriority, Words: []string{"priority", "prio", "prioritat", "prioridad", "priorite"}},
	{ID: kindCircuit, Words: []string{"circuit", "stromkreis", "circuito"}},
	{ID: kindRoom, Words: []string{"room", "location", "area", "raum", "zimmer", "ort", "habitacion", "lugar", "sala",
		"piece", "lieu", "emplacement"}},
	{ID: kindNotes, Words: []string{"notes", "note", "remarks", "remark", "comment", "comments", "bemerkung",
		"bemerkungen", "notiz", "notizen", "notas", "observaciones", "remarque", "remarques"}},
	{ID: kindClass, Words: []string{"class", "klasse", "clase", "classe"}},
	{ID: kindName, Unitless: true, Words: []string{"load", "loads", "appliance", "appliances", "device", "item", "name",
		"equipment", "description", "consumer", "gerat", "gerate",
		"verbraucher", "bezeichnung", "beschreibung", "aparato", "aparatos", "equipo", "electrodomestico", "carga",
		"cargas", "descripcion", "dispositivo", "appareil", "appareils",
		"equipement", "charge", "charges", "designation", "recepteur", "nom"}},
	{ID: kindPower, Number: true, Units: []string{"w", "kw", "va", "kva", "hp", "ps", "cv", "ch"},
		Words: []string{"running", "power", "watts", "watt", "wattage", "leistung", "nennleistung",
			"leistungsaufnahme", "betriebsleistung", "potencia", "puissance", "rated"}},
	{ID: kindNombre, Unitless: true, Words: []string{"nombre"}},
}

// units are those that a head or a flag may give.
var units = []string{"w", "kw", "va", "kva", "hp", "ps", "cv", "ch", "a", "ma", "v", "wh", "kwh", "h", "min", "s",
	"watts", "watt", "amps", "hours", "minutes", "minuten", "minutos", "stunden", "horas", "heures"}

// spelled are units as they are written too.
var spelled = map[string]string{
	"watt": "w", "watts": "w", "vatios": "w", "kilowatt": "kw", "kilowatts": "kw", "amp": "a", "amps": "a",
	"ampere": "a", "amperes": "a", "volt": "v", "volts": "v", "vac": "v", "v ac": "v",
	"hours": "h", "hour": "h", "hrs": "h", "hr": "h", "std": "h", "std.": "h", "stunden": "h", "horas": "h",
	"heures": "h", "stunde": "h", "hora": "h", "heure": "h",
	"minutes": "min", "minute": "min", "mins": "min", "minuten": "min", "minutos": "min", "min.": "min", "sec": "s",
	"seconds": "s", "sek": "s",
	"horsepower": "hp", "ps": "metric hp", "cv": "metric hp", "ch": "metric hp",
}

// perDay are the days that a period has, by the words that name it.
var perDay = map[string]float64{
	"day": 1, "d": 1, "daily": 1, "tag": 1, "taglich": 1, "dia": 1, "diario": 1, "diaria": 1, "jour": 1, "j": 1,
	"24h":  1,
	"week": 7, "wk": 7, "weekly": 7, "woche": 7, "wochentlich": 7, "semana": 7, "semaine": 7, "sem": 7,
	"month": 365.0 / 12, "monthly": 365.0 / 12, "monat": 365.0 / 12, "mes": 365.0 / 12, "mois": 365.0 / 12,
	"year": 365, "yr": 365, "a": 365, "jahr": 365, "ano": 365, "an": 365, "annee": 365,
}

// Kinds are the kinds that a user may name, and Units the units that stand with them.
func Kinds() ([]tabular.Kind, []string) { return kinds[:len(kinds)-1], units }

// totalWords are those that a row of sums is called by, and what may stand beside them.
var (
	totalWords  = wordSet(strings.Join(tabular.SumWords, " "))
	besideTotal = wordSet("sub sous grand general all load loads power energy watts watt w wh kwh kw va per day " +
		"daily connected of the de la del leistung verbrauch pro tag general potencia puissance h hours energia " +
		"energie consumo consommation")
	yesWords    = wordSet("yes y x true ja j si s oui o 1 wahr verdadero vrai essential critical must")
	noWords     = wordSet("no n false nein non 0 falsch faux")
	eitherWords = wordSet("maybe optional either eventuell vielleicht quizas opcional peut optionnel")
	priorities  = map[string]int{"1": 1, "2": 2, "3": 3, "4": 4, "5": 5, "high": 1, "medium": 2, "low": 3, "hoch": 1,
		"mittel": 2, "niedrig": 3, "alta": 1, "media": 2, "baja": 3,
		"haute": 1, "moyenne": 2, "basse": 3}
)
