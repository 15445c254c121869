package words

// ofEveryStart say what is counted in outages from every hour of a year.
var ofEveryStart = []sentence{
	{"Counted in: %s.", "Eingerechnet: %s.", "Se cuenta con: %s.", "Pris en compte : %s."},
	{"Counted in: %s alone.", "Eingerechnet: %s, sonst nichts.", "Se cuenta con: %s, y nada más.", "Pris en compte : %s, et rien d’autre."},
	{"the bank at the end of its life", "die Batterie am Ende ihrer Lebensdauer", "la batería al final de su vida", "la batterie en fin de vie"},
	{"the new bank", "die neue Batterie", "la batería nueva", "la batterie neuve"},
	{"the array", "das Solarfeld", "el campo solar", "le champ solaire"},
	{"the generator with %s of fuel", "der Generator mit %s Kraftstoff", "el generador con %s de combustible", "le groupe électrogène avec %s de carburant"},
	{"the generator, as if its fuel never ended", "der Generator, als ginge sein Kraftstoff nie aus",
		"el generador, como si su combustible no se acabara nunca", "le groupe électrogène, comme si son carburant ne s’épuisait jamais"},
	{"the switching off of %s when the charge is low", "das Abschalten von %s bei niedriger Ladung",
		"la desconexión de %s con poca carga", "l’arrêt de %s quand la charge est basse"},
}
