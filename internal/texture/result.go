package texture

import (
	"bytes"
	"encoding/json"

	"tamis/internal/quantity"
	"tamis/internal/stats"
)

// Number is a number or a typed absence.
type Number = quantity.Number

// Options of an analysis. The zero value of a field means its default.
type Options struct {
	Seed     uint64   // default 1
	Draws    int      // default 2000
	Level    float64  // of intervals, default 0.95
	Measures []string // only these; empty = all
	Type     string   // of sums of squares: "I", "II" or "III"; default "II"
	// Quick leaves out everything that needs draws, the panel and sensitivity.
	Quick bool
}

// Result is everything that was computed from one trial.
type Result struct {
	Seed     uint64          `json:"seed"`
	Draws    int             `json:"draws"`
	Level    float64         `json:"level"`
	Units    []Unit          `json:"units"`
	Variance []VarianceLevel `json:"variance_levels"`
	Measures Measures        `json:"measures"`
	Windows  []Window        `json:"windows"`
	Together *Together       `json:"aims_together,omitempty"`
	Tests    []DiffTest      `json:"difference_tests,omitempty"`
	Next     []NextCook      `json:"next,omitempty"`
	Cannot   []Cannot        `json:"cannot,omitempty"`
	Warnings []stats.Warning `json:"warnings"`
	// Names maps P1, P2 … to the assessors of the file. It is for a caller who was
	// asked for names and never printed otherwise.
	Names map[string]string `json:"-"`
}

// Unit is the unit of one factor: what its n counts.
type Unit struct {
	Factor string   `json:"factor"`
	Unit   string   `json:"unit"` // cook, piece, session, block, source, tub, score
	N      int      `json:"n"`
	Levels []string `json:"levels"`
	// PerLevel counts the units at each level.
	PerLevel []int `json:"per_level"`
	// Crossed names groupings that are valid as well and stay random levels.
	Crossed []string `json:"crossed,omitempty"`
	// MovesWith names other factors that cannot be told apart from this one.
	MovesWith []string `json:"moves_with,omitempty"`
}

// VarianceLevel is one level of variation: whether it enters, and if not, with
// what it is mixed up and what that costs.
type VarianceLevel struct {
	Level     string `json:"level"` // session, block, source, cook, piece, assessor, assessor:arm, repeat
	N         int    `json:"n"`
	Separable bool   `json:"separable"`
	MixedWith string `json:"mixed_with,omitempty"`
	// NotRecorded says that some observations do not name their group.
	NotRecorded bool   `json:"not_recorded,omitempty"`
	Cost        string `json:"cost,omitempty"`
}

// Cannot is a part that has no answer here, with what would give one.
type Cannot struct {
	What string `json:"what"` // stable: "test:set_point", "curve", "window", "panel" …
	Why  string `json:"why"`
	Need string `json:"need,omitempty"`
}

// Measures keeps the order of the trial file and prints as one JSON object.
type Measures []*Measure

// Named finds a measure.
func (ms Measures) Named(name string) *Measure {
	for _, m := range ms {
		if m.Name == name {
			return m
		}
	}
	return nil
}

// MarshalJSON prints {"firmness": {…}, …} in the order of the file.
func (ms Measures) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, m := range ms {
		if i > 0 {
			b.WriteByte(',')
		}
		k, err := json.Marshal(m.Name)
		if err != nil {
			return nil, err
		}
		v, err := json.Marshal(m)
		if err != nil {
			return nil, err
		}
		b.Write(k)
		b.WriteByte(':')
		b.Write(v)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// Measure is everything about one measure.
type Measure struct {
	Name string `json:"name"`
	Kind string `json:"kind"` // scale, amount, just_right, rank, yes_no
	Unit string `json:"unit,omitempty"`
	// Scale is low and high of a bounded scale, absent for an amount.
	Scale []float64 `json:"scale,omitempty"`

	Observations int `json:"observations"`
	Blank        int `json:"blank"`
	LeftOut      int `json:"left_out"`
	Cooks        int `json:"cooks"`
	Pieces       int `json:"pieces"`
	Assessors    int `json:"assessors"`

	Model       *Model       `json:"model,omitempty"`
	Tests       []Test       `json:"tests"`
	Arms        []Arm        `json:"arms"`  // by set point, averaged over methods
	Cells       []Arm        `json:"cells"` // set point × method, where both vary
	Levels      []Arm        `json:"levels"`
	Points      []Point      `json:"points"` // one a cook and method, for the figure
	Differences []Difference `json:"differences"`
	// PanelMeans and PanelDifferences answer the L1 question: what these
	// assessors tell apart in the food that was served, judged by assessor × level.
	PanelMeans       []Arm           `json:"panel_means,omitempty"`
	PanelDifferences []Difference    `json:"panel_differences,omitempty"`
	Line             *Line           `json:"line,omitempty"`
	Curves           []Curve         `json:"curves"`
	Treatments       []Treatment     `json:"treatments,omitempty"`
	Place            []PlaceEffect   `json:"serving,omitempty"`
	Diagnostics      []Diagnostics   `json:"diagnostics,omitempty"` // of the fits on unit means, coarsest unit first
	Panel            *Panel          `json:"panel,omitempty"`
	Penalty          []Penalty       `json:"penalty,omitempty"`
	Sensitivity      *Sensitivity    `json:"sensitivity,omitempty"`
	Cannot           []Cannot        `json:"cannot,omitempty"`
	Warnings         []stats.Warning `json:"warnings,omitempty"`
}

// Model is the mixed model that stands beside the headline.
type Model struct {
	Fixed    string         `json:"fixed"`
	Random   []RandomTerm   `json:"random"`
	Residual Number         `json:"residual"`
	REML     Number         `json:"reml"`
	Rows     int            `json:"rows"`
	Aliased  []string       `json:"aliased,omitempty"`
	Status   stats.Status   `json:"status"`
	Absent   string         `json:"absent,omitempty"` // why there is no model
	Coeffs   []Coefficient  `json:"coefficients,omitempty"`
	Warn     *stats.Warning `json:"warning,omitempty"`
}

// RandomTerm is one variance component.
type RandomTerm struct {
	Term     string  `json:"term"`
	Levels   int     `json:"levels"`
	Variance float64 `json:"variance"`
}

// Roles of a test.
const (
	RoleHeadline = "headline" // on the stratum of the factor's unit
	RoleMixed    = "mixed"    // the mixed model beside it
	RoleCurve    = "curve"    // a candidate curve of the second stage against free means
	RoleL1       = "L1"       // assessor blocks: about these cooks, not about the set point
)

// Test is one test, with the question that it answers.
type Test struct {
	Term     string `json:"term"` // set_point, brine, recipe:set_point …
	Role     string `json:"role"`
	Question string `json:"question"`
	Unit     string `json:"unit"`
	Stat     string `json:"statistic"` // F, chi2, L, changed
	Value    Number `json:"value"`     // of the statistic
	F        Number `json:"F"`         // the value again where it is an F
	DF1      Number `json:"df1"`
	DF2      Number `json:"df2"`
	P        Number `json:"p"`
	Method   string `json:"method"`
	// Blocks lists what was removed.
	Blocks []string `json:"blocks,omitempty"`
	// SumSq and ErrorSumSq are given where the test is a ratio of mean squares.
	SumSq      *Number `json:"sum_sq,omitempty"`
	ErrorSumSq *Number `json:"error_sum_sq,omitempty"`
	// Note is a reservation about this very test.
	Note string `json:"note,omitempty"`
	// Cannot says why there is no test, Need what to repeat.
	Cannot string `json:"cannot,omitempty"`
	Need   string `json:"need,omitempty"`
}

// Arm is a mean with its uncertainty: an arm, a cell or a level of a factor.
type Arm struct {
	Arm      string  `json:"arm"`              // label: "54 °C", "54 °C, dry-brined", "A"
	Term     string  `json:"term"`             // the factor or factors that Arm is a level of
	Method   string  `json:"method,omitempty"` // of a cell
	SetPoint Number  `json:"set_point"`        // °C
	N        int     `json:"n"`                // units (cooks)
	Obs      int     `json:"observations"`
	Mean     Number  `json:"mean"`
	SE       Number  `json:"se"`
	DF       Number  `json:"df"`
	Low      Number  `json:"low"`
	High     Number  `json:"high"`
	Letters  string  `json:"letters"`
	LSD      string  `json:"letters_lsd,omitempty"` // by the unadjusted procedure
	Covers   string  `json:"interval_covers"`       // "cooks", or "pieces and tasters only"
	RawMean  float64 `json:"raw_mean"`              // of all numbers, unadjusted
}

// ByTerm splits levels into one list a factor, in their order.
func ByTerm(levels []Arm) [][]Arm {
	var out [][]Arm
	for i, a := range levels {
		if i == 0 || a.Term != levels[i-1].Term {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], a)
	}
	return out
}

// Point is one cook (and method) of the figure.
type Point struct {
	Cook     string  `json:"cook"`
	Method   string  `json:"method,omitempty"`
	Session  string  `json:"session,omitempty"`
	SetPoint Number  `json:"set_point"`
	Mean     float64 `json:"mean"`
	Obs      int     `json:"observations"`
	// Pieces are the means of its pieces, where pieces are known.
	Pieces []float64 `json:"pieces,omitempty"`
}

// Difference is one comparison of two arms or levels.
type Difference struct {
	Term     string `json:"term"`
	A        string `json:"a"`
	B        string `json:"b"`
	Estimate Number `json:"estimate"` // A minus B
	SE       Number `json:"se"`
	DF       Number `json:"df"`
	Low      Number `json:"low"`
	High     Number `json:"high"`
	T        Number `json:"t"`
	P        Number `json:"p"` // adjusted by Adjust
	PRaw     Number `json:"p_unadjusted"`
	Adjust   string `json:"adjustment"` // tukey, dunnett, none
	Against  bool   `json:"against_control,omitempty"`
}

// Coefficient is one estimated number of a model.
type Coefficient struct {
	Name     string `json:"name"`
	Estimate Number `json:"estimate"`
	SE       Number `json:"se"`
	DF       Number `json:"df"`
	T        Number `json:"t"`
	P        Number `json:"p"`
}

// Treatment is the effect of a factor with two levels at each set point.
type Treatment struct {
	Factor      string       `json:"factor"`
	A           string       `json:"a"`
	B           string       `json:"b"`
	Unit        string       `json:"unit"`
	Paired      bool         `json:"paired_by_source"`
	Average     Difference   `json:"average"`
	From        string       `json:"average_from"` // FromStratum or FromComparison
	At          []Difference `json:"at_set_points"`
	SetPoints   []Number     `json:"set_points"`
	Interaction Test         `json:"interaction"`
	Ratio       *Ratio       `json:"ratio,omitempty"` // amounts only
}

// Where the average of a treatment comes from.
const (
	FromStratum    = "differences"           // the same row as in Differences
	FromComparison = "average_of_set_points" // the stratum gives none: the differences at the set points, averaged equally
)

// Ratio of two amounts.
type Ratio struct {
	Estimate Number `json:"estimate"`
	Low      Number `json:"low"`
	High     Number `json:"high"`
}

// Sensitivity is how far the answer depends on choices.
type Sensitivity struct {
	Estimand   string        `json:"estimand"` // what is compared across analyses
	Analyses   []Alternative `json:"analyses"`
	Agree      Number        `json:"share_same_sign"`
	Robustness *Robustness   `json:"robustness,omitempty"`
	LeaveOut   []LeaveOut    `json:"leave_out"`
	// Tried counts what was left out in turn, by kind; LeaveOut lists at most
	// the ten with the largest shift of each kind above forty.
	Tried map[string]int `json:"leave_out_tried,omitempty"`

	ends     []float64
	straight bool
}

// Ends are the two set points in °C that Estimand compares, the colder one
// first; straight says that it follows a line through those between. ok is false
// where it compares something else.
func (s *Sensitivity) Ends() (cold, hot float64, straight, ok bool) {
	if len(s.ends) != 2 {
		return 0, 0, false, false
	}
	return s.ends[0], s.ends[1], s.straight, true
}

// Alternative is one other defensible analysis.
type Alternative struct {
	Name     string `json:"name"`
	Headline bool   `json:"headline"`
	Estimate Number `json:"estimate"`
	Low      Number `json:"low"`
	High     Number `json:"high"`
	P        Number `json:"p"`
	Note     string `json:"note,omitempty"`
}

// Robustness is how strong an unmeasured difference would have to be.
type Robustness struct {
	Value   Number `json:"value"`   // takes the estimate to zero
	ValueP  Number `json:"value_p"` // takes the interval to zero
	Partial Number `json:"partial_r2"`
	DF      Number `json:"df"`
}

// LeaveOut is the headline estimate without one unit.
type LeaveOut struct {
	Kind     string `json:"kind"` // cook, source, assessor
	ID       string `json:"id"`
	Estimate Number `json:"estimate"`
	Half     Number `json:"half_width"` // of the interval around that estimate
	Shift    Number `json:"shift"`      // in SE of the full estimate
	Changes  bool   `json:"changes_conclusion"`
}

// DiffTest is one difference test of the file, analysed.
type DiffTest struct {
	Kind      string   `json:"kind"`
	Between   []string `json:"between"`
	Answers   int      `json:"answers"`
	Correct   int      `json:"correct"`
	P         Number   `json:"p"`
	Least     int      `json:"least_correct"`
	DPrime    Number   `json:"d_prime"`
	SE        Number   `json:"se"`
	Low       Number   `json:"low"`
	High      Number   `json:"high"`
	PD        Number   `json:"pd"`
	PDLow     Number   `json:"pd_low"`
	PDHigh    Number   `json:"pd_high"`
	Similar   *bool    `json:"similar,omitempty"`
	MostAllow int      `json:"most_correct_for_similar,omitempty"`
	// SimilarUpper is the upper limit of the share that can tell them apart, at
	// the confidence that the similarity test asks for.
	SimilarUpper  *Number `json:"similar_pd_upper,omitempty"`
	SimilarCannot string  `json:"similar_cannot,omitempty"`
	TwoSided      bool    `json:"two_sided,omitempty"`
	// Cannot says why the counts have no answer.
	Cannot   string          `json:"cannot,omitempty"`
	Warnings []stats.Warning `json:"warnings,omitempty"`
}

// NextCook is one thing to cook next, best first.
type NextCook struct {
	SetPoint  float64 `json:"set_point"` // °C
	Method    string  `json:"method"`
	Repeats   int     `json:"repeats"`
	New       bool    `json:"new"` // not cooked before
	WidthNow  Number  `json:"width_now"`
	WidthThen Number  `json:"width_then"`
	Narrows   Number  `json:"narrows_by"` // share of the width
}
