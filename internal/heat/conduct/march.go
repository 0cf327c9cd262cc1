package conduct

import (
	"fmt"
	"math"
)

// The scheme in time is TR-BDF2 (Bank and others 1985): a trapezoidal stage to
// γ of the step and a backward difference over the rest. It is of second order,
// damps what is fast within one step, however stiff, and both stages have the same
// matrix. Written for the heat held, H' = F, with x the state at a stage:
//
//	H(x1) - d Δt F(x1) = H(x0) + d Δt F(x0)
//	H(x2) - d Δt F(x2) = H(x0) + w Δt (F(x0) + F(x1)),   2w + d = 1
//
// so what is counted as flowing in is what the body gains.
const (
	gamma      = 2 - math.Sqrt2
	diagonal   = gamma / 2
	stageShare = math.Sqrt2 / 4
)

// marcher takes a body through its phases.
type marcher struct {
	p    *Problem
	o    Options
	grid *grid
	x    state
	out  *Course
	// begin is the enthalpy at the start of what the grid counts.
	begin float64
	// wanted are the times still to come at which a profile is kept.
	wanted []float64
}

// Solve takes a body through its phases by finite volumes in space and TR-BDF2 in
// time. At the default resolution a come-up is right to better than 0.1 %.
// Errors are ErrInput and ErrSolve.
func Solve(p Problem, o Options) (*Course, error) {
	if err := p.check(o); err != nil {
		return nil, err
	}
	cells := o.Cells
	if cells == 0 {
		cells = defaultCells
	}
	o.Cells = cells // of the coarse grid, which sets the steps
	cells <<= o.Halvings
	if cells > maxCells {
		return nil, bad("%d cells", cells)
	}
	m := &marcher{p: &p, o: o, out: &Course{start: p.Start}, wanted: sorted(o.Times)}
	m.grid = newGrid(p.Shape, p.Half, cells, false)
	m.x = state{cells: make([]float64, cells), outer: p.Start, inner: p.Start}
	for i := range m.x.cells {
		m.x.cells[i] = p.Start
	}
	m.begin = m.held()
	from := 0.0
	for i := range p.Phases {
		ph := &p.Phases[i]
		if ph.Inner != nil && !m.grid.split {
			m.unfold()
		}
		if ph.Tank != nil {
			m.x.tank = ph.Tank.Start
		}
		if err := m.run(i, from); err != nil {
			return nil, fmt.Errorf("phase %d: %w", i+1, err)
		}
		from += ph.Seconds
	}
	m.out.Gained = (m.held() - m.begin) * m.whole()
	m.out.HeatIn *= m.whole()
	return m.out, nil
}

// whole turns what the grid counts into one square metre of a whole slab, one
// metre of a cylinder, or a sphere.
func (m *marcher) whole() float64 {
	switch {
	case m.p.Shape == Cylinder:
		return 2 * math.Pi
	case m.p.Shape == Sphere:
		return 4 * math.Pi
	case m.grid.split:
		return 1
	}
	return 2 // the other half of a slab
}

// held is the enthalpy of what the grid counts.
func (m *marcher) held() float64 {
	var sum float64
	for i, t := range m.x.cells {
		h, _, _, _ := m.p.look(t)
		sum += m.grid.volume[i] * h
	}
	return sum
}

// unfold mirrors a half slab into a whole one. What flowed in so far flowed into
// both halves, and both held as much.
func (m *marcher) unfold() {
	n := m.grid.n
	both := make([]float64, 2*n)
	for i, t := range m.x.cells {
		both[n+i], both[n-1-i] = t, t
	}
	m.x.cells, m.x.inner = both, m.x.outer
	m.grid = newGrid(Slab, m.p.Half, n, true)
	m.out.HeatIn *= 2
	m.begin *= 2
}

// run takes the body through one phase.
func (m *marcher) run(phase int, from float64) error {
	ph := &m.p.Phases[phase]
	s := newSolver(m.grid, m.p.Material, ph)
	w := &step{solver: s}
	for _, f := range []*flux{&w.f0, &w.f1, &w.f2} {
		f.cells = make([]float64, m.grid.n)
	}
	w.goal = make([]float64, m.grid.n)
	w.h0 = make([]float64, m.grid.n)
	w.x1, w.x2 = state{cells: make([]float64, m.grid.n)}, state{cells: make([]float64, m.grid.n)}
	s.settle(&m.x, 0)
	w.flows(&m.x, 0, true, &w.f0)
	m.record(w, phase, from, 0)
	ends, err := m.mesh(ph, from)
	if err != nil {
		return err
	}
	now := 0.0
	for _, next := range ends {
		parts := 1 << m.o.Halvings
		for j := 1; j <= parts; j++ {
			to := now + (next-now)/float64(parts-j+1)
			if j == parts {
				to = next
			}
			in, err := w.take(&m.x, now, to, 0)
			if err != nil {
				return err
			}
			m.out.HeatIn += in
			now = to
			m.record(w, phase, from, now)
		}
		if jumps(ph, next) && next < ph.Seconds {
			s.settle(&m.x, next)
			w.flows(&m.x, next, true, &w.f0)
		}
	}
	return nil
}

// step is one step and the room for it. Between steps f0 is what flows in the
// present state, and h and c of the solver are its enthalpies and capacities.
type step struct {
	*solver
	h0         []float64
	f0, f1, f2 flux
	x1, x2     state
	goal       []float64
}

// maxSplits is how often a step may be halved where Newton does not arrive.
const maxSplits = 14

// take advances x from one time of the phase to another, in halves where the
// iteration does not end, and returns the heat that came in, in units of the grid.
func (w *step) take(x *state, from, to float64, splits int) (in float64, err error) {
	if w.once(x, from, to) {
		in = w.area[w.n] * (stageShare*(w.f0.outer+w.f1.outer) + diagonal*w.f2.outer)
		if w.split {
			in += stageShare*(w.f0.inner+w.f1.inner) + diagonal*w.f2.inner
		}
		w.f0, w.f2 = w.f2, w.f0 // where this step ends the next begins
		return in * (to - from), nil
	}
	if splits == maxSplits {
		return 0, fmt.Errorf("%w: at %v s", ErrSolve, from)
	}
	mid := from + (to-from)/2
	first, err := w.take(x, from, mid, splits+1)
	if err != nil {
		return 0, err
	}
	second, err := w.take(x, mid, to, splits+1)
	return first + second, err
}

// once is one step; x is left alone where it fails.
func (w *step) once(x *state, from, to float64) bool {
	dt := to - from
	copy(w.h0, w.h)
	w.x1.copyFrom(x)
	for i := range w.n {
		w.goal[i] = w.volume[i]*w.h0[i] + diagonal*dt*w.f0.cells[i]
	}
	ok := w.solve(&w.x1, w.goal, w.heat*x.tank+diagonal*dt*w.f0.tank, diagonal*dt, from+gamma*dt)
	if ok {
		w.flows(&w.x1, from+gamma*dt, false, &w.f1)
		w.x2.copyFrom(&w.x1)
		for i := range w.n {
			w.goal[i] = w.volume[i]*w.h0[i] + stageShare*dt*(w.f0.cells[i]+w.f1.cells[i])
		}
		ok = w.solve(&w.x2, w.goal, w.heat*x.tank+stageShare*dt*(w.f0.tank+w.f1.tank), diagonal*dt, to)
	}
	if !ok {
		copy(w.h, w.h0)
		return false
	}
	w.flows(&w.x2, to, false, &w.f2)
	x.copyFrom(&w.x2)
	return true
}
