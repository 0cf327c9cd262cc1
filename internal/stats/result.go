package stats

// Warning is a reservation that travels with a result. ID is stable and
// hyphenated ("boundary", "few-clusters"); Text is one plain sentence; Need,
// when above 0, is how much data would be enough, in the unit that Text names.
type Warning struct {
	ID   string  `json:"id"`
	Text string  `json:"text"`
	Need float64 `json:"need,omitempty"`
}

// Status tells how an iteration ended. GradientNorm is the largest absolute
// gradient entry at the answer in the parametrisation that was iterated
// (0 where the method has no gradient). Boundary is true when a variance (or
// another bounded parameter) ended on its bound.
type Status struct {
	Converged    bool    `json:"converged"`
	Iterations   int     `json:"iterations"`
	GradientNorm float64 `json:"gradient_norm"`
	Boundary     bool    `json:"boundary"`
	Message      string  `json:"message,omitempty"`
}

// Interval is a confidence interval. LowOpen and HighOpen say that the end is
// unbounded; the number at an open end is then 0 and carries no meaning, so
// that a result never holds an infinity.
type Interval struct {
	Low      float64 `json:"low"`
	High     float64 `json:"high"`
	LowOpen  bool    `json:"low_open,omitempty"`
	HighOpen bool    `json:"high_open,omitempty"`
	Level    float64 `json:"level"`
}

// Contains reports whether x lies in the closed interval.
func (iv Interval) Contains(x float64) bool {
	return (iv.LowOpen || x >= iv.Low) && (iv.HighOpen || x <= iv.High)
}

// Width is High - Low, and ok is false when an end is open.
func (iv Interval) Width() (w float64, ok bool) {
	if iv.LowOpen || iv.HighOpen {
		return 0, false
	}
	return iv.High - iv.Low, true
}
