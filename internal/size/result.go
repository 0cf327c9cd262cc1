package size

import (
	"tamis/internal/prose"
	"tamis/internal/quantity"
)

// Schema names the version of the result.
const Schema = "size/1"

// Defaults of a request.
const (
	DefaultAlpha = 0.05
	DefaultPower = 0.8
	DefaultSeed  = 1
	DefaultDraws = 1000
)

// Request is a question with everything that is known.
type Request struct {
	Design   Design
	Spread   Spread
	Question Question
	Prices   *Prices // nil: no search for the cheapest design
	Bounds   Bounds
	Seed     uint64
	Draws    int // of each simulation; 0: none
	Words    Words
}

// Words are how things are called, and where the spread comes from.
type Words struct {
	Measure string // "firmness", or nothing
	Unit    string // "points", "N", "SD"
	Arm     string // "set point", or the factor that a file varies
	Factor  string // of pieces, whose levels are compared: "brine"; nothing else
	Block   string // what sessions stand for: "session", or the block of a file
	From    From
	// SpreadDF are the degrees of freedom behind the spread between cooks, 0 when
	// it is not an estimate.
	SpreadDF int
}

// From says where the spread comes from.
type From string

// The origins of a spread.
const (
	FromFlags    From = "flags"
	FromCooks    From = "the trial's cooks"
	FromPieces   From = "the trial's pieces"
	FromDeclared From = "the trial's own expectation"
	FromNowhere  From = "nowhere: one standard deviation between cooks is taken as 1"
	// FromNoPieces is the same of pieces.
	FromNoPieces From = "nowhere: one standard deviation between pieces is taken as 1"
)

// Result is the answer. Exactly one of Cooks and Answers is there.
type Result struct {
	Tamis   string   `json:"tamis"`
	Version string   `json:"version"`
	Trial   *Origin  `json:"trial,omitempty"`
	Cooks   *Cooks   `json:"cooks,omitempty"`
	Answers *Answers `json:"answers,omitempty"`
	Text    Text     `json:"text"`
}

// Origin is the trial that sizes and spreads were taken from.
type Origin struct {
	File    string `json:"file"`
	SHA256  string `json:"sha256"`
	Title   string `json:"title"`
	Measure string `json:"measure"`
}

// Text are the sentences of the answer, in the order in which they are read.
type Text struct {
	// Danger says that what is sized must not be eaten and is only weighed and
	// sheared; nil otherwise. It is read first.
	Danger  []prose.Sentence `json:"danger,omitempty"`
	Answer  []prose.Sentence `json:"answer"`
	Why     []prose.Sentence `json:"why"`
	Cheap   []prose.Sentence `json:"cheapest,omitempty"`
	Assumed []prose.Sentence `json:"assumed"`
	Checked []prose.Sentence `json:"checked,omitempty"`
}

// Cooks is the answer for a comparison of set points.
type Cooks struct {
	Unit string `json:"unit"`
	Arm  string `json:"arm"`
	// Factor is the factor of pieces whose levels are compared; nothing where set
	// points are.
	Factor     string   `json:"factor_of_pieces,omitempty"`
	Question   Question `json:"question"`
	Design     Design   `json:"design"`
	Spread     Spread   `json:"spread"`
	SpreadFrom From     `json:"spread_from"`
	// SpreadLow and SpreadHigh are the 95 % interval of the standard deviation of
	// a cook's mean where it was estimated, or of a piece's mean where a factor of
	// pieces is compared.
	SpreadLow  quantity.Number `json:"spread_low"`
	SpreadHigh quantity.Number `json:"spread_high"`
	Now        Point           `json:"now"`
	Needed     *Point          `json:"needed,omitempty"`
	// NeededNot says why no number of cooks was found.
	NeededNot string `json:"needed_not,omitempty"`
	// Floor is the smallest visible effect of the design with pieces and people
	// without end; with people without end where a factor of pieces is compared.
	Floor     quantity.Number `json:"visible_with_endless_pieces_and_assessors"`
	Curve     []Point         `json:"curve"`
	Cheapest  *Cheapest       `json:"cheapest,omitempty"`
	Simulated []Simulated     `json:"simulated,omitempty"`
	Seed      uint64          `json:"seed"`
}

// Point is one design with what it can see.
type Point struct {
	Design    Design          `json:"design"`
	Cooks     int             `json:"cooks"` // of all set points
	DF        int             `json:"df"`
	SD        float64         `json:"cook_mean_sd"`
	PieceSD   float64         `json:"piece_mean_sd,omitempty"` // where a factor of pieces is compared
	Visible   quantity.Number `json:"visible"`                 // the effect seen with the power asked for
	Power     quantity.Number `json:"power"`                   // for the effect of the question
	HalfWidth quantity.Number `json:"half_width"`              // of the 95 % interval of a difference
	Cannot    string          `json:"cannot,omitempty"`
	Need      string          `json:"need,omitempty"`
}

// Cheapest is the outcome of the search.
type Cheapest struct {
	Prices  Prices          `json:"prices"`
	Bounds  Bounds          `json:"searched_up_to"`
	Looked  int             `json:"designs_looked_at"`
	Found   bool            `json:"found"`
	Point   *Point          `json:"point,omitempty"` // the cheapest, or the best there is
	Cost    quantity.Number `json:"cost"`
	NowCost float64         `json:"cost_of_given_design"`
	// Limits names the bounds that the point lies on.
	Limits []string `json:"limits,omitempty"`
}

// Simulated is one simulation beside its closed form.
type Simulated struct {
	Design  Design  `json:"design"`
	Effect  float64 `json:"effect"`
	Draws   int     `json:"draws"`
	Seen    int     `json:"seen"`
	NoTest  int     `json:"without_test"` // draws whose analysis gave no test
	Share   float64 `json:"share"`
	Error   float64 `json:"monte_carlo_se"`
	Formula float64 `json:"closed_form"`
	Within  bool    `json:"within_three_errors"`
}
