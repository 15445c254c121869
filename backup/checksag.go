package backup

// checkSag compares the voltage of the almost empty bank, while the worst start pulls on it, with the lowest voltage at which the
// inverter runs.
func (p *Plan) checkSag() Check {
	return unknown("surge-sag", 0, "V", "give resistance_mohm of the battery to see how far its voltage falls while something starts")
}
