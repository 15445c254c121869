package words

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"
)

// ofEquipment are the pieces between the commas of the generic catalog's labels, with %s for their numbers.
var ofEquipment = []sentence{
	{"Inverter-charger %s kVA", "Wechselrichter mit Ladegerät %s kVA", "Inversor-cargador de %s kVA", "Onduleur-chargeur de %s kVA"},
	{"Hybrid %s kVA", "Hybridwechselrichter %s kVA", "Inversor híbrido de %s kVA", "Onduleur hybride de %s kVA"},
	{"%s V", "%s V", "%s V", "%s V"},
	{"%s V lithium", "%s V Lithium", "%s V litio", "%s V lithium"},
	{"single phase %s V", "einphasig %s V", "monofásico %s V", "monophasé %s V"},
	{"split phase %s/%s V", "Dreileiternetz %s/%s V", "fase partida %s/%s V", "phase divisée %s/%s V"},
	{"three phase %s/%s V", "dreiphasig %s/%s V", "trifásico %s/%s V", "triphasé %s/%s V"},
	{"one solar input", "ein Solareingang", "una entrada solar", "une entrée solaire"},
	{"two solar inputs", "zwei Solareingänge", "dos entradas solares", "deux entrées solaires"},

	{"Flooded tubular cell", "Geschlossene Panzerplattenzelle", "Celda tubular abierta", "Élément tubulaire ouvert"},
	{"Flooded tubular block", "Geschlossener Panzerplattenblock", "Monobloque tubular abierto", "Monobloc tubulaire ouvert"},
	{"Flooded deep-cycle block", "Geschlossener zyklenfester Block", "Monobloque abierto de ciclo profundo", "Monobloc ouvert à décharge profonde"},
	{"Flooded leisure block", "Geschlossener Freizeitblock", "Monobloque abierto de recreo", "Monobloc ouvert de loisirs"},
	{"tall case", "hohes Gehäuse", "caja alta", "bac haut"},
	{"AGM stationary cell", "Stationäre AGM-Zelle", "Celda AGM estacionaria", "Élément AGM stationnaire"},
	{"AGM deep-cycle block", "Zyklenfester AGM-Block", "Monobloque AGM de ciclo profundo", "Monobloc AGM à décharge profonde"},
	{"AGM block", "AGM-Block", "Monobloque AGM", "Monobloc AGM"},
	{"Gel tubular cell", "Gel-Panzerplattenzelle", "Celda tubular de gel", "Élément tubulaire au gel"},
	{"Gel block", "Gelblock", "Monobloque de gel", "Monobloc au gel"},
	{"LFP drop-in block", "LFP-Block in der Bauform einer Bleibatterie", "Bloque LFP con formato de plomo-ácido", "Bloc LFP au format d’une batterie au plomb"},
	{"LFP pack", "LFP-Akkupack", "Módulo LFP", "Module LFP"},
	{"LFP rack pack", "LFP-Einschub", "Módulo LFP para bastidor", "Module LFP pour baie"},
	{"LFP rack pack with heater", "LFP-Einschub mit Heizung", "Módulo LFP para bastidor con calefactor", "Module LFP pour baie avec chauffage"},
	{"LFP wall pack", "LFP-Wandspeicher", "Módulo LFP de pared", "Module LFP mural"},
	{"LFP floor pack", "LFP-Standspeicher", "Módulo LFP de suelo", "Module LFP au sol"},
	{"LFP high-voltage module", "LFP-Hochvoltmodul", "Módulo LFP de alta tensión", "Module LFP haute tension"},
	{"LFP high-voltage tower with heater", "LFP-Hochvoltturm mit Heizung", "Torre LFP de alta tensión con calefactor", "Colonne LFP haute tension avec chauffage"},
	{"NMC pack", "NMC-Akkupack", "Módulo NMC", "Module NMC"},
	{"NMC high-voltage module", "NMC-Hochvoltmodul", "Módulo NMC de alta tensión", "Module NMC haute tension"},
	{"%s V %s Ah", "%s V %s Ah", "%s V %s Ah", "%s V %s Ah"},
	{"%s V %s Ah (%s h)", "%s V %s Ah (%s h)", "%s V %s Ah (%s h)", "%s V %s Ah (%s h)"},

	{"Module %s W", "Modul %s W", "Módulo de %s W", "Module de %s W"},
	{"Small module %s W", "Kleines Modul %s W", "Módulo pequeño de %s W", "Petit module de %s W"},
	{"Large module %s W", "Großes Modul %s W", "Módulo grande de %s W", "Grand module de %s W"},
	{"%s monocrystalline cells", "%s monokristalline Zellen", "%s células monocristalinas", "%s cellules monocristallines"},
	{"%s polycrystalline cells", "%s polykristalline Zellen", "%s células policristalinas", "%s cellules polycristallines"},
	{"%s monocrystalline half cells", "%s monokristalline Halbzellen", "%s medias células monocristalinas", "%s demi-cellules monocristallines"},
	{"%s high-efficiency monocrystalline half cells", "%s monokristalline Halbzellen mit hohem Wirkungsgrad",
		"%s medias células monocristalinas de alto rendimiento", "%s demi-cellules monocristallines à haut rendement"},

	{"Portable petrol set %s kVA", "Tragbares Benzinaggregat %s kVA", "Grupo portátil de gasolina de %s kVA", "Groupe portable à essence de %s kVA"},
	{"Stationary diesel set %s kVA", "Ortsfestes Dieselaggregat %s kVA", "Grupo diésel fijo de %s kVA", "Groupe diesel fixe de %s kVA"},
	{"Standby gas set %s kVA", "Gas-Notstromaggregat %s kVA", "Grupo de emergencia de gas de %s kVA", "Groupe de secours à gaz de %s kVA"},
	{"quiet", "leise", "silencioso", "silencieux"},
	{"enclosed", "gekapselt", "cerrado", "capoté"},
	{"electric start", "Elektrostart", "arranque eléctrico", "démarrage électrique"},
	{"automatic start", "Selbststart", "arranque automático", "démarrage automatique"},
}

// equipment are the pieces of a language by their English ones.
var equipment = map[string]func() map[string]string{
	"de": sync.OnceValue(func() map[string]string { return pieces(func(s sentence) string { return s.de }) }),
	"es": sync.OnceValue(func() map[string]string { return pieces(func(s sentence) string { return s.es }) }),
	"fr": sync.OnceValue(func() map[string]string { return pieces(func(s sentence) string { return s.fr }) }),
}

func pieces(text func(sentence) string) map[string]string {
	out := map[string]string{}
	for _, s := range slices.Concat(ofEquipment, ofAppliances) {
		out[s.en] = text(s)
	}
	return out
}

var number = regexp.MustCompile(`\d+(\.\d+)?`)

// Equipment writes the label of a piece of equipment, or of a class of appliances, in a language, its numbers as local does. ok is false for labels in other words than
// those of the generic catalog, such as the user's own, and for English: they stay as they are.
func Equipment(lang, label string, local func(printed string) string) (text string, ok bool) {
	table, ok := equipment[lang]
	if !ok || strings.Contains(label, "%") {
		return "", false
	}
	parts := strings.Split(label, ", ")
	for i, part := range parts {
		var numbers []any
		english := number.ReplaceAllStringFunc(part, func(n string) string {
			numbers = append(numbers, local(n))
			return "%s"
		})
		translated, ok := table()[english]
		if !ok {
			return "", false
		}
		parts[i] = fmt.Sprintf(translated, numbers...)
	}
	return strings.Join(parts, ", "), true
}
