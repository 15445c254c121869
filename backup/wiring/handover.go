package wiring

import "outlast/backup/phrase"

// A Question is something that the plan must hand to a licensed electrician. It is put into words and never decided.
type Question struct {
	Topic  phrase.Phrase // short, such as "Neutral-to-earth connection"
	Text   phrase.Phrase
	Source phrase.Phrase // where the question comes from; empty: general practice
	Urgent bool          // said among the cautions too: people's lives depend on it in every home
}

// Scope says what the home has, so that only its own questions are asked.
type Scope struct {
	Grid, Generator, Array bool
}

// HandOver lists the questions for the electrician, in a fixed order.
func HandOver(s Scope) []Question {
	var q []Question
	if s.Grid || s.Generator {
		q = append(q,
			Question{phrase.Of("Transfer and isolation"),
				phrase.Of("Grid, generator and inverter output must never be connected to each other by accident. Which listed transfer switch or interlock ensures that, and does it disconnect every live conductor of the part in island mode?"),
				cite(phrase.Symbols("NEC 702.5"), quoted), false})
	}
	if s.Grid {
		q = append(q,
			Question{phrase.Of("Feeding a de-energised grid"),
				phrase.Of("The inverter must stop feeding the grid when the grid is de-energised, and may go on only behind a device that disconnects it. Which device is that?"),
				cite(phrase.Symbols("NEC 705, NEC 706, IEEE 1547, AS/NZS 4777.1"), fromMemory), false})
	}
	q = append(q,
		Question{phrase.Of("Neutral-to-earth connection"),
			phrase.Of("In island mode the connection of neutral and earth in the grid cannot be relied on. Where is it made in that state, is it open while the grid is connected where the code requires so, and does the installation have an earth electrode of its own?"),
			cite(phrase.Name("BS 7671 551.4.3.2.1; SANS 10142-1"), quoted), true},
		Question{phrase.Of("Residual-current devices"),
			phrase.Of("Which type do the backup circuits need, on which side of the neutral-to-earth connection do they sit, and do they still trip on inverter supply?"),
			none, true},
		Question{phrase.Of("Circuit breakers on inverter supply"),
			phrase.Of("An inverter gives little more than its overload current into a short circuit. Do the circuit breakers still open in the time that the code requires, or what protects people instead?"),
			none, false},
		Question{phrase.Of("DC isolation"),
			phrase.Of("Is there a lockable DC isolator next to the bank that can be reached without passing the hazard, with labels at board, inverter and bank?"),
			none, false},
		Question{phrase.Of("Battery conductors"),
			phrase.Of("A bank cannot be switched off and drives thousands of amperes through a dropped tool. Are the terminals covered, and the cables up to the first fuse short and mechanically protected?"),
			none, false})
	if s.Array {
		q = append(q, Question{phrase.Of("Array in daylight"),
			phrase.Of("The array stays live in daylight. How is it isolated, labelled and, where the code requires so, shut down at the roof?"),
			cite(phrase.Symbols("NEC 690.12"), fromMemory), false})
	}
	if s.Generator {
		q = append(q, Question{phrase.Of("Generator"),
			phrase.Of("Does it stand outdoors, away from openings (carbon monoxide)? How is its neutral earthed, and does the inverter accept its waveform?"),
			none, false})
	}
	return append(q, Question{phrase.Of("Who installs"),
		phrase.Of("Work on fixed wiring and on banks is licensed work in most countries. Who does it, and who certifies it?"),
		none, false})
}
