package account

import (
	"outlast/backup/phrase"
	"outlast/backup/working"
)

func rule(words phrase.Phrase) []working.Source {
	return []working.Source{working.From(words, working.Definition)}
}

func nec(section string) []working.Source {
	return []working.Source{working.NEC.At(phrase.Name(section), working.Quoted)}
}

func read(words phrase.Phrase) []working.Source {
	return []working.Source{working.From(words, working.Read)}
}

// What the steps of a plan rest on. Documents stand in package working.
var (
	definition      = rule(phrase.Of("definition"))
	sheet           = rule(phrase.Of("data sheet"))
	trade           = []working.Source{working.Plainly(phrase.Of("common practice"), working.Practice)}
	energyBalance   = rule(phrase.Of("energy balance"))
	ohmsLaw         = rule(phrase.Of("Ohm's law"))
	ohmsLawBare     = rule(phrase.Of("Ohm's law; links and cables left out"))
	restTables      = read(phrase.Of("published tables by chemistry"))
	tubularManual   = read(phrase.Of("maker's manual for tubular vented cells"))
	sheetWarm       = rule(phrase.Of("data sheet; full, 25 C, without links and cables"))
	thumb           = []working.Source{working.Plainly(phrase.Of("rules of thumb"), working.Practice)}
	sheetOrUsual    = rule(phrase.Of("data sheet or default by chemistry"))
	sheetOrDefault  = rule(phrase.Of("data sheet or default"))
	chargerPractice = []working.Source{working.From(phrase.Of("inverter-charger practice"), working.Memory)}
	chargingText    = append(read(phrase.Of("generic text on charging")),
		working.From(phrase.Of("for lithium"), working.Memory))
	gasByHeat = append(read(phrase.Of("maker's manual")),
		working.UFC3520.At(phrase.Of("15 F in a worked example"), working.Read))
	airStandard  = []working.Source{working.IEC62485.At(phrase.Phrase{}, working.Quoted)}
	airAustralia = []working.Source{working.AS2676.At(phrase.Phrase{}, working.Quoted),
		working.AS2676.At(phrase.Of("valve-regulated cells"), working.Memory)}
	roomStandard  = []working.Source{working.EN50272Part3.At(phrase.Phrase{}, working.Quoted)}
	sparkStandard = []working.Source{working.EN50272Part2.At(phrase.Phrase{}, working.Memory),
		working.From(phrase.Of("a consultant's page on charging rooms"), working.Read).For(phrase.Of("the least"))}
	sheetCycles = rule(phrase.Of("data sheet: of the laboratory at 25 C, an upper bound"))
	lifeByHeat  = []working.Source{working.From(phrase.Of("maker's handbook for lead-acid on float"), working.Read),
		working.Plainly(phrase.Of("for lithium a rule of thumb"), working.Practice)}
	statistics  = rule(phrase.Of("binomial and Poisson-binomial distribution, any text on statistics"))
	motorStarts = []working.Source{working.NEC.At(phrase.Name("430.7(B)"),
		working.Quoted).For(phrase.Of("code letter")),
		working.From(phrase.Of("trade texts on starting methods"), working.Read)}
	designers     = []working.Source{working.Plainly(phrase.Of("practice of the designer"), working.Practice)}
	sheetStepwise = []working.Source{working.Plainly(phrase.Of("stepwise reading of the data sheet, the safe side"),
		working.Practice)}
	autonomyMethod = []working.Source{working.Plainly(
		phrase.Of("autonomy method, stand-alone systems, common practice"), working.Practice)}
	monitorManual = read(phrase.Of("Peukert's rule, as a manual of battery monitors has it; to compare, not used in the plan"))
	peukertsRule  = read(phrase.Of("Peukert's rule for a capacity at H hours"))
	theSame       = rule(phrase.Of("the same"))
	bankModels    = rule(phrase.Of("two-well kinetic model for lead-acid, energy model for lithium"))
	kineticModel  = []working.Source{working.Manwell.At(phrase.Of("kinetic battery model"), working.Memory),
		working.From(phrase.Of("least squares of 1/q"), working.Definition)}
	ieee485      = []working.Source{working.IEEE485.At(phrase.Phrase{}, working.Memory)}
	weatherFile  = rule(phrase.Of("weather file"))
	siteFile     = rule(phrase.Of("site file"))
	erbsMonthly  = []working.Source{working.Erbs.At(phrase.Of("monthly correlation"), working.Memory)}
	diffuseShare = []working.Source{working.Erbs.At(phrase.Phrase{}, working.Memory),
		working.Aguiar.At(phrase.Phrase{}, working.Quoted).For(phrase.Of("days"))}
	evenSky = []working.Source{working.Duffie.At(
		phrase.Of("%s, evenly bright sky: 5 to 12 %% low in a clear winter month, the safe side",
			working.InChapter(2)), working.Memory)}
	cellHeat = []working.Source{working.Ross.At(phrase.Phrase{}, working.Quoted),
		working.From(phrase.Of("data sheet or default"), working.Definition)}
	arrayLosses  = []working.Source{working.NREL62641.At(phrase.Of("default losses"), working.Read)}
	hydrogenRule = []working.Source{working.UFC3520.At(working.InClause("14-1.3.2.2"), working.Read),
		working.EN62485.At(phrase.Of("requires a little less"), working.Quoted)}
	duffie1    = []working.Source{working.Duffie.At(working.InChapter(1), working.Quoted)}
	duffie2    = []working.Source{working.Duffie.At(working.InChapter(2), working.Memory)}
	fromMemory = []working.Source{working.Plainly(phrase.Of("from memory"), working.Memory)}
)
