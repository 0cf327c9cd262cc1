package trial

import (
	"tamis/internal/diag"
	"tamis/internal/quantity"
)

// Origin names where a trial was read from.
type Origin struct {
	File   string   // the path as the user typed it
	Base   string   // the file's own name, for outputs that must not depend on the folder
	SHA256 string   // over the trial file and every file that it names
	Files  []string // those files, relative to the trial's folder, sorted; the trial file first
	Text   string   // of the trial file
}

// Trial is one question, its cooks and its scores.
type Trial struct {
	Origin Origin

	Title      Opt[string]
	Question   Opt[string]
	Date       Opt[Date]
	By         Opt[string]
	Status     Opt[Status]
	Declared   Opt[Date] // when question, aim and analysis were fixed; absent = afterwards
	Disclosure Opt[string]
	Language   Opt[string] // of the conclusion
	Aims       []Aim       // must hold together; the first is the primary one
	Serve      []Group     // empty = both
	Rules      Opt[Rules]  // absent = the strictest
	Compare    Opt[Compare]
	Medium     Opt[Medium] // absent = water bath
	Food       Food
	Measures   []Measure // in the order of the file
	Factors    []Factor  // in the order of the file
	Parts      []string  // order along the source
	Sources    []Source
	Baths      []Bath
	Sessions   []Session
	Cooks      []Cook
	Panel      Opt[Panel]
	Tests      []DifferenceTest
	Photos     []Photo
	Deviations []Deviation
	Decision   Opt[Decision]
	Conclusion Opt[string] // the author's own words
	Accept     []Accept
	Notes      Opt[string] // Markdown
	Design     Opt[Design] // before the cook

	Drawn       Opt[Drawn]
	Analysis    Opt[string] // unit of an analysis done elsewhere
	Looks       Opt[int]    // how often results were looked at before the last cook
	Pilot       Opt[string] // file of an earlier trial
	LeftOutRule Opt[string]
	Thresholds  []Threshold
}

// Best says that an aim wants a measure as large or as small as it can be.
type Best string

// The two directions.
const (
	Highest Best = "highest"
	Lowest  Best = "lowest"
)

// Aim is one thing that must hold: a target range, a limit, or the best.
// Exactly one of Target, AtMost, AtLeast and Best is known.
type Aim struct {
	Measure string
	Target  Opt[Range]
	AtMost  Opt[float64]
	AtLeast Opt[float64]
	Best    Opt[Best]
	For     Opt[string] // for whom
	At      diag.Pos
}

// Compare holds the declared comparisons.
type Compare struct {
	Against Opt[string] // the control: a cook id, a set point or a level
	Brine   Opt[string] // "paired"
	Method  Opt[string] // the declared headline method, by its label
}

// MeasureKind says how a measure was observed.
type MeasureKind string

// The kinds of measure.
const (
	ScaleScore MeasureKind = "scale"      // a score on a bounded scale
	Amount     MeasureKind = "amount"     // a number with a unit
	JustRight  MeasureKind = "just_right" // just-about-right, the middle is right
	Rank       MeasureKind = "rank"       // 1 = first
	YesNo      MeasureKind = "yes_no"     // 0 = no, 1 = yes
)

// Measure is anything observed on a piece.
type Measure struct {
	Name string
	Kind MeasureKind
	// Scale is the range of a ScaleScore or JustRight scale, or 1 to n for Rank.
	Scale      Range
	LowWord    Opt[string] // what the low end means
	HighWord   Opt[string]
	Unit       Opt[string] // of an Amount
	From       Opt[string] // "weights": computed from the masses
	By         Opt[string] // how it was observed ("photo"); such a measure is not tasted
	Matters    Opt[float64]
	SameWithin Opt[float64]
	Spread     Opt[float64] // expected SD between runs
	Role       Opt[string]  // "salt", "liking"
	At         diag.Pos
}

// FromWeights reports whether the measure is computed from the masses.
func (m *Measure) FromWeights() bool { return m.From.Known && m.From.V == "weights" }

// Factor is anything else that was varied on purpose.
type Factor struct {
	Name   string
	Levels []string
	At     diag.Pos
}

// Food describes what was cooked.
type Food struct {
	Name        Opt[string]
	Kind        Opt[string] // a row of the food table
	Form        Opt[Form]
	Shape       Opt[Shape]
	Sides       []quantity.Length // three, for a block
	Thickness   Opt[quantity.Length]
	Start       Opt[quantity.Temperature]
	Frozen      Opt[Frozen] // of all pieces; a source may say otherwise
	Histamine   Opt[bool]   // a fish that forms histamine when it is kept warm
	Composition Opt[Composition]
}

// Composition of the food by mass.
type Composition struct {
	Water, Protein, Fat, Carbohydrate, Fibre, Ash, Salt Opt[quantity.Share]
}

// Frozen describes freezing before the trial. Is without the rest is a plain
// yes or no.
type Frozen struct {
	Is  bool
	Tmp Opt[quantity.Temperature] // at which it was frozen solid, and held where Then is not stated
	// Then is at what it was held from then on, for For.
	Then Opt[quantity.Temperature]
	For  Opt[quantity.Duration]
	By   Opt[string]
}

// Thawed describes thawing.
type Thawed struct {
	To  Opt[quantity.Temperature]
	For Opt[quantity.Duration]
}

// Parasites describes their control and its evidence.
type Parasites struct {
	Control Opt[ParasiteControl]
	Record  Opt[string]
}

// Source is what pieces were cut from: a fish, a loin, a lot.
type Source struct {
	ID        string
	Lot       Opt[string]
	Caught    Opt[Date]
	Frozen    Opt[Frozen]
	Thawed    Opt[Thawed]
	Parasites Opt[Parasites]
	KeptAt    Opt[quantity.Temperature]
	At        diag.Pos
}

// Bath is one bath, oven or pan with what is known of it.
type Bath struct {
	ID      string
	Reads   Opt[quantity.Difference] // reading minus truth: "0.1 °C high" is +0.1 K
	Checked Opt[Date]
	Volume  Opt[quantity.Volume]
	Power   Opt[quantity.Power]
	At      diag.Pos
}

// Session is one sitting at the baths.
type Session struct {
	ID   string
	Date Opt[Date]
	At   diag.Pos
}

// Drawn says what was drawn by lot.
type Drawn struct {
	Order  Opt[bool]
	Pieces Opt[bool]
	Seed   Opt[uint64]
	// OrderWithin is the restriction of the lot for the run order: the largest
	// correlation with the set point within sessions, by value or by rank, that a
	// draw was allowed to have. 1 is no restriction.
	OrderWithin Opt[float64]
}

// Threshold sets an option of a fairness check. Value is kept as typed.
type Threshold struct {
	Name  string
	Value string
	At    diag.Pos
}

// DifferenceTest is the count of a discrimination test.
type DifferenceTest struct {
	Kind       TestKind
	Between    []string // two cook ids
	Answers    int
	Correct    int
	Similarity Opt[Similarity]
	At         diag.Pos
}

// Similarity asks whether two cooks are alike for all practical ends.
type Similarity struct {
	PD   quantity.Share
	Beta quantity.Share
}

// Photo is a picture beside the file.
type Photo struct {
	File    string
	Of      Opt[string]
	Caption Opt[string]
	Alt     Opt[string]
	Credit  Opt[string]
	Licence Opt[string]
	Pos     diag.Pos
}

// Deviation is something that did not go to plan.
type Deviation struct {
	Cook    Opt[string]
	Clock   Opt[Clock]
	What    Opt[string]
	Minutes Opt[float64]
	At      diag.Pos
}

// Decision is what the kitchen settled on.
type Decision struct {
	SetPoint  Opt[quantity.Temperature]
	Time      Opt[quantity.Duration]
	Tolerance Opt[quantity.Difference]
	HoldsFor  Opt[quantity.Duration]
	By        Opt[string]
	On        Opt[Date]
}

// Accept names a finding that the author knows about.
type Accept struct {
	Finding string
	Because Opt[string]
	Where   []string  // ids it is narrowed to; empty = all
	Until   Opt[Date] // last day it counts
	At      diag.Pos
}
