package working

import "outlast/backup/phrase"

// The documents that rules and figures are taken from. An edition stands where it is known which one a figure is of.
var (
	// Standards and codes.
	NEC          = standard("NEC", "")
	NEC2011      = standard("NEC", "2011")
	NEC2023      = standard("NEC", "2023")
	IECPart443   = standard("IEC 60364-4-43", "")
	IECPart552   = standard("IEC 60364-5-52", "")
	IECPart554   = standard("IEC 60364-5-54", "")
	IEC60228     = standard("IEC 60228", "")
	IEC60269     = standard("IEC 60269-1", "")
	IEC60898     = standard("IEC 60898-1", "")
	IEC61660     = standard("IEC 61660-1", "")
	IEC62485     = standard("IEC 62485-2", "")
	EN62485      = standard("EN 62485-3", "2016")
	EN50272Part2 = standard("EN 50272-2", "")
	EN50272Part3 = standard("EN 50272-3", "")
	AS2676       = standard("AS 2676.1", "")
	ASNZS5603    = standard("AS/NZS 5603", "2009")
	ASNZS3000    = standard("AS/NZS 3000", "")
	BS7671       = standard("BS 7671", "")
	ASNZS4777    = standard("AS/NZS 4777.1", "")
	SANS10142    = standard("SANS 10142-1", "")
	IEEE1547     = standard("IEEE 1547", "")
	ICEA32       = standard("ICEA P-32-382", "")
	IEEE485      = standard("IEEE 485", "")
	IEEE946      = standard("IEEE 946", "2020")
	UFC3520      = standard("US UFC 3-520-01", "2002")
	ITIC         = &Document{phrase.Of("ITIC (CBEMA) curve"), "2000"}

	// Books, papers and reports.
	Duffie     = standard("Duffie & Beckman", "")
	NREL62641  = standard("NREL/TP-6A20-62641", "2014")
	HomePower  = standard("Home Power 27", "1992")
	TwinValley = &Document{phrase.Of("Twin Valleys Public Power District sizing sheet"), ""}
	TM10       = standard("US Army TM 10-6140-200-14", "")
	TM5        = standard("US Army TM 5-1185", "")
	OD1002     = standard("US Army OD 1002", "")
	BU410      = standard("Battery University BU-410", "")
	BPX        = &Document{phrase.Of("Faraday Institution, BPX example cells LFP and NMC111"), "2022"}
	Manwell    = standard("Manwell & McGowan, Solar Energy 50, 399-405", "1993")
	Erbs       = standard("Erbs, Klein & Duffie, Solar Energy 28", "1982")
	Aguiar     = standard("Aguiar, Collares-Pereira & Conde, Solar Energy 40", "1988")
	Ross       = standard("Ross", "1976")
)

// standard is a document whose title is the same in every language.
func standard(title, edition string) *Document { return &Document{phrase.Name(title), edition} }
