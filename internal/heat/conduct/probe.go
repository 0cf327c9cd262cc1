package conduct

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Probed is what a log says of the probe itself, beside the piece.
type Probed struct {
	Lag    Estimate // s: τ of τ R' = T - R; never below 0
	Offset Estimate // K: how much it reads above the course that ends at the bath
}

// goodFit is a scatter, K, that is that of a thermometer.
const goodFit = 0.25

// most a probe lags, s; what is slower is not a probe in food
const mostLag = 600.0

// Probe fits a lag and an offset of the probe together with diffusivity and
// coefficient, by least squares on the readings: the course of the piece, behind by the lag, shifted by the offset. Lag and coefficient act alike
// for most of a curve, so the interval of a lag is wide unless the log is dense at
// its start; all of it rests on the bath being right. Intervals are value ± t SE at
// the level. Errors are those of Fit; ErrLog too for a log that does not tell them
// apart.
func Probe(l Log, level float64) (Probed, error) {
	if err := l.check(level); err != nil {
		return Probed{}, err
	}
	// Parameters: logarithms of diffusivity and coefficient, lag in s, offset in K.
	free := []int{0, 1, 2, 3}
	starts := [][2]float64{{1.3e-7, 100}, {1.8e-7, 40}, {1.1e-7, 400}}
	if l.Transfer > 0 {
		free, starts = []int{0, 2, 3}, [][2]float64{{1.3e-7, l.Transfer}}
	}
	if n := len(l.Core); n <= len(free)+1 {
		return Probed{}, noLog("%d readings", n)
	}
	best := probeFit{rss: math.Inf(1)}
	for _, s := range starts {
		if f, ok := l.descendProbe([]float64{math.Log(s[0]), math.Log(s[1]), 0, 0}, free); ok && f.rss < best.rss {
			best = f
		}
		if math.Sqrt(best.rss/float64(len(l.Core))) < goodFit {
			break // another valley would be no better by anything that a probe can tell
		}
	}
	var chol mat.Cholesky
	var inverse mat.SymDense
	if best.normal == nil || !chol.Factorize(best.normal) || chol.Cond() > 1e15 || chol.InverseTo(&inverse) != nil || math.Abs(best.x[2]) >= mostLag ||
		!inside(best.x[0], leastDiffusivity, mostDiffusivity) || l.Transfer == 0 && !inside(best.x[1], leastTransfer, mostTransfer) {
		return Probed{}, noLog("it cannot tell the lag of the probe from the piece")
	}
	df := float64(len(l.Core) - len(free))
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.Quantile((1 + level) / 2)
	estimate := func(place int) Estimate {
		j := free[place]
		se := math.Sqrt(best.rss / df * inverse.At(place, place))
		return Estimate{best.x[j], se, best.x[j] - t*se, best.x[j] + t*se}
	}
	out := Probed{Lag: estimate(len(free) - 2), Offset: estimate(len(free) - 1)}
	// Nothing reads ahead of what it is in: noise may say so, and then it is 0.
	out.Lag.Value, out.Lag.Low, out.Lag.High = math.Max(0, out.Lag.Value), math.Max(0, out.Lag.Low), math.Max(0, out.Lag.High)
	return out, nil
}

// probeFit is where a descent ended: the parameters, the sum of squares and the
// normal matrix of those that are free.
type probeFit struct {
	x      []float64
	rss    float64
	normal *mat.SymDense
}

// descendProbe is Levenberg and Marquardt's method, with slopes by central
// differences. ok is false where nothing can be predicted.
func (l *Log) descendProbe(x []float64, free []int) (out probeFit, ok bool) {
	n := len(l.Core)
	at := func(x []float64) []float64 { return l.read(x) }
	rss := func(v []float64) (sum float64) {
		for i := range v {
			sum += (l.Core[i] - v[i]) * (l.Core[i] - v[i])
		}
		return sum
	}
	v := at(x)
	if v == nil {
		return out, false
	}
	best, damping := rss(v), 1e-3
	steps := []float64{1e-5, 1e-5, 0.05, 1e-4} // for slopes, central differences
	normal := mat.NewSymDense(len(free), nil)
	for range 60 {
		slope := make([][]float64, len(free))
		for a, j := range free {
			up, down := append([]float64(nil), x...), append([]float64(nil), x...)
			up[j] += steps[j]
			down[j] -= steps[j] // a lag below 0 is taken as the rate before it, see read
			p, q := at(up), at(down)
			if p == nil || q == nil {
				return out, false
			}
			slope[a] = make([]float64, n)
			for i := range p {
				slope[a][i] = (p[i] - q[i]) / (2 * steps[j])
			}
		}
		gradient := make([]float64, len(free))
		for a := range free {
			for b := a; b < len(free); b++ {
				var sum float64
				for i := range n {
					sum += slope[a][i] * slope[b][i]
				}
				normal.SetSym(a, b, sum)
			}
			for i := range n {
				gradient[a] += slope[a][i] * (l.Core[i] - v[i])
			}
		}
		moved := false
		for ; damping < 1e12; damping *= 10 {
			damped := mat.NewSymDense(len(free), nil)
			damped.CopySym(normal)
			for a := range free {
				damped.SetSym(a, a, normal.At(a, a)*(1+damping))
			}
			var chol mat.Cholesky
			if !chol.Factorize(damped) {
				continue
			}
			var step mat.VecDense
			if err := chol.SolveVecTo(&step, mat.NewVecDense(len(free), gradient)); err != nil {
				continue
			}
			next := append([]float64(nil), x...)
			for a, j := range free {
				next[j] += step.AtVec(a)
			}
			next[0] = clamped(next[0], leastDiffusivity, mostDiffusivity)
			next[1] = clamped(next[1], leastTransfer, mostTransfer)
			next[2] = math.Max(-mostLag, math.Min(mostLag, next[2]))
			w := at(next)
			if w == nil || !(rss(w) < best) {
				continue
			}
			moved = best-rss(w) > 1e-7*best
			x, v, best = next, w, rss(w)
			damping = math.Max(1e-12, damping/10)
			break
		}
		if !moved {
			break
		}
	}
	return probeFit{x, best, normal}, true
}

// clamped keeps the logarithm of a number between two numbers.
func clamped(log, least, most float64) float64 {
	return math.Max(math.Log(least), math.Min(math.Log(most), log))
}

// read is what a probe reads at the times of the log. A negative lag, which the fit
// passes through, mirrors what a positive one does: as much ahead as behind.
func (l *Log) read(x []float64) []float64 {
	// From the start on, on a grid that is finer than the readings, so that what lies
	// between two of them is not taken for a straight line.
	fine := *l
	fine.Seconds, fine.Core = []float64{0}, nil
	where := make([]int, len(l.Seconds))
	const between = 4
	for i, s := range l.Seconds {
		if from := fine.Seconds[len(fine.Seconds)-1]; s > from {
			for k := 1; k <= between; k++ {
				fine.Seconds = append(fine.Seconds, from+(s-from)*float64(k)/between)
			}
			fine.Seconds[len(fine.Seconds)-1] = s
		}
		where[i] = len(fine.Seconds) - 1
	}
	course := fine.predict([2]float64{x[0], x[1]})
	if course == nil {
		return nil
	}
	lagged := course
	if tau := math.Abs(x[2]); tau > 0 && len(course) > 1 {
		var err error
		if lagged, err = Lagged(fine.Seconds, course, tau); err != nil {
			return nil
		}
	}
	out := make([]float64, len(where))
	for i, w := range where {
		out[i] = lagged[w] + x[3]
		if x[2] < 0 {
			out[i] = 2*course[w] - lagged[w] + x[3]
		}
	}
	return out
}
