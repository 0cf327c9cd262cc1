package conduct

import (
	"math"
	"slices"
	"sort"
)

// Point is a body at one time of its course, °C.
type Point struct {
	Seconds float64
	Phase   int
	Bath    float64 // what the outer surface is in; a tank as it is
	Core    float64 // at the centre: of a slab half way between its faces
	Coldest float64 // anywhere in it
	Mean    float64 // over the volume
	Surface float64 // the outer one
	Inner   float64 // the other face of a slab, which is the same where nothing differs

	coreRate, meanRate float64 // K/s
}

// Course is what became of a body: a point at each step, and at each change of
// phase one before it and one after.
type Course struct {
	Points []Point
	// Profiles are kept at the times that were asked for.
	Profiles []Temperatures
	// HeatIn came in through the surfaces, Gained is how much more heat the body
	// holds; they are equal to rounding and the end of the iteration. J, for one
	// square metre of a whole slab, one metre of a cylinder, or a sphere.
	HeatIn, Gained float64

	start float64
}

// Temperatures are those in a body at one time. Place is relative: 0 the centre, 1
// the outer surface, -1 the inner one.
type Temperatures struct {
	Seconds        float64
	Place, Celsius []float64
}

// record keeps a point.
func (m *marcher) record(w *step, phase int, from, now float64) {
	x := &m.x
	s := w.solver
	rate := w.goal // room that is free between steps
	for i := range s.n {
		rate[i] = w.f0.cells[i] / (s.volume[i] * s.c[i])
	}
	outer, _ := s.edges(x, now, now == 0)
	p := Point{
		Seconds: from + now, Phase: phase, Bath: outer.ambient, Core: s.centre(x.cells), Mean: s.mean(x.cells),
		Surface: x.outer, Inner: x.outer, coreRate: s.centre(rate), meanRate: s.mean(rate),
	}
	if s.split {
		p.Inner = x.inner
	}
	p.Coldest = math.Min(math.Min(p.Core, p.Surface), math.Min(p.Inner, slices.Min(x.cells)))
	m.out.Points = append(m.out.Points, p)
	for len(m.wanted) > 0 && m.wanted[0] <= p.Seconds*(1+1e-12) { // the sum of phases may be off by a rounding
		m.keep(x, s, m.wanted[0])
		m.wanted = m.wanted[1:]
	}
}

func (m *marcher) keep(x *state, s *solver, seconds float64) {
	t := Temperatures{Seconds: seconds}
	add := func(place, celsius float64) {
		t.Place, t.Celsius = append(t.Place, place), append(t.Celsius, celsius)
	}
	if s.split {
		add(-1, x.inner)
	} else {
		add(0, s.centre(x.cells))
	}
	for i, c := range x.cells {
		place := (float64(i) + 0.5) * s.dx / m.p.Half
		if s.split {
			place--
		}
		add(place, c)
	}
	add(1, x.outer)
	m.out.Profiles = append(m.out.Profiles, t)
}

// At is the body at a time, between points by a cubic for core and mean, and by a
// straight line for the rest; before the first point and after the last it is that
// point. At a change of phase it is the body after it.
func (c *Course) At(seconds float64) Point {
	n := len(c.Points)
	if n == 0 {
		return Point{}
	}
	i := sort.Search(n, func(i int) bool { return c.Points[i].Seconds > seconds })
	switch {
	case math.IsNaN(seconds) || i == 0:
		return c.Points[0]
	case i == n:
		return c.Points[n-1]
	}
	a, b := &c.Points[i-1], &c.Points[i]
	w := (seconds - a.Seconds) / (b.Seconds - a.Seconds)
	line := func(x, y float64) float64 { return x + w*(y-x) }
	p := Point{
		Seconds: seconds, Phase: a.Phase, Bath: line(a.Bath, b.Bath), Coldest: line(a.Coldest, b.Coldest),
		Surface: line(a.Surface, b.Surface), Inner: line(a.Inner, b.Inner),
	}
	p.Core = core(a, b, seconds)
	dt := b.Seconds - a.Seconds
	p.Mean = hermite(w, dt, a.Mean, b.Mean, a.meanRate, b.meanRate)
	return p
}

func core(a, b *Point, seconds float64) float64 {
	dt := b.Seconds - a.Seconds
	return hermite((seconds-a.Seconds)/dt, dt, a.Core, b.Core, a.coreRate, b.coreRate)
}

// hermite is the cubic through two values with their slopes.
func hermite(w, dt, a, b, slopeA, slopeB float64) float64 {
	u := 1 - w
	return u*u*(1+2*w)*a + w*w*(1+2*u)*b + w*u*dt*(u*slopeA-w*slopeB)
}

// Reach is the first time at which the core is at target, in °C, coming from
// either side. The error is ErrNever.
func (c *Course) Reach(target float64) (float64, error) {
	if len(c.Points) == 0 || !finite(target) {
		return 0, never(target, 0)
	}
	above := c.start > target
	if c.start == target {
		return 0, nil
	}
	for i := 1; i < len(c.Points); i++ {
		a, b := &c.Points[i-1], &c.Points[i]
		if (above && b.Core <= target || !above && b.Core >= target) && b.Seconds > a.Seconds {
			return crossing(a, b, target), nil
		}
	}
	return 0, never(target, c.Points[len(c.Points)-1].Seconds)
}

// crossing is where the core passes a temperature between two points on either
// side of it.
func crossing(a, b *Point, target float64) float64 {
	f := func(t float64) float64 { return core(a, b, t) - target }
	return between(f, a.Seconds, a.Core-target, b.Seconds, b.Core-target)
}

// Above is how long, in seconds, the core is at a temperature or above it.
func (c *Course) Above(celsius float64) float64 {
	var sum float64
	for i := 1; i < len(c.Points); i++ {
		a, b := &c.Points[i-1], &c.Points[i]
		dt := b.Seconds - a.Seconds
		switch hot, stays := a.Core >= celsius, b.Core >= celsius; {
		case dt <= 0:
		case hot && stays:
			sum += dt
		case hot:
			sum += crossing(a, b, celsius) - a.Seconds
		case stays:
			sum += b.Seconds - crossing(a, b, celsius)
		}
	}
	return sum
}
