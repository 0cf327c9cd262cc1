package conduct

import "math"

// How steps are chosen. Time is measured in that of the slowest mode, 1/(ζ²α/L²).
const (
	firstStep = 0.25 // of the time in which heat crosses a cell, after a jump
	growth    = 1.4  // of each step over the one before
	longStep  = 0.08 // of the slowest mode, while things happen
	lateStep  = 1.0  // the same of a tank when nothing has happened for lateAfter; without one there is no limit then
	lateAfter = 12.0
)

// maxSteps bounds the time and the room that a phase may take.
const maxSteps = 500_000

// mesh are the ends of the steps of a phase on the coarse grid, in its own time:
// short after the start and after each jump, longer as things slow down, and on
// every bend of a profile and every time that is asked for.
func (m *marcher) mesh(ph *Phase, from float64) ([]float64, error) {
	fast, alpha, k := m.diffusivities()
	cell := m.p.Half / float64(m.o.Cells)
	whole := m.slowest(ph, alpha, k)
	// More cells than the default take shorter steps too, so that neither error is
	// left to outweigh the other.
	slow := whole * math.Min(1, float64(defaultCells)/float64(m.o.Cells))
	stops := append(m.bends(ph), ph.Seconds)
	for _, t := range m.o.Times {
		if t > from && t < from+ph.Seconds {
			stops = append(stops, t-from)
		}
	}
	stops = sorted(stops)
	var out []float64
	now, event := 0.0, 0.0
	first := firstStep * cell * cell / fast
	dt := math.Min(first, longStep*slow)
	for _, stop := range stops {
		for now < stop {
			longest := longStep * slow
			if now-event > lateAfter*whole {
				longest = lateStep * whole
				if ph.Tank == nil {
					longest = math.Inf(1) // body and bath are one, and the scheme is stable at any step
				}
			}
			if len(out) == maxSteps {
				return nil, bad("more than %d steps: the piece is too thin for so long a time", maxSteps)
			}
			dt = math.Min(dt, longest)
			next := now + dt
			if next > stop-0.3*dt { // no sliver before the stop
				next = stop
			}
			out = append(out, next)
			now = next
			dt *= growth
		}
		if bent(ph, stop) {
			event = stop
		}
		if jumps(ph, stop) {
			dt = first
		}
	}
	return out, nil
}

// diffusivities are the largest of the material at the start and in the
// surroundings of all phases, and that of the warmest of them with its
// conductivity: what is melting has almost none, and what is frozen several times
// as much as what is thawed.
func (m *marcher) diffusivities() (fast, warm, k float64) {
	most := math.Inf(-1)
	look := func(celsius float64) {
		_, c, _, cond := m.p.look(celsius)
		fast = math.Max(fast, cond/c)
		if celsius > most {
			most, warm, k = celsius, cond/c, cond
		}
	}
	look(m.p.Start)
	for i := range m.p.Phases {
		ph := &m.p.Phases[i]
		faces := []*Face{&ph.Outer}
		if ph.Inner != nil {
			faces = append(faces, ph.Inner)
		}
		for _, f := range faces {
			if ph.Tank != nil && f == &ph.Outer {
				look(ph.Tank.Start)
				continue
			}
			if !f.Held && f.Transfer.most() == 0 {
				continue // what stands behind an insulated face is not met
			}
			for _, v := range f.Ambient.value {
				look(v)
			}
		}
	}
	return fast, warm, k
}

// slowest is the time of the slowest mode of a phase, s.
func (m *marcher) slowest(ph *Phase, alpha, k float64) float64 {
	h := ph.Outer.Transfer.most()
	held := ph.Outer.Held
	if ph.Inner != nil {
		h, held = math.Max(h, ph.Inner.Transfer.most()), held || ph.Inner.Held
	}
	bi := h * m.p.Half / k
	if held {
		bi = math.Inf(1)
	}
	// A body that nothing flows into still evens itself out.
	z := eigenvalue(m.p.Shape, math.Max(bi, 0.05), 1)
	return m.p.Half * m.p.Half / (z * z * alpha)
}

func (p Profile) most() float64 {
	var v float64
	for _, x := range p.value {
		v = math.Max(v, x)
	}
	return v
}

// profiles are those that a phase follows.
func (ph *Phase) profiles() []Profile {
	var out []Profile
	add := func(f *Face, ambient bool) {
		if ambient {
			out = append(out, f.Ambient)
		}
		if !f.Held {
			out = append(out, f.Transfer)
		}
	}
	add(&ph.Outer, ph.Tank == nil)
	if ph.Inner != nil {
		add(ph.Inner, true)
	}
	return out
}

func (m *marcher) bends(ph *Phase) []float64 {
	var out []float64
	for _, p := range ph.profiles() {
		out = append(out, p.bends(0, ph.Seconds)...)
	}
	return out
}

func bent(ph *Phase, seconds float64) bool {
	for _, p := range ph.profiles() {
		for _, t := range p.at {
			if t == seconds {
				return true
			}
		}
	}
	return false
}

func jumps(ph *Phase, seconds float64) bool {
	for _, p := range ph.profiles() {
		if p.look(seconds, true) != p.look(seconds, false) {
			return true
		}
	}
	return false
}
