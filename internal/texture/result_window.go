package texture

import "tamis/internal/stats"

// Line is the straight line and the parabola through the unit means, with the
// blocks removed: the part of the curve that has exact tests.
type Line struct {
	Slope      Coefficient `json:"slope"`       // per °C
	SlopeF     Coefficient `json:"slope_per_f"` // per °F
	Quadratic  Coefficient `json:"quadratic"`   // per °C²
	LackOfLine Test        `json:"lack_of_line"`
	LackOfQuad Test        `json:"lack_of_parabola"`
	Blocks     []string    `json:"blocks"`
	Crossings  []Crossing  `json:"crossings"`
}

// Crossing is the set point at which a curve reaches a value.
type Crossing struct {
	Value    float64 `json:"value"` // of the measure
	Limit    string  `json:"limit"` // which aim's end: "low" or "high"
	SetPoint Number  `json:"set_point"`
	Low      Number  `json:"low"`
	High     Number  `json:"high"`
	LowOpen  bool    `json:"low_open"`
	HighOpen bool    `json:"high_open"`
	Inside   bool    `json:"inside"` // within the set points that were cooked
	Method   string  `json:"method"` // fieller, draws
	Note     string  `json:"note,omitempty"`
}

// Curve is a measure against the set point for one method.
type Curve struct {
	Method     string      `json:"method"`
	Candidates []Candidate `json:"candidates"`
	Average    []CurveDot  `json:"average"`
	Crossings  []Crossing  `json:"crossings"`
	Shape      string      `json:"shape"` // "curve", "line only", "no shape can be seen"
	CookSD     Number      `json:"cook_sd"`
	CookSDFrom string      `json:"cook_sd_from"` // repeats, or residual about the curve
	CookDF     Number      `json:"cook_df"`
	Covers     string      `json:"band_covers"`
}

// Candidate is one curve that was tried.
type Candidate struct {
	Name      string        `json:"name"`
	OwnSlope  bool          `json:"own_slope,omitempty"` // each method has a slope of its own
	Excluded  string        `json:"excluded,omitempty"`  // why it did not take part
	K         int           `json:"parameters"`
	AICc      Number        `json:"aicc"`
	Weight    Number        `json:"weight"`
	Residual  Number        `json:"residual_sd"`
	LackOfFit *Test         `json:"lack_of_fit,omitempty"`
	Coeffs    []Coefficient `json:"coefficients,omitempty"`
	Status    stats.Status  `json:"status"`
}

// CurveDot is the averaged curve at one set point with its band.
type CurveDot struct {
	SetPoint float64 `json:"set_point"`
	Mean     float64 `json:"mean"`
	Low      float64 `json:"low"`
	High     float64 `json:"high"`
	NextLow  float64 `json:"next_low"` // band for the next cook
	NextHigh float64 `json:"next_high"`
}

// Window is the range of set points that keeps the aims, for one method.
type Window struct {
	Method    string       `json:"method"`
	Headline  bool         `json:"headline"`
	Declared  bool         `json:"declared"` // the method was named beforehand
	Mean      Chance       `json:"mean"`     // for the mean of many cooks
	Next      Chance       `json:"next_cook"`
	Best      Number       `json:"best"` // °C
	Low       Number       `json:"interval_low"`
	High      Number       `json:"interval_high"`
	Called    string       `json:"interval_called"` // what the interval is an interval of
	NoWindow  Number       `json:"draws_without_window"`
	Limits    []Limit      `json:"limits"`
	Tol       Number       `json:"tolerance"`                   // K, next cook
	TolToEdge bool         `json:"tolerance_to_edge,omitempty"` // it may be larger: the set points that were cooked end first
	Grid      []ChanceDot  `json:"chance"`
	Cannot    string       `json:"cannot,omitempty"`
	Need      string       `json:"need,omitempty"`
	Closest   *ClosestCook `json:"closest,omitempty"`
}

// Chance is where the chance that all aims hold is high enough.
type Chance struct {
	Top    Number `json:"top"`    // the largest chance
	At     Number `json:"at"`     // °C
	Range  Span   `json:"range"`  // chance at least 0.5
	Likely Span   `json:"likely"` // chance at least 0.9
}

// Span is a stretch of set points. Open ends lie at the end of what was cooked.
type Span struct {
	Low      Number `json:"low"`
	High     Number `json:"high"`
	LowOpen  bool   `json:"low_open"`
	HighOpen bool   `json:"high_open"`
	// Stretches is 0 where the chance is nowhere high enough.
	Stretches int `json:"stretches"`
}

// ChanceDot is the chance at one set point.
type ChanceDot struct {
	SetPoint float64   `json:"set_point"`
	Mean     float64   `json:"mean"`
	Next     float64   `json:"next"`
	Aims     []float64 `json:"aims"` // each aim alone, for the next cook
}

// Limit says what ends the window on one side.
type Limit struct {
	Side    string `json:"side"` // below, above
	Measure string `json:"measure"`
	Why     string `json:"why"` // too low, too high, end of what was cooked
}

// ClosestCook is the cooked arm nearest to the aims, where no window exists.
type ClosestCook struct {
	SetPoint Number `json:"set_point"`
	Method   string `json:"method"`
	Ties     int    `json:"ties"` // other set points that came equally close
	Miss     Number `json:"miss"` // summed distance to the aims in units of the scale
}

// Together says whether several aims hold at once anywhere.
type Together struct {
	Hold   bool     `json:"hold"` // chance for the mean reaches 0.5 somewhere
	Top    Number   `json:"top"`
	Method string   `json:"method"`
	Clash  []string `json:"clash,omitempty"` // each holds somewhere, not at once
	Never  []string `json:"never,omitempty"` // hold nowhere even alone
}
