package curve

import (
	"fmt"
	"math"
	"math/bits"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"tamis/internal/stats"
)

// Window counts the draws in which all aims of one treatment hold together. It
// is a Consumer; ask Result after Run.
type Window struct {
	treatment int
	aims      []Aim
	level     float64

	grid   []float64
	words  int
	n      int
	mean   []uint64   // draw × words: all aims hold for the mean
	next   []uint64   // the same for one more cook
	each   [][]uint64 // by aim, for the mean
	mids   []float64  // middle of each draw's window, NaN for none
	low    []float64  // its ends
	high   []float64
	centre float64          // middle of the window of the averaged curves, NaN for none
	works  chan *windowWork // free list
}

type windowWork struct {
	aims   *aimWork
	curves [][]float64
}

// NewWindow prepares the aims for a treatment; level is that of the interval of
// the best point, 0 meaning 0.95.
//
// Errors: ErrEmpty without aims; ErrDomain.
func NewWindow(treatment int, aims []Aim, level float64) (*Window, error) {
	if len(aims) == 0 {
		return nil, fmt.Errorf("%w: no aims", stats.ErrEmpty)
	}
	if level == 0 {
		level = 0.95
	}
	if !(level > 0 && level < 1) {
		return nil, fmt.Errorf("%w: level %v", stats.ErrDomain, level)
	}
	if treatment < 0 {
		return nil, fmt.Errorf("%w: treatment %d", stats.ErrDomain, treatment)
	}
	for _, a := range aims {
		if err := a.check(math.MaxInt); err != nil {
			return nil, err
		}
	}
	return &Window{treatment: treatment, aims: slices.Clone(aims), level: level}, nil
}

// Begin implements Consumer.
func (w *Window) Begin(n int, grid []float64) error {
	if err := checkGrid(grid); err != nil {
		return err
	}
	w.grid, w.n = grid, n
	w.words = (len(grid) + 63) / 64
	if n*w.words*(len(w.aims)+2) > 1<<28 {
		return fmt.Errorf("%w: %d draws on %d grid points", stats.ErrTooLarge, n, len(grid))
	}
	w.mean, w.next = make([]uint64, n*w.words), make([]uint64, n*w.words)
	w.each = nil
	for range w.aims {
		w.each = append(w.each, make([]uint64, n*w.words))
	}
	w.mids, w.low, w.high = make([]float64, n), make([]float64, n), make([]float64, n)
	w.centre = math.NaN()
	w.works = make(chan *windowWork, 256)
	return nil
}

// fits checks that the draws hold what the aims ask for.
func (w *Window) fits(measures, treatments int) error {
	for _, a := range w.aims {
		if err := a.check(measures); err != nil {
			return err
		}
	}
	if w.treatment >= treatments {
		return fmt.Errorf("%w: treatment %d of %d", stats.ErrDomain, w.treatment, treatments)
	}
	return nil
}

// Centre implements Centred.
func (w *Window) Centre(d *Draw) {
	k := newAimWork(len(w.aims), len(w.grid))
	curves := make([][]float64, len(d.Curves))
	for m := range d.Curves {
		curves[m] = d.Curves[m][w.treatment]
	}
	k.judge(w.aims, curves)
	if s, ok := k.longest(w.grid); ok {
		w.centre = (s.low + s.high) / 2
	}
}

// Take implements Consumer.
func (w *Window) Take(d *Draw) {
	var k *windowWork
	select {
	case k = <-w.works:
	default:
		k = &windowWork{newAimWork(len(w.aims), len(w.grid)), make([][]float64, len(d.Curves))}
	}
	for m := range d.Curves {
		k.curves[m] = d.Curves[m][w.treatment]
	}
	k.aims.judge(w.aims, k.curves)
	base := d.Index * w.words
	for word := range w.words {
		lo, hi := 64*word, min(64*word+64, len(w.grid))
		all := ^uint64(0) >> (64 - (hi - lo))
		next := all
		for i, a := range w.aims {
			each, then := uint64(0), uint64(0)
			e := d.Next[a.Measure][w.treatment]
			if a.Kind == Lowest {
				e = -e
			}
			margin, y := k.aims.margin[i][lo:hi], k.curves[a.Measure][lo:hi]
			for g, m := range margin {
				if m >= 0 {
					each |= 1 << g
				}
				if a.Kind == InRange {
					if v := y[g] + e; v >= a.Low && v <= a.High {
						then |= 1 << g
					}
				} else if m+e >= 0 {
					then |= 1 << g
				}
			}
			w.each[i][base+word] = each
			all, next = all&each, next&then
		}
		w.mean[base+word], w.next[base+word] = all, next
	}
	if s, ok := k.aims.longest(w.grid); ok {
		w.low[d.Index], w.high[d.Index] = s.low, s.high
		w.mids[d.Index] = (s.low + s.high) / 2
	} else {
		w.mids[d.Index] = math.NaN()
	}
	select {
	case w.works <- k:
	default:
	}
}

// MiddleOf is the middle of the window of draw i; ok is false when it has none.
// Call it after Run, with i below the number of draws.
func (w *Window) MiddleOf(i int) (x float64, ok bool) { return w.mids[i], !math.IsNaN(w.mids[i]) }

// Span is a stretch of x. An open end stands at the edge of the grid: the
// stretch may go on where nothing was cooked.
type Span struct {
	Low      float64 `json:"low"`
	High     float64 `json:"high"`
	LowOpen  bool    `json:"low_open,omitempty"`
	HighOpen bool    `json:"high_open,omitempty"`
}

// Limit is what ends a stretch on one side: the aim that holds least often one
// grid step outside, or Open at the edge of the grid (Aim is then −1).
type Limit struct {
	Aim    int     `json:"aim"`
	Open   bool    `json:"open,omitempty"`
	Chance float64 `json:"chance"`
}

// Chances is one of the two readings of a window.
type Chances struct {
	Chance []float64 `json:"chance"` // at each grid point
	AtBest float64   `json:"at_best"`
	Max    float64   `json:"max"`
	Range  *Span     `json:"range,omitempty"`  // chance ≥ 0.5 around the best point
	Likely *Span     `json:"likely,omitempty"` // chance ≥ 0.9
}

// WindowResult is the answer. Chance is the share of draws.
type WindowResult struct {
	Treatment int         `json:"treatment"`
	Draws     int         `json:"draws"`
	Grid      []float64   `json:"grid"`
	Mean      Chances     `json:"mean"` // the mean of many cooks
	Next      Chances     `json:"next"` // the next cook
	Each      [][]float64 `json:"each"` // by aim, for the mean

	// Best is where the chance for the mean is largest, the middle of the
	// plateau within 0.01 of it. When no draw has a window it is absent
	// (HasBest false).
	Best     float64         `json:"best"`
	HasBest  bool            `json:"has_best"`
	Interval *stats.Interval `json:"interval,omitempty"` // of the best point
	Without  int             `json:"without"`            // draws without a window
	// AtLow and AtHigh are the shares of windows that touch an edge of the grid.
	AtLow  float64 `json:"at_low"`
	AtHigh float64 `json:"at_high"`

	LimitLow  Limit `json:"limit_low"`
	LimitHigh Limit `json:"limit_high"`
	// Tolerance is the largest t for which the next cook's chance stays ≥ 0.5
	// over Best ± t; ToEdge says that the grid ended first. nil when the chance
	// at Best is below 0.5.
	Tolerance *float64        `json:"tolerance,omitempty"`
	ToEdge    bool            `json:"tolerance_to_edge,omitempty"`
	Warnings  []stats.Warning `json:"warnings,omitempty"`
}

// House rules: what counts as in the range, as likely, and as one plateau.
const (
	inRange = 0.5
	likely  = 0.9
	plateau = 0.01
)

// Result sums up the draws.
//
// Errors: ErrEmpty before Run.
func (w *Window) Result() (*WindowResult, error) {
	if w.n == 0 {
		return nil, fmt.Errorf("%w: no draws", stats.ErrEmpty)
	}
	r := &WindowResult{Treatment: w.treatment, Draws: w.n, Grid: slices.Clone(w.grid)}
	r.Mean.Chance, r.Next.Chance = w.share(w.mean), w.share(w.next)
	for i := range w.aims {
		r.Each = append(r.Each, w.share(w.each[i]))
	}
	var mids []float64
	lo, hi := w.grid[0], w.grid[len(w.grid)-1]
	for i, m := range w.mids {
		if math.IsNaN(m) {
			r.Without++
			continue
		}
		mids = append(mids, m)
		if w.low[i] <= lo {
			r.AtLow++
		}
		if w.high[i] >= hi {
			r.AtHigh++
		}
	}
	if len(mids) == 0 {
		r.LimitLow.Aim, r.LimitHigh.Aim = -1, -1
		r.Warnings = append(r.Warnings, stats.Warning{ID: "no-window", Text: "In none of the draws do all aims hold together anywhere."})
		return r, nil
	}
	r.AtLow /= float64(len(mids))
	r.AtHigh /= float64(len(mids))

	top, at := -1.0, 0
	for g, c := range r.Mean.Chance {
		if c > top {
			top, at = c, g
		}
	}
	i, j := at, at
	for i > 0 && r.Mean.Chance[i-1] >= top-plateau {
		i--
	}
	for j+1 < len(w.grid) && r.Mean.Chance[j+1] >= top-plateau {
		j++
	}
	best := (i + j) / 2
	r.Best, r.HasBest = w.grid[best], true
	slices.Sort(mids)
	tail := (1 - w.level) / 2
	lo, hi = ends(mids, w.centre, tail)
	r.Interval = &stats.Interval{Low: lo, High: hi, Level: w.level}
	if r.Without > 0 {
		r.Warnings = append(r.Warnings, stats.Warning{ID: "draws-without-window",
			Text: fmt.Sprintf("In %d of %d draws the aims hold together nowhere; the interval of the best point is from the others.", r.Without, w.n)})
	}
	w.spans(&r.Mean, best)
	w.spans(&r.Next, best)

	// Without a range, the limits are those around the best point.
	a, b := best, best
	if r.Mean.Chance[best] >= inRange {
		a, b = around(r.Mean.Chance, best, inRange)
	}
	r.LimitLow, r.LimitHigh = r.limit(a-1), r.limit(b+1)

	if r.Next.Chance[best] >= inRange {
		t := 0
		for best-t-1 >= 0 && best+t+1 < len(w.grid) && r.Next.Chance[best-t-1] >= inRange && r.Next.Chance[best+t+1] >= inRange {
			t++
		}
		r.ToEdge = best-t-1 < 0 && (best+t+1 >= len(w.grid) || r.Next.Chance[best+t+1] >= inRange) ||
			best+t+1 >= len(w.grid) && (best-t-1 < 0 || r.Next.Chance[best-t-1] >= inRange)
		v := math.Min(w.grid[best]-w.grid[best-t], w.grid[best+t]-w.grid[best])
		r.Tolerance = &v
	}
	return r, nil
}

// share is the share of draws whose bit is set, at each grid point.
func (w *Window) share(set []uint64) []float64 {
	count := make([]int, len(w.grid))
	for d := range w.n {
		for k := range w.words {
			for word := set[d*w.words+k]; word != 0; word &= word - 1 {
				count[k*64+bits.TrailingZeros64(word)]++
			}
		}
	}
	out := make([]float64, len(count))
	for g, c := range count {
		out[g] = float64(c) / float64(w.n)
	}
	return out
}

// around is the stretch of indices about at with chance ≥ bound.
func around(chance []float64, at int, bound float64) (i, j int) {
	i, j = at, at
	for i > 0 && chance[i-1] >= bound {
		i--
	}
	for j+1 < len(chance) && chance[j+1] >= bound {
		j++
	}
	return i, j
}

func (w *Window) spans(c *Chances, best int) {
	c.AtBest, c.Max = c.Chance[best], slices.Max(c.Chance)
	span := func(bound float64) *Span {
		if c.Chance[best] < bound {
			return nil
		}
		i, j := around(c.Chance, best, bound)
		return &Span{Low: w.grid[i], High: w.grid[j], LowOpen: i == 0, HighOpen: j == len(w.grid)-1}
	}
	c.Range, c.Likely = span(inRange), span(likely)
}

func (r *WindowResult) limit(g int) Limit {
	if g < 0 || g >= len(r.Grid) {
		return Limit{Aim: -1, Open: true}
	}
	l := Limit{Aim: 0, Chance: r.Each[0][g]}
	for i, e := range r.Each {
		if e[g] < l.Chance {
			l = Limit{Aim: i, Chance: e[g]}
		}
	}
	return l
}

// quantile of sorted values, linear between order statistics at (n−1)p
// (definition 7 of Hyndman & Fan 1996).
func quantile(sorted []float64, p float64) float64 {
	h := p * float64(len(sorted)-1)
	i := int(h)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + (h-float64(i))*(sorted[i+1]-sorted[i])
}

// ends are the tail quantiles of the sorted middles, widened to the
// bias-corrected ones (Efron 1981, Can. J. Stat. 9:139): where a share Φ(z₀) of
// the middles lies below the middle of the averaged curves, those are taken at
// Φ(2z₀ ± z).
//
// Why both: where two measures end a window at nearly the same point, the first
// of two uncertain ends lies on average before both, in the data and once more
// in the draws; where AICc has to choose too simple a family for few cooks, the
// draws repeat its bias. Plain quantiles then miss the true middle on one side
// (coverage 0.93 and 0.87 of a nominal 0.95 in the simulation of this package).
// The correction removes most of it, but z₀ is an estimate, and where there is
// no bias it costs up to two points of coverage. The hull of the two holds 0.95
// in all worlds that were simulated, with at most two points too many.
//
// Ties count half. Without a window of the averaged curves, or in a draw that
// has none, the quantiles are plain.
func ends(mids []float64, centre, tail float64) (lo, hi float64) {
	n := float64(len(mids))
	p, q := tail, 1-tail // bias-corrected levels
	if !math.IsNaN(centre) {
		const tie = 1e-9
		below, level := 0.0, 0.0
		for _, m := range mids {
			switch d := m - centre; {
			case math.Abs(d) <= tie*(1+math.Abs(centre)):
				level++
			case d < 0:
				below++
			}
		}
		norm := distuv.UnitNormal
		share := (below + level/2) / n
		z0 := norm.Quantile(math.Min(math.Max(share, 0.5/n), 1-0.5/n))
		p, q = norm.CDF(2*z0+norm.Quantile(tail)), norm.CDF(2*z0+norm.Quantile(1-tail))
	}
	return math.Min(quantile(mids, tail), quantile(mids, p)), math.Max(quantile(mids, 1-tail), quantile(mids, q))
}
