package conduct

import (
	"math"
	"sync"
)

// Response is how a body that is put into a bath follows it: θ, the share of the
// change that is still to come, 1 at the start and 0 at the end, after the
// seconds given. The temperature is Tb - θ (Tb - Ti).
type Response interface {
	Centre(seconds float64) float64
	Mean(seconds float64) float64 // over the volume
	// Surface is at the surface; of a product at the middle of the face that is
	// nearest to the centre.
	Surface(seconds float64) float64

	slowest() mode // the mode that is left at the end
	modes() []mode // all that are summed in a bath that is not steady; not to be altered
	core() []mode  // the same for the centre alone, as few as do for that
}

// mode is one exponential of a response: rate in 1/s and what it is worth at the
// three places.
type mode struct{ rate, centre, mean, surface float64 }

// Series is a slab, a long cylinder or a sphere with constant properties:
//
//	θ = Σ C f(ζx) exp(-ζ² Fo), Fo = αt/L², Bi = hL/k
//
// (Carslaw and Jaeger 1959). It is safe for use by several at once.
type Series struct {
	shape Shape
	bi    float64
	rate  float64 // α/L², 1/s: Fourier number a second
	few   [fewTerms]term
	more  [3]longer // for shorter and shorter times
	drive onceModes
	inner onceModes
}

// longer is a longer list of terms, made when it is first asked for.
type longer struct {
	once  sync.Once
	terms []term
}

// onceModes are modes that are found when they are first asked for.
type onceModes struct {
	once  sync.Once
	modes []mode
}

type term struct {
	zeta, square, centre, mean, surface float64
}

// NewSeries makes a body. half is half the thickness of a slab, or the radius, in
// metres. The error is ErrInput.
func NewSeries(shape Shape, half float64, s Solid) (*Series, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	if !positive(half) {
		return nil, bad("half thickness %v m", half)
	}
	// The ratio first, so that no product overflows on the way.
	return newSeries(shape, half/s.Conductivity*s.Transfer, s.Diffusivity/half/half)
}

// Dimensionless makes a body of a Biot number hL/k, which may be +Inf. Its
// seconds are Fourier numbers. The error is ErrInput.
func Dimensionless(shape Shape, biot float64) (*Series, error) { return newSeries(shape, biot, 1) }

func newSeries(shape Shape, bi, rate float64) (*Series, error) {
	if shape > Sphere || !(bi > 0) || !positive(rate) {
		return nil, bad("%v, Biot number %v, Fourier number %v a second", shape, bi, rate)
	}
	s := &Series{shape: shape, bi: bi, rate: rate}
	for i := range s.few {
		s.few[i] = newTerm(shape, bi, i+1)
	}
	return s, nil
}

// terms is the list of a length of lengths, beginning with the shortest; each goes on
// where the one before it ends.
func (s *Series) terms(length int) []term {
	if length == 0 {
		return s.few[:]
	}
	l := &s.more[length-1]
	l.once.Do(func() {
		l.terms = make([]term, lengths[length].terms)
		for i := copy(l.terms, s.terms(length-1)); i < len(l.terms); i++ {
			l.terms[i] = newTerm(s.shape, s.bi, i+1)
		}
	})
	return l.terms
}

// termsAt are those that count from a Fourier number on.
func (s *Series) termsAt(fo float64) []term {
	length := 0
	for fo < lengths[length].from {
		length++
	}
	return s.terms(length)
}

func newTerm(shape Shape, bi float64, n int) term {
	z := eigenvalue(shape, bi, n)
	c, m := coefficient(shape, z)
	f := profile(shape, z)
	if math.IsInf(bi, 1) {
		f = 0 // the surface is at the bath, and cos ζ is only nearly zero
	}
	return term{zeta: z, square: z * z, centre: c, mean: c * m, surface: c * f}
}

// Biot is hL/k, and Fourier αt/L² after the seconds given.
func (s *Series) Biot() float64                   { return s.bi }
func (s *Series) Fourier(seconds float64) float64 { return s.rate * seconds }

// OneTerm is the first eigenvalue with its coefficient at the centre and that of
// the mean: θ is C exp(-ζ² Fo) to 1 or 2 % from Fo = 0.2.
func (s *Series) OneTerm() (zeta, centre, mean float64) {
	return s.few[0].zeta, s.few[0].centre, s.few[0].mean
}

// still is the Fourier number below which the centre has not moved: what is left
// is of the order erfc(1/(2√Fo)), 5e-28 at 0.0042.
const still = 0.004

// Centre is θ at the centre, between 0 and 1. A time of 0 or less gives 1.
func (s *Series) Centre(seconds float64) float64 {
	fo := s.rate * seconds
	if !(fo > still) {
		return 1
	}
	terms := s.termsAt(fo)
	var total float64
	for i := range terms { // as sum, which is slower, and this is asked for most
		x := terms[i].square * fo
		if x > 50 {
			break
		}
		total += terms[i].centre * math.Exp(-x)
	}
	return max(0, min(1, total))
}

// run is how many equal steps the exponentials are carried on by multiplication: it
// loses no more digits than the exponential of a large argument does.
const run = 16

// CentreEvenly fills in θ at the centre at a time in seconds and at equal steps after
// it, none below 0.
func (s *Series) CentreEvenly(seconds, step float64, theta []float64) {
	var value, ratio [manyTerms]float64 // of each term: what it is worth, and by what it falls in a step
	for at := 0; at < len(theta); {
		fo := s.rate * (seconds + float64(at)*step)
		if !(fo > still) {
			theta[at] = 1
			at++
			continue
		}
		terms := s.termsAt(fo)
		n := 0
		for ; n < len(terms); n++ {
			x := terms[n].square * fo
			if x > 50 {
				break
			}
			value[n], ratio[n] = terms[n].centre*math.Exp(-x), math.Exp(-terms[n].square*s.rate*step)
		}
		for end := min(at+run, len(theta)); at < end; at++ {
			var total float64
			for i := range n {
				total += value[i]
				value[i] *= ratio[i]
			}
			theta[at] = max(0, min(1, total))
		}
	}
}

// Mean is θ averaged over the volume. Below Fo = 1.2e-4 the terms left out are
// worth at most 0.004.
func (s *Series) Mean(seconds float64) float64 {
	fo := s.rate * seconds
	if !(fo > 0) {
		return 1
	}
	return s.sum(fo, func(t *term) float64 { return t.mean })
}

// Surface is θ at the surface. Below Fo = 1.2e-4 the terms left out are worth at
// most 0.02, and at the very start of a fast surface more.
func (s *Series) Surface(seconds float64) float64 {
	fo := s.rate * seconds
	if !(fo > 0) {
		return 1
	}
	return s.sum(fo, func(t *term) float64 { return t.surface })
}

// At is θ at a relative place: 0 is the centre, 1 the surface, and what lies
// outside is taken as the surface.
func (s *Series) At(place, seconds float64) float64 {
	fo := s.rate * seconds
	switch place = math.Abs(place); {
	case !(fo > 0):
		return 1
	case place >= 1:
		return s.Surface(seconds)
	case fo <= still*(1-place)*(1-place):
		return 1 // as for the centre, with the distance to the surface as the length
	}
	return s.sum(fo, func(t *term) float64 { return t.centre * profile(s.shape, t.zeta*place) })
}

func (s *Series) sum(fo float64, worth func(*term) float64) float64 {
	terms := s.termsAt(fo)
	var total float64
	for i := range terms {
		x := terms[i].square * fo
		if x > 50 {
			break // exp(-50) = 2e-22, and every later term is smaller
		}
		total += worth(&terms[i]) * math.Exp(-x)
	}
	// Rounding may step outside by a few units in the last place.
	return max(0, min(1, total))
}

func (s *Series) slowest() mode {
	t := s.few[0]
	return mode{s.rate * t.square, t.centre, t.mean, t.surface}
}

// drivenTerms is how many modes follow a bath: complete from Fo = 0.002 after it
// jumps, and with what is left over taken as one more mode close enough before.
const drivenTerms = 48

func (s *Series) modes() []mode {
	s.drive.once.Do(func() { s.drive.modes = s.driven() })
	return s.drive.modes
}

func (s *Series) driven() []mode {
	out := make([]mode, 0, drivenTerms+1)
	add := func(t term) { out = append(out, mode{s.rate * t.square, t.centre, t.mean, t.surface}) }
	for _, t := range s.terms(someTerms) {
		add(t)
	}
	for n := len(out) + 1; n <= drivenTerms; n++ {
		add(newTerm(s.shape, s.bi, n))
	}
	return append(out, rest(out))
}

func (s *Series) core() []mode {
	s.inner.once.Do(func() { s.inner.modes = s.drivenCore() })
	return s.inner.modes
}

// coreTerms is how many modes the centre follows a bath with. They are complete from
// Fo = 0.02 after the bath jumps or bends; nothing is felt at the centre before.
const coreTerms = 12

// drivenCore is the first modes of the centre and one for the rest, which makes two
// things exact: the weights add up to one, so that nothing jumps where the bath
// does, and the centre lags as it must behind a bath that rises steadily.
func (s *Series) drivenCore() []mode {
	out := make([]mode, 0, coreTerms+1)
	left, lag := 1.0, s.lag()
	for n := range coreTerms {
		t := term{}
		if n < len(s.few) {
			t = s.few[n]
		} else {
			t = newTerm(s.shape, s.bi, n+1)
		}
		m := mode{rate: s.rate * t.square, centre: t.centre}
		left, lag = left-m.centre, lag-m.centre/m.rate
		out = append(out, m)
	}
	// Both are alternating sums of falling terms, so they have the sign of the first
	// that was left out. Where rounding has eaten them any fast rate will do.
	rate := left / lag
	if last := out[coreTerms-1].rate; !(rate > last && rate < 100*last) {
		rate = 2 * last
	}
	return append(out, mode{rate: rate, centre: left})
}

// lag is ∫θ dt at the centre: how far it is behind a bath that rises by 1 K/s for
// long, in s. The heat that a body takes up at a steady rate r passes through its
// surface, ρcrL = h ΔT for a slab, and its profile is the parabola of a uniform
// source (Carslaw and Jaeger 1959); of a cylinder it is half of either, of a sphere a
// third.
func (s *Series) lag() float64 {
	return (1.0/2 + 1/s.bi) / float64(1+s.shape) / s.rate
}

// rest is what the modes left out are worth, as one that is faster than all: with
// it the weights add up to one, so nothing jumps where a bath does.
func rest(of []mode) mode {
	r := mode{0, 1, 1, 1}
	for _, m := range of {
		r.rate = math.Max(r.rate, m.rate)
		r.centre -= m.centre
		r.mean -= m.mean
		r.surface -= m.surface
	}
	r.rate *= 2
	return r
}
