package conduct

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Log is what a probe in the core of a piece read, and what is known of the piece.
type Log struct {
	Shape   Shape
	Half    float64   // m
	Seconds []float64 // in the bath; they rise
	Core    []float64 // °C
	Start   float64   // °C
	Bath    Profile   // °C
	// Conductivity is given, W/m/K: a log cannot tell it from the coefficient, of
	// which it only sees the ratio.
	Conductivity float64
	// Transfer, W/m²/K, is fitted too where it is 0; +Inf is a held surface.
	Transfer float64
}

// Estimate is a number from a log, with its standard error and interval at the
// confidence asked for. Both hold what the scatter of the readings leaves open, and
// nothing else: a bath, a thickness or a place of the probe that is wrong moves the
// number by more, and Doubt adds it.
type Estimate struct{ Value, SE, Low, High float64 }

// Fitted is what a log says.
type Fitted struct {
	Diffusivity Estimate // m²/s
	// Transfer, W/m²/K, with zero SE and a point for its interval where it was given.
	Transfer Estimate
	// Correlation of the two estimates' logarithms; near -1 they stand in for each
	// other, and only the rate at the end is known well.
	Correlation float64
	Residual    float64 // standard deviation of the readings about the curve, K
	Points      int
}

// The range in which a fit looks: nothing that is eaten lies outside.
const (
	leastDiffusivity, mostDiffusivity = 1e-8, 2e-6
	leastTransfer, mostTransfer       = 0.5, 1e5
)

// Fit finds the diffusivity, and the coefficient where it is not given, by least
// squares on the whole curve, start included. It works on their logarithms, so
// intervals are ratios: value × exp(±t SE). level is the confidence, such as 0.95.
// Errors are ErrInput, and ErrLog where there are too few readings or they do not
// settle the numbers.
func Fit(l Log, level float64) (Fitted, error) {
	if err := l.check(level); err != nil {
		return Fitted{}, err
	}
	joint := l.Transfer == 0
	// The sum of squares may have a valley that is long and flat (what is slow may
	// be the food or its surface), so begin in several places and keep the best.
	best := fit{rss: math.Inf(1)}
	starts := [][2]float64{{1.3e-7, l.Transfer}}
	if joint {
		starts = [][2]float64{{1.3e-7, 100}, {1.8e-7, 40}, {1.1e-7, 400}}
	}
	for _, s := range starts {
		f := l.descend([2]float64{math.Log(s[0]), math.Log(s[1])}, joint)
		if f.rss < best.rss {
			best = f
		}
	}
	free := 1
	if joint {
		free = 2
	}
	df := float64(len(l.Core) - free)
	if !best.ok || !inside(best.x[0], leastDiffusivity, mostDiffusivity) || joint && !inside(best.x[1], leastTransfer, mostTransfer) {
		return Fitted{}, noLog("no diffusivity and coefficient of food fit it")
	}
	variance := best.rss / df
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.Quantile((1 + level) / 2)
	out := Fitted{Residual: math.Sqrt(variance), Points: len(l.Core)}
	aa, ab, bb := best.normal[0], best.normal[1], best.normal[2]
	estimate := func(log, inverse float64) Estimate {
		v, se := math.Exp(log), math.Sqrt(variance*inverse)
		return Estimate{v, v * se, v * math.Exp(-t*se), v * math.Exp(t*se)}
	}
	if !joint {
		out.Diffusivity = estimate(best.x[0], 1/aa)
		out.Transfer = Estimate{l.Transfer, 0, l.Transfer, l.Transfer}
		return out, nil
	}
	det := aa*bb - ab*ab
	if !(det > 1e-12*aa*bb) {
		return Fitted{}, noLog("it cannot tell the diffusivity from the coefficient; give one")
	}
	out.Diffusivity, out.Transfer = estimate(best.x[0], bb/det), estimate(best.x[1], aa/det)
	out.Correlation = -ab / math.Sqrt(aa*bb)
	return out, nil
}

func inside(log, low, high float64) bool {
	v := math.Exp(log)
	return v > low*1.0001 && v < high/1.0001
}

func (l *Log) check(level float64) error {
	if l.Shape > Sphere || !positive(l.Half) || !positive(l.Conductivity) || !finite(l.Start) || len(l.Bath.at) == 0 {
		return bad("%v of half thickness %v m, conductivity %v, start %v °C", l.Shape, l.Half, l.Conductivity, l.Start)
	}
	if !(l.Transfer >= 0) || !(level > 0 && level < 1) {
		return bad("transfer %v, confidence %v", l.Transfer, level)
	}
	if err := checkLog(l.Seconds, l.Core); err != nil {
		return err
	}
	if l.Seconds[0] < 0 {
		return bad("a reading at %v s", l.Seconds[0])
	}
	if len(l.Core) < 4 {
		return noLog("%d readings", len(l.Core))
	}
	return nil
}

// fit is where a descent ended: the logarithms of diffusivity and coefficient, the
// sum of squares, and the normal matrix aa, ab, bb there.
type fit struct {
	x      [2]float64
	rss    float64
	normal [3]float64
	ok     bool
}

// descend is Levenberg and Marquardt's method on one or two logarithms, with
// slopes by central differences.
func (l *Log) descend(x [2]float64, joint bool) fit {
	n := len(l.Core)
	at := func(x [2]float64) ([]float64, float64) {
		v := l.predict(x)
		if v == nil {
			return nil, math.Inf(1)
		}
		var rss float64
		for i := range v {
			rss += (l.Core[i] - v[i]) * (l.Core[i] - v[i])
		}
		return v, rss
	}
	v, rss := at(x)
	if v == nil {
		return fit{rss: math.Inf(1)}
	}
	damping := 1e-3
	var out fit
	for range 60 {
		const d = 1e-5 // of a logarithm: a hundred-thousandth of the value
		slope := [2][]float64{}
		for j := range 2 {
			if j == 1 && !joint {
				slope[1] = make([]float64, n)
				continue
			}
			up, down := x, x
			up[j] += d
			down[j] -= d
			a, _ := at(up)
			b, _ := at(down)
			if a == nil || b == nil {
				return fit{rss: math.Inf(1)}
			}
			slope[j] = make([]float64, n)
			for i := range slope[j] {
				slope[j][i] = (a[i] - b[i]) / (2 * d)
			}
		}
		var aa, ab, bb, ar, br float64
		for i := range n {
			a, b, r := slope[0][i], slope[1][i], l.Core[i]-v[i]
			aa += a * a
			ab += a * b
			bb += b * b
			ar += a * r
			br += b * r
		}
		out = fit{x: x, rss: rss, normal: [3]float64{aa, ab, bb}, ok: aa > 0 && (!joint || bb > 0)}
		if !out.ok {
			return out
		}
		moved := false
		for damping < 1e12 {
			var step [2]float64
			if da := aa * (1 + damping); joint {
				db := bb * (1 + damping)
				det := da*db - ab*ab
				step = [2]float64{(db*ar - ab*br) / det, (da*br - ab*ar) / det}
			} else {
				step[0] = ar / da
			}
			next := x
			for j, least := range []float64{leastDiffusivity, leastTransfer} {
				most := []float64{mostDiffusivity, mostTransfer}[j]
				if j == 1 && !joint {
					continue
				}
				next[j] = math.Max(math.Log(least), math.Min(math.Log(most), x[j]+math.Max(-1, math.Min(1, step[j]))))
			}
			if w, r := at(next); w != nil && r < rss {
				small := math.Abs(next[0]-x[0])+math.Abs(next[1]-x[1]) < 1e-10 || rss-r < 1e-14*rss
				x, v, rss, moved = next, w, r, !small
				out.x, out.rss = x, rss
				damping = math.Max(1e-12, damping/10)
				break
			}
			damping *= 10
		}
		if !moved {
			return out
		}
	}
	return out
}

// predict is the core at the times of the log.
func (l *Log) predict(x [2]float64) []float64 {
	h := l.Transfer
	if h == 0 {
		h = math.Exp(x[1])
	}
	s, err := NewSeries(l.Shape, l.Half, Solid{math.Exp(x[0]), l.Conductivity, h})
	if err != nil {
		return nil
	}
	out := make([]float64, len(l.Seconds))
	if len(l.Bath.at) == 1 { // the same all along, and the series alone is quicker
		bath := l.Bath.At(0)
		for i, t := range l.Seconds {
			out[i] = bath - (bath-l.Start)*s.Centre(t)
		}
		return out
	}
	d, err := NewDriven(s, l.Start, l.Bath)
	if err != nil {
		return nil
	}
	out, err = d.Centres(l.Seconds)
	if err != nil {
		return nil
	}
	return out
}
