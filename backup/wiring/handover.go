package wiring

import (
	"outlast/backup/phrase"
	"outlast/backup/working"
)

// A Topic is what the plan must hand to a licensed electrician. It is put into words and never decided.
type Topic int

// The topics, in the order in which they are asked.
const (
	TransferAndIsolation Topic = iota
	FeedingDeadGrid
	NeutralToEarth
	ResidualCurrent
	BreakersOnInverter
	DCIsolation
	BankConductors
	ArrayInDaylight
	GeneratorPlace
	WhoInstalls
)

// A Question is what the electrician is asked about a topic.
type Question struct {
	Topic   Topic
	Name    phrase.Phrase // of the topic, short, such as "Neutral-to-earth connection"
	Text    phrase.Phrase
	Sources []working.Source // where the question comes from; none: general practice
	Urgent  bool             // said among the cautions too: people's lives depend on it in every home
}

// Scope says what the home has, so that only its own questions are asked.
type Scope struct {
	Grid, Generator, Array bool
}

// has says whether the home has what a topic is about.
func (s Scope) has(t Topic) bool {
	switch t {
	case TransferAndIsolation:
		return s.Grid || s.Generator
	case FeedingDeadGrid:
		return s.Grid
	case ArrayInDaylight:
		return s.Array
	case GeneratorPlace:
		return s.Generator
	}
	return true
}

// HandOver lists the questions for the electrician, in the order of their topics.
func HandOver(s Scope) []Question {
	var out []Question
	for t, q := range questions {
		if q.Topic = Topic(t); s.has(q.Topic) {
			out = append(out, q)
		}
	}
	return out
}

var questions = [...]Question{
	TransferAndIsolation: {Name: phrase.Of("Transfer and isolation"),
		Text: phrase.Of("Grid, generator and inverter output must never be connected to each other by accident. " +
			"Which listed transfer switch or interlock ensures that, and does it disconnect every live conductor of " +
			"the part in island mode?"),
		Sources: []working.Source{working.NEC.At(phrase.Name("702.5"), working.Quoted)}},
	FeedingDeadGrid: {Name: phrase.Of("Feeding a de-energised grid"),
		Text: phrase.Of("The inverter must stop feeding the grid when the grid is de-energised, " +
			"and may go on only behind a device that disconnects it. Which device is that?"),
		Sources: []working.Source{working.NEC.At(phrase.Name("705, 706"), working.Memory),
			working.IEEE1547.At(phrase.Phrase{}, working.Memory),
			working.ASNZS4777.At(phrase.Phrase{}, working.Memory)}},
	NeutralToEarth: {Name: phrase.Of("Neutral-to-earth connection"),
		Text: phrase.Of("In island mode the connection of neutral and earth in the grid cannot be relied on. " +
			"Where is it made in that state, is it open while the grid is connected where the code requires so, " +
			"and does the installation have an earth electrode of its own?"),
		Sources: []working.Source{working.BS7671.At(phrase.Name("551.4.3.2.1"), working.Quoted),
			working.SANS10142.At(phrase.Phrase{}, working.Quoted)}, Urgent: true},
	ResidualCurrent: {Name: phrase.Of("Residual-current devices"),
		Text: phrase.Of("Which type do the backup circuits need, on which side of the neutral-to-earth connection " +
			"do they sit, and do they still trip on inverter supply?"),
		Urgent: true},
	BreakersOnInverter: {Name: phrase.Of("Circuit breakers on inverter supply"),
		Text: phrase.Of("An inverter gives little more than its overload current into a short circuit. " +
			"Do the circuit breakers still open in the time that the code requires, or what protects people instead?")},
	DCIsolation: {Name: phrase.Of("DC isolation"),
		Text: phrase.Of("Is there a lockable DC isolator next to the bank that can be reached without passing the " +
			"hazard, with labels at board, inverter and bank?")},
	BankConductors: {Name: phrase.Of("Battery conductors"),
		Text: phrase.Of("A bank cannot be switched off and drives thousands of amperes through a dropped tool. " +
			"Are the terminals covered, and the cables up to the first fuse short and mechanically protected?")},
	ArrayInDaylight: {Name: phrase.Of("Array in daylight"),
		Text: phrase.Of("The array stays live in daylight. How is it isolated, labelled and, " +
			"where the code requires so, shut down at the roof?"),
		Sources: []working.Source{working.NEC.At(phrase.Name("690.12"), working.Memory)}},
	GeneratorPlace: {Name: phrase.Of("Generator"),
		Text: phrase.Of("Does it stand outdoors, away from openings (carbon monoxide)? How is its neutral earthed, " +
			"and does the inverter accept its waveform?")},
	WhoInstalls: {Name: phrase.Of("Who installs"),
		Text: phrase.Of("Work on fixed wiring and on banks is licensed work in most countries. Who does it, and who certifies it?")},
}
