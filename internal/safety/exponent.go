package safety

import "math"

// exponentBody conducts heat in a body whose area grows with the distance from
// the centre to the power β: 0 a slab, 1 a long cylinder, 2 a sphere, and
// anything between. With distances in units of the half thickness and time as
// the Fourier number,
//
//	∂θ/∂t = r^-β ∂/∂r (r^β ∂θ/∂r),  θ = 1 at the start,  -∂θ/∂r = Bi θ at r = 1.
//
// Finite volumes with cell centres and Crank-Nicolson steps; the first steps are
// backward Euler, which damps what the jump at the surface leaves behind.
type exponentBody struct {
	theta    []float64
	up       []float64 // conductance between cell i and i+1; the last is the surface
	volume   []float64
	n        int // steps done
	dt       float64
	lower    []float64 // work space of the tridiagonal solution
	diagonal []float64
	right    []float64
}

const (
	exponentCells = 80
	firstStep     = 2e-5 // Fourier number
	stepGrowth    = 1.03
	largestStep   = 0.01
	eulerSteps    = 8
)

func newExponentBody(beta, bi float64) *exponentBody {
	n := exponentCells
	b := &exponentBody{dt: firstStep}
	for _, s := range []*[]float64{&b.theta, &b.up, &b.volume, &b.lower, &b.diagonal, &b.right} {
		*s = make([]float64, n)
	}
	h := 1 / float64(n)
	for i := range n {
		inner, outer := float64(i)*h, float64(i+1)*h
		b.theta[i] = 1
		b.volume[i] = (math.Pow(outer, beta+1) - math.Pow(inner, beta+1)) / (beta + 1)
		b.up[i] = math.Pow(outer, beta) / h
	}
	// Half a cell of conduction and the film, one after the other.
	b.up[n-1] = 1 / (h/2 + 1/bi)
	return b
}

// core is θ at the centre: the parabola without slope there through two cells.
func (b *exponentBody) core() float64 { return (9*b.theta[0] - b.theta[1]) / 8 }

// step goes on by one step and says how long it was.
func (b *exponentBody) step() float64 {
	w := 0.5
	if b.n < eulerSteps {
		w = 1
	}
	n, dt := len(b.theta), b.dt
	for i := range n {
		left, right := 0.0, b.up[i]
		flow := -right * b.theta[i]
		if i+1 < n {
			flow += right * b.theta[i+1]
		}
		if i > 0 {
			left = b.up[i-1]
			flow += left * (b.theta[i-1] - b.theta[i])
		}
		k := dt / b.volume[i]
		b.lower[i] = -w * k * left
		b.diagonal[i] = 1 + w*k*(left+right)
		b.right[i] = b.theta[i] + (1-w)*k*flow
	}
	// Forward elimination; the upper neighbour of cell i is -w dt up[i]/volume[i].
	for i := 1; i < n; i++ {
		f := b.lower[i] / b.diagonal[i-1]
		b.diagonal[i] += f * w * dt * b.up[i-1] / b.volume[i-1]
		b.right[i] -= f * b.right[i-1]
	}
	for i := n - 1; i >= 0; i-- {
		v := b.right[i]
		if i+1 < n {
			v += w * dt * b.up[i] / b.volume[i] * b.theta[i+1]
		}
		b.theta[i] = v / b.diagonal[i]
	}
	b.n++
	if b.n >= eulerSteps && b.dt < largestStep {
		b.dt *= stepGrowth
	}
	return dt
}
