package texture

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats/curve"
)

// nextRepeats is how many cooks a proposal for the next session has.
const nextRepeats = 2

// planner watches the draws and finds out which further cooks would narrow the
// window most. It is a consumer of draws: for each draw it keeps the curves at
// the candidate set points; the middle of the window is the window's to tell. How much knowing the
// curve at a set point better would tell about the middle follows from their
// covariance over the draws, by regression: the propagated covariance of the
// fit, with two more cooks and their cook error.
type planner struct {
	t          int
	window     *curve.Window
	candidates []float64
	cooked     []bool
	measures   int
	at         []int // grid index of each candidate

	middle []float64
	has    []bool
	value  []float64 // by draw, candidate and measure
	next   []float64 // by draw and measure: error of one more cook
}

func newPlanner(t int, window *curve.Window, joint []*fitted) *planner {
	p := &planner{t: t, window: window, measures: len(joint)}
	arms := joint[0].tb.arms.Values
	for i, x := range arms {
		p.candidates = append(p.candidates, x)
		p.cooked = append(p.cooked, true)
		if i+1 < len(arms) {
			// Between two cooked set points, to half a degree.
			mid := math.Round(x+arms[i+1]) / 2
			if mid > x+0.25 && mid < arms[i+1]-0.25 {
				p.candidates = append(p.candidates, mid)
				p.cooked = append(p.cooked, false)
			}
		}
	}
	return p
}

// Begin implements curve.Consumer.
func (p *planner) Begin(n int, grid []float64) error {
	p.middle, p.has = make([]float64, n), make([]bool, n)
	p.value, p.next = make([]float64, n*len(p.candidates)*p.measures), make([]float64, n*p.measures)
	p.at = make([]int, len(p.candidates))
	for c, x := range p.candidates {
		best := 0
		for i := range grid {
			if math.Abs(grid[i]-x) < math.Abs(grid[best]-x) {
				best = i
			}
		}
		p.at[c] = best
	}
	return nil
}

// Take implements curve.Consumer.
func (p *planner) Take(d *curve.Draw) {
	v := p.value[d.Index*len(p.at)*p.measures:]
	for c, g := range p.at {
		for m := range p.measures {
			v[c*p.measures+m] = d.Curves[m][p.t][g]
		}
	}
	for m := range p.measures {
		p.next[d.Index*p.measures+m] = d.Next[m][p.t]
	}
}

// proposals ranks the candidates by how much they would narrow the interval of the
// best set point. Nothing is proposed when fewer than half of the draws have a
// window, because then its middle is not what is unknown.
func (p *planner) proposals(method string) []NextCook {
	var use []int
	for i := range p.has {
		if p.middle[i], p.has[i] = p.window.MiddleOf(i); p.has[i] {
			use = append(use, i)
		}
	}
	if len(use) < 100 || 2*len(use) < len(p.has) {
		return nil
	}
	sorted := make([]float64, len(use))
	for k, i := range use {
		sorted[k] = p.middle[i]
	}
	sort.Float64s(sorted)
	width := sorted[int(0.975*float64(len(sorted)-1))] - sorted[int(0.025*float64(len(sorted)-1))]
	total := p.covariance(use, func(i int) float64 { return p.middle[i] }, func(i int) float64 { return p.middle[i] })
	if !(total > 0) || !(width > 0) {
		return nil
	}
	var out []NextCook
	for c := range p.candidates {
		left := total - p.explained(use, c)
		narrow := 1 - math.Sqrt(math.Max(0, left)/total)
		out = append(out, NextCook{SetPoint: tidy(p.candidates[c]), Method: method, Repeats: nextRepeats, New: !p.cooked[c],
			WidthNow: num(width), WidthThen: num(width * (1 - narrow)), Narrows: num(narrow)})
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Narrows.Or(0) > out[j].Narrows.Or(0) })
	return out[:min(3, len(out))]
}

// explained is the variance of the middle that two more cooks at candidate c
// would take away: k'(V + E/2)⁻¹k with k the covariance of the middle with the
// curves there, V that of the curves and E that of one cook's error.
func (p *planner) explained(use []int, c int) float64 {
	m := p.measures
	k := mat.NewVecDense(m, nil)
	v := mat.NewSymDense(m, nil)
	at := func(j int) func(int) float64 {
		return func(i int) float64 { return p.value[(i*len(p.at)+c)*m+j] }
	}
	for a := 0; a < m; a++ {
		k.SetVec(a, p.covariance(use, func(i int) float64 { return p.middle[i] }, at(a)))
		for b := a; b < m; b++ {
			err := p.covariance(use, func(i int) float64 { return p.next[i*m+a] }, func(i int) float64 { return p.next[i*m+b] })
			v.SetSym(a, b, p.covariance(use, at(a), at(b))+err/nextRepeats)
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(v) {
		return 0
	}
	var x mat.VecDense
	if err := chol.SolveVecTo(&x, k); err != nil {
		return 0
	}
	return mat.Dot(k, &x)
}

func (p *planner) covariance(use []int, a, b func(int) float64) float64 {
	var ma, mb float64
	for _, i := range use {
		ma += a(i)
		mb += b(i)
	}
	n := float64(len(use))
	ma, mb = ma/n, mb/n
	var s float64
	for _, i := range use {
		s += (a(i) - ma) * (b(i) - mb)
	}
	return s / n
}
