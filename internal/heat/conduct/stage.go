package conduct

import "math"

// state is a body at a moment: cells, the two surfaces (the inner one only with
// faces that differ) and the tank.
type state struct {
	cells        []float64
	outer, inner float64
	tank         float64
}

func (s *state) copyFrom(o *state) {
	copy(s.cells, o.cells)
	s.outer, s.inner, s.tank = o.outer, o.inner, o.tank
}

// flux is what flows at a moment: into each cell, in through the surfaces for
// each unit of area, and into the tank, W.
type flux struct {
	cells        []float64
	outer, inner float64
	tank         float64
}

// edge is a face at a moment.
type edge struct {
	ambient, transfer float64
	held              bool
}

func (f *Face) at(seconds float64, after bool) edge {
	return edge{f.Ambient.look(seconds, after), f.Transfer.look(seconds, after), f.Held}
}

// solver holds one phase on one grid, and the room to work in.
type solver struct {
	*grid
	m     *Material
	phase *Phase
	heat  float64 // of the tank, J/K
	// enough is the change, K, after which an iteration has ended.
	enough float64

	h, c, phi, k         []float64 // of each cell
	low, diag, high, rhs []float64 // the tridiagonal system
}

func newSolver(g *grid, m *Material, ph *Phase) *solver {
	s := &solver{grid: g, m: m, phase: ph}
	// Newton's iteration squares the error, and a linear system it solves at once.
	// Properties of thawed food bend so little (1 % in 10 K) that after a change of
	// 0.003 K less than 1e-8 K is left; through melting it takes a smaller one.
	switch {
	case m.linear && ph.Tank == nil:
		s.enough = math.Inf(1)
	case math.IsInf(m.freezing, -1) && ph.Tank == nil:
		s.enough = 3e-3
	default:
		s.enough = 1e-5
	}
	if ph.Tank != nil {
		s.heat = ph.Tank.heat()
	}
	room := make([]float64, 4*g.n+4*(g.n+3))
	take := func(n int) []float64 { v := room[:n:n]; room = room[n:]; return v }
	s.h, s.c, s.phi, s.k = take(g.n), take(g.n), take(g.n), take(g.n)
	s.low, s.diag, s.high, s.rhs = take(g.n+3), take(g.n+3), take(g.n+3), take(g.n+3)
	return s
}

// edges are the faces at a moment of the phase. With a tank the outer ambient is
// its temperature.
func (s *solver) edges(x *state, seconds float64, after bool) (outer, inner edge) {
	outer = s.phase.Outer.at(seconds, after)
	inner = outer
	if s.phase.Inner != nil {
		inner = s.phase.Inner.at(seconds, after)
	}
	if s.phase.Tank != nil {
		outer.ambient = x.tank
	}
	return outer, inner
}

// settle puts the surfaces where the flux through half a cell is what the
// coefficient lets through: φ(Ts) + h(dx/2)Ts = φ(T) + h(dx/2)Ta.
func (s *solver) settle(x *state, seconds float64) {
	outer, inner := s.edges(x, seconds, true)
	x.outer = s.surface(outer, x.cells[s.n-1], x.outer)
	if s.split {
		x.inner = s.surface(inner, x.cells[0], x.inner)
	}
}

func (s *solver) surface(e edge, cell, guess float64) float64 {
	if e.held {
		return e.ambient
	}
	_, _, target, _ := s.m.look(cell)
	b := e.transfer * s.dx / 2
	target += b * e.ambient
	t := guess
	for range 50 {
		_, _, phi, k := s.m.look(t)
		step := (target - phi - b*t) / (k + b) // φ is convex or concave over wide ranges: Newton arrives
		t += step
		if math.Abs(step) < 1e-12*(1+math.Abs(t)) {
			break
		}
	}
	return t
}

// flows fills f with what flows in a state.
func (s *solver) flows(x *state, seconds float64, after bool, f *flux) {
	last := s.n - 1
	var before float64 // through the face below
	for i := range s.n {
		s.h[i], s.c[i], s.phi[i], s.k[i] = s.m.look(x.cells[i])
	}
	if s.split {
		_, _, phi, _ := s.m.look(x.inner)
		f.inner = 2 * (phi - s.phi[0]) / s.dx
		before = -f.inner
	}
	for i := range last {
		q := s.area[i+1] * (s.phi[i+1] - s.phi[i]) / s.dx // inwards, from the next
		f.cells[i] = q - before
		before = q
	}
	_, _, phi, _ := s.m.look(x.outer)
	f.outer = 2 * (phi - s.phi[last]) / s.dx
	f.cells[last] = s.area[s.n]*f.outer - before
	if t := s.phase.Tank; t != nil {
		outer, _ := s.edges(x, seconds, after)
		p, _ := t.heater(x.tank)
		f.tank = p - t.Loss*(x.tank-t.Room) - t.Area*outer.transfer*(x.tank-x.outer)
	}
}

// maxNewton is how many iterations a stage may take; smooth properties need two
// or three, a cell that thaws some more.
const maxNewton = 30

// solve finds the state in which volume × H - dt × flow is the goal, at a time of
// the phase. x is the first guess and becomes the solution. tank is the goal of
// heat × Tb - dt × flow. It reports whether Newton's iteration ended.
func (s *solver) solve(x *state, goal []float64, tank, dt, seconds float64) bool {
	off := 0
	if s.split {
		off = 1
	}
	last := s.n - 1
	size := off + s.n + 1
	t := s.phase.Tank
	if t != nil {
		size++
	}
	for range maxNewton {
		outer, inner := s.edges(x, seconds, false)
		for i := range s.n {
			s.h[i], s.c[i], s.phi[i], s.k[i] = s.m.look(x.cells[i])
		}
		// Rows of the cells: what is missing to the goal, and its slopes.
		for i := range s.n {
			r := off + i
			s.low[r], s.high[r] = 0, 0
			s.diag[r] = s.volume[i] * s.c[i]
			s.rhs[r] = goal[i] - s.volume[i]*s.h[i]
		}
		for i := range last {
			g := dt * s.area[i+1] / s.dx
			q := g * (s.phi[i+1] - s.phi[i])
			r := off + i
			s.rhs[r] += q
			s.rhs[r+1] -= q
			s.diag[r] += g * s.k[i]
			s.high[r] -= g * s.k[i+1]
			s.diag[r+1] += g * s.k[i+1]
			s.low[r+1] -= g * s.k[i]
		}
		// The outer surface holds no heat: what comes in goes on.
		_, _, phi, k := s.m.look(x.outer)
		r := off + s.n
		g := dt * s.area[s.n] * 2 / s.dx
		q := g * (phi - s.phi[last])
		s.rhs[r-1] += q
		s.diag[r-1] += g * s.k[last]
		s.high[r-1] = -g * k
		s.surfaceRow(r, outer, x.outer, phi-s.phi[last], k)
		s.low[r], s.high[r] = 0, 0
		if !outer.held {
			s.low[r] = -2 / s.dx * s.k[last]
		}
		if t != nil {
			s.high[r] = -outer.transfer
			p, slope := t.heater(x.tank)
			b := t.Area * outer.transfer
			s.rhs[r+1] = tank - s.heat*x.tank + dt*(p-t.Loss*(x.tank-t.Room)-b*(x.tank-x.outer))
			s.diag[r+1] = s.heat + dt*(b+t.Loss-slope)
			s.low[r+1] = -dt * b
		}
		if s.split {
			_, _, phi, k := s.m.look(x.inner)
			g := dt * 2 / s.dx
			q := g * (phi - s.phi[0])
			s.rhs[1] += q
			s.diag[1] += g * s.k[0]
			s.low[1] = -g * k
			s.surfaceRow(0, inner, x.inner, phi-s.phi[0], k)
			s.high[0] = 0
			if !inner.held {
				s.high[0] = -2 / s.dx * s.k[0]
			}
		}
		s.eliminate(size)
		most := 0.0 // of what Newton asks for, not of what pass lets through
		for i := range size {
			most = math.Max(most, math.Abs(s.rhs[i]))
		}
		for i := range s.n {
			x.cells[i] = s.pass(x.cells[i], x.cells[i]+s.rhs[off+i])
		}
		x.outer = s.pass(x.outer, x.outer+s.rhs[off+s.n])
		if s.split {
			x.inner = s.pass(x.inner, x.inner+s.rhs[0])
		}
		if t != nil {
			x.tank += s.rhs[size-1]
		}
		// NaN is no convergence.
		if most < s.enough {
			return true
		}
	}
	return false
}

// surfaceRow is the balance of a surface: what the coefficient lets in less what
// goes on into the half cell behind it, or simply its temperature.
func (s *solver) surfaceRow(r int, e edge, celsius, dphi, k float64) {
	if e.held {
		s.diag[r], s.rhs[r] = 1, e.ambient-celsius
		return
	}
	s.diag[r] = 2/s.dx*k + e.transfer
	s.rhs[r] = e.transfer*(e.ambient-celsius) - 2/s.dx*dphi
}

// pass stops a temperature on its way through the freezing point, just on the
// side that it goes to: the slope there is another, and Newton must see it.
func (s *solver) pass(from, to float64) float64 {
	f := s.m.freezing
	edge := 1e-9 * (1 + math.Abs(f))
	switch {
	case from < f && to >= f && from < f-edge:
		return f - edge/2
	case from < f && to >= f:
		return f
	case from >= f && to < f && from > f:
		return f
	case from >= f && to < f:
		return f - edge/2
	}
	return to
}

// eliminate solves the tridiagonal system (Thomas); the answer is left in rhs. The
// rows are diagonally dominant by columns, so no pivoting is needed.
func (s *solver) eliminate(n int) {
	low, diag, high, rhs := s.low[:n], s.diag[:n], s.high[:n], s.rhs[:n]
	inverse := 1 / diag[0] // one division a row; diag holds the inverses from here
	diag[0] = inverse
	for i := 1; i < n; i++ {
		w := low[i] * inverse
		inverse = 1 / (diag[i] - w*high[i-1])
		diag[i] = inverse
		rhs[i] -= w * rhs[i-1]
	}
	rhs[n-1] *= inverse
	for i := n - 2; i >= 0; i-- {
		rhs[i] = (rhs[i] - high[i]*rhs[i+1]) * diag[i]
	}
}
