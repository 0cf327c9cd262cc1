package conduct

import (
	"math"
	"slices"
)

// blockCells is how many cells lie from the centre to each face of a block.
const blockCells = 12

// maxBlockSteps bounds the time that a phase may take; a day of a block of 30 mm is
// 30 000 steps.
const maxBlockSteps = 200_000

// SolveBlock takes a block through its phases in three dimensions, where the
// product of three slabs does not hold: properties that vary, a frozen start, phases.
// p is as for Solve, but for Shape and Half, which sides in metres replace; all six
// faces meet Outer. It steps explicitly (Heun), an eighth of the block on equal
// cells in each direction, and costs some tenths of a second; a come-up at the
// default of 12 cells is right to about 0.5 %. o.Halvings doubles the cells. Heat is
// that of the whole block. Errors are ErrInput.
func SolveBlock(sides [3]float64, p Problem, o Options) (*Course, error) {
	p.Shape = Slab
	for _, s := range sides {
		if !positive(s) {
			return nil, bad("a side of %v m", s)
		}
	}
	p.Half = slices.Min(sides[:]) / 2
	if err := p.check(o); err != nil {
		return nil, err
	}
	for i := range p.Phases {
		if p.Phases[i].Inner != nil {
			return nil, bad("phase %d: a block has one kind of face", i+1)
		}
	}
	n := o.Cells
	if n == 0 {
		n = blockCells
	}
	n <<= o.Halvings
	if n > 100 {
		return nil, bad("%d cells in each direction", n)
	}
	b := &cube{p: &p, n: n, out: &Course{start: p.Start}, wanted: sorted(o.Times)}
	for d := range sides {
		b.dx[d] = sides[d] / 2 / float64(n)
	}
	b.volume = b.dx[0] * b.dx[1] * b.dx[2]
	cells := n * n * n
	room := make([]float64, 6*cells)
	for _, v := range []*[]float64{&b.t, &b.h, &b.phi, &b.k, &b.rate, &b.first} {
		*v, room = room[:cells:cells], room[cells:]
	}
	b.outer = make([]uint8, cells)
	for i := range b.t {
		b.t[i] = p.Start
		b.h[i] = p.Enthalpy(p.Start)
		for d, s := range [3]int{1, n, n * n} {
			if (i/s)%n == n-1 {
				b.outer[i] |= 1 << d
			}
		}
	}
	whole := 8 * (sides[0]*sides[1] + sides[1]*sides[2] + sides[2]*sides[0]) / 4 // m² of its faces
	from := 0.0
	for i := range p.Phases {
		ph := &p.Phases[i]
		if ph.Tank != nil {
			b.tank = ph.Tank.Start
			b.pieces = ph.Tank.Area / whole
		}
		if err := b.run(i, from, o.Times); err != nil {
			return nil, err
		}
		from += ph.Seconds
	}
	for i := range b.h {
		b.out.Gained += 8 * b.volume * (b.h[i] - p.Enthalpy(p.Start))
	}
	b.out.HeatIn *= 8
	return b.out, nil
}

// cube is an eighth of a block: cell 0 of each direction lies at the centre.
type cube struct {
	p      *Problem
	n      int
	dx     [3]float64
	volume float64
	t, h   []float64 // °C and J/m³
	phi, k []float64
	rate   []float64 // of h, W/m³
	first  []float64 // the rate at the beginning of a step
	outer  []uint8   // of each cell, a bit for each direction in which it lies at a face
	tank   float64
	pieces float64 // how many such blocks the tank holds
	out    *Course
	wanted []float64
}

// run takes the block through a phase.
func (b *cube) run(phase int, from float64, times []float64) error {
	ph := &b.p.Phases[phase]
	m := marcher{p: b.p}
	fast, _, _ := m.diffusivities()
	// Heun's method is stable up to 2/(largest rate), which is below 4αΣ1/dx².
	limit := 0.4 / (fast * (1/(b.dx[0]*b.dx[0]) + 1/(b.dx[1]*b.dx[1]) + 1/(b.dx[2]*b.dx[2])))
	if ph.Seconds/limit > maxBlockSteps {
		return bad("phase %d takes more than %d steps: the block is too thin for so long a time", phase+1, maxBlockSteps)
	}
	stops := append(m.bends(ph), ph.Seconds)
	for _, t := range times {
		if t > from && t < from+ph.Seconds {
			stops = append(stops, t-from)
		}
	}
	now := 0.0
	b.flow(ph, b.edge(ph, 0, true))
	b.record(ph, phase, from, 0)
	for _, stop := range sorted(stops) {
		steps := int(math.Ceil((stop - now) / limit))
		dt := (stop - now) / float64(max(steps, 1))
		each := max(1, steps/200) // a point now and then
		begin := now
		for j := range steps {
			now = begin + float64(j)*dt
			in0, q0 := b.flow(ph, b.edge(ph, now, true))
			copy(b.first, b.rate)
			for i := range b.h {
				b.h[i] += dt * b.rate[i]
				b.t[i] = b.p.celsius(b.h[i], b.t[i])
			}
			b.tank += dt * q0
			in1, q1 := b.flow(ph, b.edge(ph, now+dt, false))
			for i := range b.h {
				b.h[i] += dt * (b.rate[i] - b.first[i]) / 2
				b.t[i] = b.p.celsius(b.h[i], b.t[i])
			}
			b.tank += dt * (q1 - q0) / 2
			b.out.HeatIn += dt * (in0 + in1) / 2
			if j%each == each-1 || j == steps-1 {
				now = begin + float64(j+1)*dt
				if j == steps-1 {
					now = stop
				}
				b.flow(ph, b.edge(ph, now, false))
				b.record(ph, phase, from, now)
			}
		}
		now = stop
	}
	return nil
}

func (b *cube) edge(ph *Phase, seconds float64, after bool) edge {
	e := ph.Outer.at(seconds, after)
	if ph.Tank != nil {
		e.ambient = b.tank
	}
	return e
}

// flow fills rate, and gives what comes into the eighth, W, and how fast the tank
// warms, K/s.
func (b *cube) flow(ph *Phase, e edge) (in, tank float64) {
	for i, t := range b.t {
		_, _, b.phi[i], b.k[i] = b.p.look(t)
		b.rate[i] = 0
	}
	_, _, phiHeld, _ := b.p.look(e.ambient)
	stride := [3]int{1, b.n, b.n * b.n}
	for d, s := range stride {
		dx := b.dx[d]
		inverse := 1 / (dx * dx)
		for i := range b.t {
			if b.outer[i]>>d&1 == 0 {
				q := (b.phi[i+s] - b.phi[i]) * inverse
				b.rate[i] += q
				b.rate[i+s] -= q
				continue
			}
			var q float64 // W/m² through the face
			if e.held {
				q = 2 * (phiHeld - b.phi[i]) / dx
			} else if e.transfer > 0 {
				q = (e.ambient - b.t[i]) / (1/e.transfer + dx/2/b.k[i])
			}
			b.rate[i] += q / dx
			in += q / dx * b.volume
		}
	}
	if t := ph.Tank; t != nil {
		p, _ := t.heater(b.tank)
		tank = (p - t.Loss*(b.tank-t.Room) - 8*b.pieces*in) / t.heat()
	}
	return in, tank
}

// centre is the value at the centre: the parabola of the grid in each direction.
func (b *cube) centre(v []float64) float64 {
	var sum float64
	for i := range 8 {
		w, at := 1.0, 0
		for d, s := range [3]int{1, b.n, b.n * b.n} {
			if i>>d&1 == 1 {
				w *= -1.0 / 8
				at += s
			} else {
				w *= 9.0 / 8
			}
		}
		sum += w * v[at]
	}
	return sum
}

// face is the temperature at the middle of the face that is nearest to the centre.
func (b *cube) face(e edge) float64 {
	if e.held {
		return e.ambient
	}
	near := 0
	for d := range b.dx {
		if b.dx[d] < b.dx[near] {
			near = d
		}
	}
	stride := [3]int{1, b.n, b.n * b.n}
	one, two := stride[(near+1)%3], stride[(near+2)%3]
	last := (b.n - 1) * stride[near]
	at := func(i int) float64 { return (81*b.t[i] - 9*b.t[i+one] - 9*b.t[i+two] + b.t[i+one+two]) / 64 }
	cell := at(last)
	g := 2 * b.k[last] / b.dx[near]
	return (e.transfer*e.ambient + g*cell) / (e.transfer + g)
}

func (b *cube) record(ph *Phase, phase int, from, now float64) {
	e := b.edge(ph, now, now == 0)
	for i := range b.first { // room that is free between steps
		_, c, _, _ := b.p.look(b.t[i])
		b.first[i] = b.rate[i] / c
	}
	var mean, meanRate float64
	for i := range b.t {
		mean += b.t[i] / float64(len(b.t))
		meanRate += b.first[i] / float64(len(b.t))
	}
	p := Point{
		Seconds: from + now, Phase: phase, Bath: e.ambient, Core: b.centre(b.t), Mean: mean,
		Surface: b.face(e), coreRate: b.centre(b.first), meanRate: meanRate,
	}
	p.Inner = p.Surface
	p.Coldest = math.Min(math.Min(p.Core, p.Surface), slices.Min(b.t))
	b.out.Points = append(b.out.Points, p)
	for len(b.wanted) > 0 && b.wanted[0] <= p.Seconds*(1+1e-12) {
		// Along the shortest way from the centre to a face.
		pr := Temperatures{Seconds: b.wanted[0], Place: []float64{0}, Celsius: []float64{p.Core}}
		near := slices.Index(b.dx[:], slices.Min(b.dx[:]))
		s := [3]int{1, b.n, b.n * b.n}[near]
		for i := range b.n {
			pr.Place = append(pr.Place, (float64(i)+0.5)/float64(b.n))
			pr.Celsius = append(pr.Celsius, b.t[i*s])
		}
		pr.Place, pr.Celsius = append(pr.Place, 1), append(pr.Celsius, p.Surface)
		b.out.Profiles = append(b.out.Profiles, pr)
		b.wanted = b.wanted[1:]
	}
}

// celsius is the temperature at which the enthalpy is h, looked for from a guess.
func (m *Material) celsius(h, guess float64) float64 {
	t := &m.above
	if h < t.nodes[0].h && len(m.below.nodes) > 0 {
		t = &m.below
	}
	last := len(t.nodes) - 1
	first := &t.nodes[0]
	if h < first.h {
		return t.from + (h-first.h)/first.c
	}
	if end := &t.nodes[last]; h >= end.h {
		return t.from + float64(last)*t.step + (h-end.h)/end.c
	}
	i := int(math.Max(0, math.Min((guess-t.from)*t.inverse, float64(last-1))))
	for h < t.nodes[i].h {
		i--
	}
	for h >= t.nodes[i+1].h {
		i++
	}
	// c x + dc x²/2 = h - h0, by the root that keeps its digits where dc is small.
	n := &t.nodes[i]
	rest := h - n.h
	return t.from + float64(i)*t.step + 2*rest/(n.c+math.Sqrt(math.Max(0, n.c*n.c+2*n.dc*rest)))
}
