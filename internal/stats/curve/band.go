package curve

import (
	"fmt"
	"math"
	"slices"

	"tamis/internal/stats"
)

// Band keeps the curves of one measure and treatment and gives pointwise
// intervals. It is a Consumer. Memory is draws × grid points; every is the
// stride on the grid (1 keeps every point).
type Band struct {
	measure, treatment, every int
	level                     float64
	n                         int
	x                         []float64
	at                        []int
	y                         []float64 // by draw, then point
	next                      []float64 // error of the next cook, by draw
}

// NewBand prepares a band; level 0 means 0.95, every 0 means 1.
//
// Errors: ErrDomain.
func NewBand(measure, treatment, every int, level float64) (*Band, error) {
	if level == 0 {
		level = 0.95
	}
	every = max(every, 1)
	if !(level > 0 && level < 1) || measure < 0 || treatment < 0 {
		return nil, fmt.Errorf("%w: measure %d, treatment %d, level %v", stats.ErrDomain, measure, treatment, level)
	}
	return &Band{measure: measure, treatment: treatment, every: every, level: level}, nil
}

func (b *Band) fits(measures, treatments int) error {
	if b.measure >= measures || b.treatment >= treatments {
		return fmt.Errorf("%w: measure %d of %d, treatment %d of %d", stats.ErrDomain, b.measure, measures, b.treatment, treatments)
	}
	return nil
}

// Begin implements Consumer.
func (b *Band) Begin(n int, grid []float64) error {
	b.n, b.x, b.at = n, nil, nil
	for g := 0; g < len(grid); g += b.every {
		b.at = append(b.at, g)
	}
	if last := len(grid) - 1; b.at[len(b.at)-1] != last {
		b.at = append(b.at, last)
	}
	if n*len(b.at) > 1<<26 {
		return fmt.Errorf("%w: %d draws on %d points", stats.ErrTooLarge, n, len(b.at))
	}
	for _, g := range b.at {
		b.x = append(b.x, grid[g])
	}
	b.y, b.next = make([]float64, n*len(b.at)), make([]float64, n)
	return nil
}

// Take implements Consumer.
func (b *Band) Take(d *Draw) {
	c := d.Curves[b.measure][b.treatment]
	row := b.y[d.Index*len(b.at):][:len(b.at)]
	for i, g := range b.at {
		row[i] = c[g]
	}
	b.next[d.Index] = d.Next[b.measure][b.treatment]
}

// BandResult holds pointwise limits at X: of the mean, and of the next cook.
type BandResult struct {
	X        []float64 `json:"x"`
	Low      []float64 `json:"low"`
	High     []float64 `json:"high"`
	NextLow  []float64 `json:"next_low"`
	NextHigh []float64 `json:"next_high"`
	Level    float64   `json:"level"`
}

// Result computes the limits.
//
// Errors: ErrEmpty before Run.
func (b *Band) Result() (*BandResult, error) {
	if b.n == 0 {
		return nil, fmt.Errorf("%w: no draws", stats.ErrEmpty)
	}
	r := &BandResult{X: slices.Clone(b.x), Level: b.level}
	tail := (1 - b.level) / 2
	mean, next := make([]float64, b.n), make([]float64, b.n)
	for i := range b.at {
		for d := range b.n {
			mean[d] = b.y[d*len(b.at)+i]
			next[d] = mean[d] + b.next[d]
		}
		lo, hi := tails(mean, tail)
		r.Low, r.High = append(r.Low, lo), append(r.High, hi)
		lo, hi = tails(next, tail)
		r.NextLow, r.NextHigh = append(r.NextLow, lo), append(r.NextHigh, hi)
	}
	return r, nil
}

// Crossing finds where the curve of a measure and treatment reaches a value, in
// each draw. It is a Consumer.
type Crossing struct {
	measure, treatment int
	value, level       float64
	n                  int
	grid               []float64
	at                 []float64
	above, below       []bool // no crossing: whole curve above, below
	extra              []bool // more than one crossing
}

// NewCrossing prepares a crossing; level 0 means 0.95.
//
// Errors: ErrDomain; ErrNonFinite.
func NewCrossing(measure, treatment int, value, level float64) (*Crossing, error) {
	if level == 0 {
		level = 0.95
	}
	if err := stats.CheckFinite("value", []float64{value}); err != nil {
		return nil, err
	}
	if !(level > 0 && level < 1) || measure < 0 || treatment < 0 {
		return nil, fmt.Errorf("%w: measure %d, treatment %d, level %v", stats.ErrDomain, measure, treatment, level)
	}
	return &Crossing{measure: measure, treatment: treatment, value: value, level: level}, nil
}

func (c *Crossing) fits(measures, treatments int) error {
	return (&Band{measure: c.measure, treatment: c.treatment}).fits(measures, treatments)
}

// Begin implements Consumer.
func (c *Crossing) Begin(n int, grid []float64) error {
	if err := checkGrid(grid); err != nil {
		return err
	}
	c.n, c.grid = n, grid
	c.at = make([]float64, n)
	c.above, c.below, c.extra = make([]bool, n), make([]bool, n), make([]bool, n)
	return nil
}

// Take implements Consumer.
func (c *Crossing) Take(d *Draw) {
	y := d.Curves[c.measure][c.treatment]
	c.at[d.Index] = math.NaN()
	for g := 1; g < len(y); g++ {
		a, b := y[g-1]-c.value, y[g]-c.value
		if a == 0 || a < 0 != (b < 0) {
			if !math.IsNaN(c.at[d.Index]) {
				c.extra[d.Index] = true
				break
			}
			c.at[d.Index] = c.grid[g-1]
			if a != b {
				c.at[d.Index] += (c.grid[g] - c.grid[g-1]) * a / (a - b)
			}
		}
	}
	if math.IsNaN(c.at[d.Index]) {
		c.above[d.Index] = y[0] > c.value
		c.below[d.Index] = y[0] <= c.value
	}
}

// CrossingResult tells where the value is reached. Interval is absent when the
// value is reached in fewer than half of the draws. An open end means that so
// many draws never reach the value on the grid that the quantile lies beyond it.
type CrossingResult struct {
	Value    float64         `json:"value"`
	Estimate float64         `json:"estimate"` // median of the draws that reach it
	Interval *stats.Interval `json:"interval,omitempty"`
	Reached  float64         `json:"reached"` // share of draws
	Above    float64         `json:"above"`   // share wholly above the value
	Below    float64         `json:"below"`
	Several  float64         `json:"several"` // share with more than one crossing
}

// Result sums up the draws. A draw that never reaches the value sits beyond the
// end towards which its curve heads: for a curve that rises over the draws,
// wholly below means beyond the high end.
//
// Errors: ErrEmpty before Run.
func (c *Crossing) Result(rising bool) (*CrossingResult, error) {
	if c.n == 0 {
		return nil, fmt.Errorf("%w: no draws", stats.ErrEmpty)
	}
	r := &CrossingResult{Value: c.value}
	v := make([]float64, 0, c.n)
	var reached []float64
	for i, x := range c.at {
		if c.extra[i] {
			r.Several++
		}
		switch {
		case !math.IsNaN(x):
			v = append(v, x)
			reached = append(reached, x)
		case c.above[i]:
			r.Above++
			v = append(v, end(!rising))
		default:
			r.Below++
			v = append(v, end(rising))
		}
	}
	n := float64(c.n)
	r.Above, r.Below, r.Several, r.Reached = r.Above/n, r.Below/n, r.Several/n, float64(len(reached))/n
	if r.Reached < 0.5 {
		return r, nil
	}
	slices.Sort(v)
	slices.Sort(reached)
	r.Estimate = quantile(reached, 0.5)
	tail := (1 - c.level) / 2
	iv := &stats.Interval{Level: c.level}
	// An order statistic, not an interpolation with an infinity.
	if x := v[int(tail*(n-1))]; math.IsInf(x, 0) {
		iv.LowOpen = true
	} else {
		iv.Low = x
	}
	if x := v[int(math.Ceil((1-tail)*(n-1)))]; math.IsInf(x, 0) {
		iv.HighOpen = true
	} else {
		iv.High = x
	}
	r.Interval = iv
	return r, nil
}

// end is beyond the high end of the grid, or below the low one.
func end(high bool) float64 {
	if high {
		return math.Inf(1)
	}
	return math.Inf(-1)
}
