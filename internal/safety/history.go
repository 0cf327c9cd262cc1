package safety

import (
	"math"

	"tamis/internal/heat"
)

// history is the core of one cook over the minutes that count.
//
// Where nothing but a calculation is known the core only ever rises, and
// crossings are found by halving. With a log it may fall again, and then it is
// sampled every heat.Step minutes, beginning at from.
type history struct {
	at       func(minutes float64) float64 // °C; nil when sampled
	samples  []float64                     // °C; nil when rising
	from, to float64                       // minutes
	top      float64                       // the hottest core between them, °C
}

// rising is the history of a core that never falls.
func rising(at func(float64) float64, from, to float64) *history {
	return &history{at: at, from: from, to: to, top: at(to)}
}

// sampledFrom is the history of samples, heat.Step minutes apart.
func sampledFrom(samples []float64, from, to float64) *history {
	h := &history{samples: samples, from: from, to: to, top: math.Inf(-1)}
	for _, t := range samples {
		h.top = max(h.top, t)
	}
	return h
}

// historyOf is the history of a cook from its beginning or its earliest arrival
// to so many minutes. It is nil where there is none.
func historyOf(c *heat.Cook, from, to float64) *history {
	if to < from {
		from = to // nothing counts, and the core is known all the same
	}
	if c.Logged() {
		if p := c.Path(from, to); p != nil {
			return sampledFrom(p, from, to)
		}
		return nil
	}
	if math.IsNaN(c.Core(to)) {
		return nil
	}
	return rising(c.Core, from, to)
}

// reaches reports whether the core is ever at or above a temperature.
func (h *history) reaches(celsius float64) bool { return h.top >= celsius }

// minutesAt is the longest stretch in minutes at or above a temperature.
func (h *history) minutesAt(celsius float64) float64 {
	switch {
	case !h.reaches(celsius):
		return 0
	case h.samples != nil:
		return minutesAt(h.samples, heat.Step, celsius)
	}
	return h.to - max(h.from, crossing(h.at, celsius, 0, h.to))
}

// crossing is when a rising core reaches a temperature that it has at hi, in
// minutes. The later end of the last halving is given, so it is never early.
//
// The halving asks a guess on which side a middle lies, for the core is costly; the
// core is then asked at the ends that are left. Where it says that the guess was not
// good enough, it is asked at every middle.
func crossing(at func(float64) float64, celsius, lo, hi float64) float64 {
	first := at(lo)
	if first >= celsius {
		return lo
	}
	guess := about(func(m float64) float64 { return at(m) - celsius }, lo, hi, first-celsius)
	a, b := halved(lo, hi, func(m float64) bool { return m >= guess })
	if (a == lo || at(a) < celsius) && (b == hi || at(b) >= celsius) {
		return b
	}
	_, b = halved(lo, hi, func(m float64) bool { return at(m) >= celsius })
	return b
}

// halved is the last of the halves of a span in which something begins to hold.
func halved(lo, hi float64, holds func(m float64) bool) (float64, float64) {
	for hi-lo > 1e-7 { // minutes; six microseconds
		mid := lo + (hi-lo)/2
		if mid <= lo || mid >= hi {
			break
		}
		if holds(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return lo, hi
}

// about is close to where a rising f passes 0 between a, where it is fa, below 0, and
// b: by inverse quadratic interpolation where that is safe, else by halving
// (Chandrupatla 1997, Advances in Engineering Software 28, 145; from memory). It
// is a guess, and may be wrong.
func about(f func(float64) float64, a, b, fa float64) float64 {
	fb := f(b)
	if !(fa < 0 && fb > 0) {
		return b
	}
	c, fc := a, fa
	share := 0.5
	for range 60 {
		x := a + share*(b-a)
		fx := f(x)
		if (fx > 0) == (fa > 0) {
			c, fc = a, fa
		} else {
			c, b, fc, fb = b, a, fb, fa
		}
		a, fa = x, fx
		if math.Abs(fa) < 1e-12 || math.Abs(b-a) < 1e-9 {
			break
		}
		xi, phi := (a-b)/(c-b), (fa-fb)/(fc-fb)
		share = 0.5
		if phi*phi < xi && (1-phi)*(1-phi) < 1-xi {
			share = fa/(fb-fa)*fc/(fb-fc) + (c-a)/(b-a)*fa/(fc-fa)*fb/(fc-fb)
		}
		least := 2e-10 / math.Abs(b-a)
		share = min(1-least, max(least, share))
	}
	if math.Abs(fb) < math.Abs(fa) {
		return b
	}
	return a
}

// equivalents are the minutes at each row's temperature that kill as much as
// the history does: F = ∫ 10^((T-Tref)/z) dt (Bigelow 1920; from memory), with
// no credit while the core is below noCredit.
func (h *history) equivalents(rows []Row) []float64 {
	out := make([]float64, len(rows))
	if len(rows) == 0 || !h.reaches(noCredit) {
		return out
	}
	if h.samples != nil {
		for i, r := range rows {
			out[i] = equivalent(h.samples, heat.Step, r.At, r.Z)
		}
		return out
	}
	// From the moment at which the core passes the floor the integrand is
	// smooth and flattens out, so panels that double in width fit it. Each is
	// done by the trapezoid rule, halved until two halvings agree, and with the
	// last two extrapolated (Richardson).
	a := max(h.from, crossing(h.at, noCredit, 0, h.to))
	for width := 1.0; a < h.to; width *= 2 {
		b := min(a+width, h.to)
		if h.to-b < width/2 {
			b = h.to
		}
		h.panel(rows, out, a, b)
		a = b
	}
	return out
}

// most rows that a kind has
const maxRows = 6

// panel adds the integral of each row's rate over one panel.
func (h *history) panel(rows []Row, out []float64, a, b float64) {
	var scale [maxRows]float64
	for i, r := range rows {
		scale[i] = math.Ln10 / r.Z
	}
	add := func(sum *[maxRows]float64, m, weight float64) {
		t := max(h.at(m), noCredit) // the first point may be short of the floor by rounding
		for i := range rows {
			sum[i] += weight * math.Exp(scale[i]*(t-rows[i].At))
		}
	}
	var sum, coarse, extrapolated, before [maxRows]float64
	add(&sum, a, 0.5)
	add(&sum, b, 0.5)
	width := b - a
	for i := range rows {
		coarse[i] = sum[i] * width
	}
	n := 1
	for level := range 12 {
		step := width / float64(2*n)
		for k := range n {
			add(&sum, a+step*float64(2*k+1), 1)
		}
		n *= 2
		done := level > 0
		for i := range rows {
			fine := sum[i] * step
			extrapolated[i] = fine + (fine-coarse[i])/3
			if math.Abs(extrapolated[i]-before[i]) > 1e-6*extrapolated[i] {
				done = false
			}
			coarse[i], before[i] = fine, extrapolated[i]
		}
		if done {
			break
		}
	}
	for i := range rows {
		out[i] += extrapolated[i]
	}
}
