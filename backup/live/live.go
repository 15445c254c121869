// Package live answers what the page at the kitchen table asks: what would become of this home if it were changed so.
//
// [New] takes a site file as it stands; the state of the page is one list of changes to it and one view of an outage.
// Nothing is kept between two questions, so that answers may be asked for in any order and dropped at will. [Table.Do]
// takes and gives JSON, the same for the server and for the engine inside a page.
//
// # The questions
//
// Each is one JSON object. Common to all: "lang" ("en", "de", "es" or "fr"; "" is "en"), "changes" (a list of
// [edit.Change], in the order in which they were made) and "view" ([View]).
//
//   - "answer" gives an [Answer]: everything that the page draws. It is asked at every touch.
//   - "weigh" gives [Weights]: what each circuit costs in hours of the large figure of the page ("figure": "promise", also
//     "", or "outage"), what it breaks, and which circuits the planner would then decide otherwise. Each takes a plan; ask
//     for a few circuits at a time ("circuits": ids; none: all of them), after the answer, and drop it when a newer touch
//     comes.
//   - "try" gives a [Trial]: what would happen if one load that is left off ("load": a ref) were switched on now.
//   - "why" gives [Whys]: the working behind numbers ("numbers": "promise", "bank", "energy", "at-once", "start",
//     "pass-through", or "check-" and the id of a check; none: all steps). It takes as long as an answer.
//   - "text" gives {"text": "…"}: the site file with the changes, as it would be saved. With a "name" it is refused where
//     no file can be saved under that: {"error": "…", "code": "name-ending"}, see [CheckName].
//   - "words" gives [Words], once for each language: the texts of the page, months, skies.
//   - "classes" gives [Classes], the classes of appliances by room, in a language. It takes longer than
//     an answer: ask for them when somebody wants to add one.
//
// A question that cannot be read gives {"error": "…"} and nothing else. A change that the site file does not allow
// gives an Answer with only "problems": the page shows them beside the last good answer and takes the change back, or
// lets the owner correct it.
//
// # Numbers
//
// Hours are unrounded ("hours": 18.337), as `plan --format json` has them, and once more in words ("text": "about 18
// hours"), rounded down. Times are minutes: of the day where the name says so ("start_min", "from_min"), else since the
// grid failed. Shares of charge are from 0 to 1. A number that does not exist is null; so is a list with nothing in it,
// but circuits and the loads of a circuit, which are then empty.
// Of a plan that fails no hours are promised: [Answer.Promise] is null then; [Answer.Outage] still tells what would
// happen.
//
// # The plan and the outage
//
// Two things stand on the page and are not to be mixed up. The plan is that of the site file with its changes:
// [Answer.Verdict], [Answer.Promise] (from the worst moment, at the end of the bank's life, without recharge),
// [Answer.Limits], checks and cautions. Its numbers are those of `plan --format json` for the changed file, or for one
// of its options. The outage is the one that the view looks at: [Answer.Outage], [Answer.Curve], strips and medical
// ends. It begins when the view says, in the month and under the sky of the view, with array and generator, every load
// spread evenly over its hours. Looking at another outage changes no number of the plan. To ask the plan for another
// length, month or start, change the file: {"do": "set", "table": "outage", "key": "autonomy_h", "value": 36}.
package live

import (
	"outlast/backup/edit"
)

// A Question is what the page asks.
type Question struct {
	Lang    string        `json:"lang"`
	Changes []edit.Change `json:"changes"`
	View    View          `json:"view"`

	Load     Ref      `json:"load"`     // of "try"
	Circuits []string `json:"circuits"` // of "weigh": ids; none: all
	Figure   string   `json:"figure"`   // of "weigh": that the page shows, [FigurePromise] (also "") or [FigureOutage]
	Numbers  []string `json:"numbers"`  // of "why": names; none: all steps
	Name     string   `json:"name"`     // of "text": that the file is to be saved under; "" is not looked at
}

// A View is the outage that is looked at.
type View struct {
	StartMin *int   `json:"start_min"` // minute of the day, 0 to 1439; null: the worst one of the month
	Hours    int    `json:"hours"`     // 1 to [MaxHours]; 0: as many as show what is asked for, and the end if it comes
	Month    int    `json:"month"`     // 1 to 12; 0: the plan's
	Sky      string `json:"sky"`       // "dull", "usual" or "bright"; "" is "usual"; without an array all are alike
	Option   string `json:"option"`    // name of an option of the file; "" is the home without one
}

// MaxHours is the longest outage that the page looks at: two weeks.
const MaxHours = 14 * 24

// A Ref finds a table of the file again: "at" is the id of a circuit, the name of a load, array or option; a load that
// has no name in the file has its place among the loads, from 1. A change takes both as they are given here.
type Ref struct {
	At    string `json:"at,omitempty"`
	Place int    `json:"place,omitempty"`
}

// An Answer is all that the page draws.
type Answer struct {
	Problems []Problem `json:"problems"` // if any: the changed file is refused, and nothing else is given

	Site    string   `json:"site"`
	Verdict *Verdict `json:"verdict"`
	// Medical is whom an end of the power endangers; it stands on top, whatever else is shown.
	Medical []Medical `json:"medical"`
	// MedicalAdvice is what to do when it ends; "" where nobody depends on a machine.
	MedicalAdvice string `json:"medical_advice"`

	Promise    *Hours  `json:"promise"`     // null: the plan fails, and promises nothing
	RequiredH  float64 `json:"required_h"`  // that the plan is asked for
	Required   string  `json:"required"`    // the same in words
	FirstLimit *Limit  `json:"first_limit"` // the tightest check, the first that fails if one does; null: none has a limit
	Outage     *Outage `json:"outage"`
	Curve      *Curve  `json:"curve"`

	// Circuits are those on the backup board, longest-lived first, then those on the main board; never null.
	Circuits []Circuit `json:"circuits"`
	Limits   []Limit   `json:"limits"` // the four bars: at once, hardest start, pass-through, energy

	Checks   []Check  `json:"checks"`   // all that fail, then all cautions
	Cautions []string `json:"cautions"` // of the plan, in sentences
	Safety   []string `json:"safety"`   // what stands in the foot of the picture, always
	Choices  Choices  `json:"choices"`
}

// A Problem is what is wrong with the changed file.
type Problem struct {
	Text   string `json:"text"`   // a sentence, in the language of the question
	Line   int    `json:"line"`   // of the changed file; 0: of none
	Change int    `json:"change"` // of the list, from 0; -1: not known which
}

// A Verdict is how the plan came out.
type Verdict struct {
	Status   string `json:"status"`   // "pass", "caution" or "fail"
	Title    string `json:"title"`    // a sentence
	Sentence string `json:"sentence"` // the reason: hours against what was asked for; of a plan that fails, what stands in the way
	// Note is what the title of a plan that does not fail leaves open: a month in which it does not last as long, or that
	// nothing is used. "": nothing.
	Note string `json:"note"`
	// More says what the figures rest on: that a new battery lasts longer, figures of classes. "" where
	// there is nothing to say.
	More string `json:"more"`
}

// Hours are hours that the bank carries what is on.
type Hours struct {
	Hours    float64 `json:"hours"`
	Text     string  `json:"text"`      // "about 18 hours", rounded down
	Long     bool    `json:"long"`      // hours is where the search was ended: it lasts longer
	Idle     bool    `json:"idle"`      // nothing is supplied: the text says so, and the hours are not to be shown
	FromMin  int     `json:"from_min"`  // minute of the day from which
	From     string  `json:"from"`      // "18:00"
	Until    string  `json:"until"`     // "12:20"
	DaysOn   int     `json:"days_on"`   // 0: on the same day, 1: on the next
	Reached  bool    `json:"reached"`   // it is as long as the plan is asked for, or has no end in what is looked at
	MissingH float64 `json:"missing_h"` // how much it falls short, else 0
	// Missing is the same in words: the difference of the two figures as they are shown, "" where nothing is missing.
	Missing  string `json:"missing"`
	Sentence string `json:"sentence"` // which of the two figures this is
}

// An Outage is the one that the view looks at. Hours are until the first circuit loses power; "long": none does.
type Outage struct {
	Hours
	LengthH   int          `json:"length_h"`
	ShowH     int          `json:"show_h"` // hours that a picture shows best: those of the view as long as it is all seen in them
	Month     int          `json:"month"`
	MonthName string       `json:"month_name"`
	Sky       string       `json:"sky"`
	Worst     bool         `json:"worst"`   // it begins at the worst moment of the month
	Title     string       `json:"title"`   // "The power fails on a July evening."
	Promise   *Hours       `json:"promise"` // from the worst moment of that month, without recharge; null: the plan fails
	DarkMin   int          `json:"dark_min"`
	Events    []Event      `json:"events"` // generator, loads switched off by the charge
	Nights    [][2]float64 `json:"nights"` // minutes from which to which the sun is down; none: the place is not known
	FuelL     float64      `json:"fuel_l"`
}

// An Event is something that happens on the way.
type Event struct {
	Min  int    `json:"min"`
	Kind string `json:"kind"` // "dark", "return", "dropped", "restored", "generator starts", "generator stops"
	Text string `json:"text"`
}

// A Curve is the charge of the bank through the outage.
type Curve struct {
	Points    [][2]float64 `json:"points"` // minute and charge, in order of time
	Floor     float64      `json:"floor"`  // the lowest charge of the plan
	FloorWord string       `json:"floor_word"`
	Reserve   float64      `json:"reserve"` // the charge that is kept for outages, at which it begins
	ResWord   string       `json:"reserve_word"`
}

// A Circuit is a row of the house and, on the backup board, a strip of the picture.
type Circuit struct {
	Ref     Ref    `json:"ref"`
	ID      string `json:"id"`
	Label   string `json:"label"`
	Board   string `json:"board"`   // "backup" or "main", as planned
	Asked   string `json:"asked"`   // "backup", "main" or "either", as the file says
	Assumed bool   `json:"assumed"` // the file does not have it: the planner put a load without a circuit here
	// Write are the changes before its board can be changed: an assumed circuit is put into the file as it is, one of which
	// the planner picks the phase is given that; null for others.
	Write    []edit.Change `json:"write"`
	Breaker  string        `json:"breaker"` // its number on the board: "B3"
	Priority int           `json:"priority"`
	RunningW float64       `json:"running_w"`
	EnergyWh float64       `json:"energy_wh_per_day"`
	Reason   string        `json:"reason"`   // why it is on that board
	Mark     string        `json:"mark"`     // what it breaks, in words; "": nothing that is known without weighing
	Strips   [][2]int      `json:"strips"`   // minutes from which to which something on it runs
	EndMin   *int          `json:"end_min"`  // when it first loses power; null: it does not in this outage, or nothing on it runs
	EndWord  string        `json:"end_word"` // why, in a word or two
	Loads    []LoadState   `json:"loads"`    // never null: a spare way, or one whose last load was taken away, has an empty list
}

// A LoadState is one load as it stands. A large home has hundreds: what is not so, or not known, is left out.
type LoadState struct {
	Ref         Ref      `json:"ref"`
	Name        string   `json:"name"`
	Quantity    int      `json:"quantity"`
	HoursDay    float64  `json:"hours_per_day"`
	RunningW    float64  `json:"running_w"` // of one unit
	Priority    int      `json:"priority"`
	HeldOff     bool     `json:"held_off,omitzero"`      // left off in an outage
	OutOfSeason bool     `json:"out_of_season,omitzero"` // in the month that is looked at it counts for nothing
	Medical     bool     `json:"medical,omitzero"`
	Typical     []string `json:"typical,omitempty"` // keys whose figures are those of a class: "running_w", "starting_va", "hours_per_day"
	LowW        float64  `json:"low_w,omitzero"`    // the span of the class, where running_w is typical
	HighW       float64  `json:"high_w,omitzero"`
}

// A Limit is one bar: what is asked against what is there.
type Limit struct {
	ID       string      `json:"id"`  // of the check it tells of
	Bar      string      `json:"bar"` // "at-once", "start", "pass-through", "energy"; "" of first_limit where it is none of them
	Name     string      `json:"name"`
	Status   string      `json:"status"`
	Value    float64     `json:"value"`
	Limit    *float64    `json:"limit"` // null: not known
	Unit     string      `json:"unit"`
	Text     string      `json:"text"`   // value and limit in words
	Phases   []PhasePart `json:"phases"` // where there are several
	Sentence string      `json:"sentence"`
	Remedy   string      `json:"remedy"` // the cheapest that the engine knows; "": it passes, or nothing is known
}

// A PhasePart is a bar of one phase.
type PhasePart struct {
	Phase int     `json:"phase"`
	Value float64 `json:"value"`
	Limit float64 `json:"limit"`
}

// A Check is one comparison that does not simply pass.
type Check struct {
	ID     string `json:"id"`
	Status string `json:"status"`
	Name   string `json:"name"`
	Text   string `json:"text"`
}

// Choices are what may be chosen.
type Choices struct {
	Strings     int      `json:"strings"`     // that the plan installs
	SizedByPlan bool     `json:"sized"`       // the planner chose them
	MaxStrings  int      `json:"max_strings"` // that make sense to offer
	StringWord  string   `json:"string_word"` // "2 strings of lfp-51-100, 10.2 kWh"
	Options     []string `json:"options"`     // names; the home without one is not in it
	AutonomyH   float64  `json:"autonomy_h"`  // as the file says
	StartGiven  *int     `json:"start_given"` // minute of the day that the file gives; null: worst
	MonthGiven  int      `json:"month_given"` // 0: the planner's choice
	Reserve     float64  `json:"reserve"`
	MinReserve  float64  `json:"min_reserve"` // above which the reserve must be
	HasArray    bool     `json:"has_array"`
	Inverter    string   `json:"inverter"` // its label
	Bank        string   `json:"bank"`
	Boards      []string `json:"boards"` // "backup", "main"
}

// A Medical is a load that somebody depends on.
type Medical struct {
	Ref      Ref    `json:"ref"`
	Name     string `json:"name"`
	Circuit  string `json:"circuit"`
	EndMin   *int   `json:"end_min"` // when it loses power in this outage; null: it does not
	Sentence string `json:"sentence"`
}

// Weights are what circuits cost.
type Weights struct {
	Circuits []Weight `json:"circuits"`
}

// A Weight is one circuit, weighed by doing the other thing with it, as a touch of its switch would: a circuit of the
// backup board is taken off, one of the main board put on, and the home is planned anew.
type Weight struct {
	ID    string `json:"id"`
	Board string `json:"board"` // where it is now
	// GainsH are the hours by which the figure is longer without it; of one on the main board, that it costs. null: the
	// page would show no figure, or one of another kind.
	GainsH  *float64 `json:"gains_h"`
	Text    string   `json:"text"`    // "3 h 40 min more without it": the difference of the figures as they are shown
	Moves   []Moved  `json:"moves"`   // circuits that the planner would then decide otherwise
	Then    string   `json:"then"`    // the same in words
	Breaks  []string `json:"breaks"`  // what fails because of it, in words; of one that is on the main board or not allowed: what would
	Cures   bool     `json:"cures"`   // without it the whole plan passes
	Allowed bool     `json:"allowed"` // nothing more fails after the touch
}

// A Moved circuit is one that the planner puts on another board.
type Moved struct {
	ID    string `json:"id"`
	Board string `json:"board"` // where it comes
}

// A Trial is what would happen if a load that is left off were switched on now.
type Trial struct {
	Name     string   `json:"name"`
	Holds    bool     `json:"holds"`   // nothing switches off
	Seconds  *float64 `json:"seconds"` // after which the inverter switches off; null: it does not, 0: at once
	Sentence string   `json:"sentence"`
	Limits   []Limit  `json:"limits"`  // the four bars as they would be
	CostsH   float64  `json:"costs_h"` // hours of the promise that it costs when it stays in use as the file says; 0 where the plan fails
}

// Whys are steps of the working.
type Whys struct {
	Steps []WhyStep `json:"steps"`
}

// A WhyStep is one step: what is worked out, by which formula, with which numbers, and where they come from.
type WhyStep struct {
	No      int    `json:"no"`
	Title   string `json:"title"`
	Formula string `json:"formula"`
	Numbers string `json:"numbers"`
	Result  string `json:"result"`
	Source  string `json:"source"`
}

// A TextAnswer is the site file with the changes.
type TextAnswer struct {
	Text string `json:"text"`
}

// Words are what the page needs once.
type Words struct {
	Lang      string            `json:"lang"`
	Languages []string          `json:"languages"`
	Texts     map[string]string `json:"texts"`  // those whose id begins with "page.", without it
	Months    []string          `json:"months"` // January first
	Short     []string          `json:"months_short"`
	Skies     []Sky             `json:"skies"`
}

// Classes are what can be added.
type Classes struct {
	Lang  string `json:"lang"`
	Rooms []Room `json:"rooms"`
}

// A Sky is a kind of weather.
type Sky struct {
	ID   string `json:"id"`
	Word string `json:"word"`
}

// A Room is where appliances stand.
type Room struct {
	ID      string  `json:"id"`
	Name    string  `json:"name"`
	Classes []Class `json:"classes"`
}

// A Class is a class of appliances of the catalog. To add one: {"do": "add", "table": "load", "values": {"use": id}}.
type Class struct {
	ID       string   `json:"id"`
	Label    string   `json:"label"`
	Search   []string `json:"search"` // in lower case, in all four languages
	RunningW float64  `json:"running_w"`
	HoursDay float64  `json:"hours_per_day"`
	Medical  bool     `json:"medical"`
}
