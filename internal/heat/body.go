package heat

import (
	"errors"
	"fmt"
	"math"
)

// The reasons for which a shape or a question is refused.
var (
	// ErrShape: a dimension or property that is not positive and finite.
	ErrShape = errors.New("not a shape that can be computed")
	// ErrTarget: a temperature that the core cannot reach, or has already.
	ErrTarget = errors.New("not a temperature between start and bath")
)

// Shape is the geometry in which heat flows.
type Shape uint8

// The shapes with a series of their own.
const (
	Slab     Shape = iota // heated on both faces
	Cylinder              // long, heated on the round side
	Sphere
)

func (s Shape) String() string {
	switch s {
	case Slab:
		return "slab"
	case Cylinder:
		return "cylinder"
	case Sphere:
		return "sphere"
	}
	return "unknown shape"
}

// Material holds what conducts and how the surface takes heat.
type Material struct {
	Diffusivity  float64 // m²/s
	Conductivity float64 // W/m/K
	Transfer     float64 // W/m²/K; +Inf holds the surface at bath temperature
}

func (m Material) check() error {
	if !positive(m.Diffusivity) || !positive(m.Conductivity) || !(m.Transfer > 0) {
		return fmt.Errorf("%w: diffusivity %v, conductivity %v, transfer %v", ErrShape, m.Diffusivity, m.Conductivity, m.Transfer)
	}
	return nil
}

func positive(v float64) bool { return v > 0 && !math.IsInf(v, 1) }

// Solid is a body whose unaccomplished change θ is known: 1 at the start, 0
// when it has reached the bath; the temperature is Tb - θ (Tb - Ti).
type Solid interface {
	// Centre is θ at the centre after the seconds given.
	Centre(seconds float64) float64
	// Mean is θ averaged over the volume.
	Mean(seconds float64) float64
	// Surface is θ at the surface; of a block, at the middle of its largest face.
	Surface(seconds float64) float64
}

// Body is a slab, a long cylinder or a sphere.
type Body struct {
	rate   float64   // α/L², 1/s: Fourier number a second
	square []float64 // ζ²
	centre []float64 // C
	mean   []float64 // C × mean factor
	face   []float64 // C × f at the surface
}

// New makes a body. half is half the thickness of a slab, or the radius, in
// metres. The error is ErrShape.
//
// θ = Σ C exp(-ζ² Fo) with Fo = αt/L² and Bi = hL/k (Carslaw and Jaeger 1959).
func New(shape Shape, half float64, m Material) (*Body, error) {
	if err := m.check(); err != nil {
		return nil, err
	}
	if shape > Sphere || !positive(half) {
		return nil, fmt.Errorf("%w: %v of half thickness %v m", ErrShape, shape, half)
	}
	// The ratio first, so that neither product overflows on the way.
	b := &Body{rate: m.Diffusivity / half / half}
	bi := half / m.Conductivity * m.Transfer
	if !positive(b.rate) || !(bi > 0) {
		return nil, fmt.Errorf("%w: half thickness %v m", ErrShape, half)
	}
	for _, z := range eigenvalues(shape, bi) {
		c, f := coefficient(shape, z)
		b.square = append(b.square, z*z)
		b.centre = append(b.centre, c)
		b.mean = append(b.mean, c*f)
		b.face = append(b.face, c*surface(shape, z))
	}
	return b, nil
}

// Centre is θ at the centre, between 0 and 1. A time of 0 or less gives 1.
func (b *Body) Centre(seconds float64) float64 {
	fo := b.rate * seconds
	if !(fo > shortTime) {
		return 1
	}
	return b.sum(b.centre, fo)
}

// Mean is θ averaged over the volume. The terms left out are worth at most
// 0.016 in absolute terms at the very start and nothing above Fo = 0.005.
func (b *Body) Mean(seconds float64) float64 {
	fo := b.rate * seconds
	if !(fo > 0) {
		return 1
	}
	return b.sum(b.mean, fo)
}

// Surface is θ at the surface. The terms left out are worth at most 0.02 in
// absolute terms at the very start and nothing above Fo = 0.005.
func (b *Body) Surface(seconds float64) float64 {
	fo := b.rate * seconds
	if !(fo > 0) {
		return 1
	}
	return b.sum(b.face, fo)
}

func (b *Body) sum(c []float64, fo float64) float64 {
	var s float64
	for i := range c {
		x := b.square[i] * fo
		if x > 50 {
			break // exp(-50) = 2e-22, and every later term is smaller
		}
		s += c[i] * math.Exp(-x)
	}
	// Rounding may step outside by a few units in the last place.
	return math.Max(0, math.Min(1, s))
}

// Block is a body of three pairs of faces: the product of three slabs. That
// holds for constant properties, one start and one bath temperature.
type Block [3]*Body

// NewBlock makes a block from its three sides in metres. The error is ErrShape.
func NewBlock(sides [3]float64, m Material) (*Block, error) {
	var b Block
	for i, s := range sides {
		x, err := New(Slab, s/2, m)
		if err != nil {
			return nil, err
		}
		b[i] = x
	}
	return &b, nil
}

// Centre is the product of the three slabs' θ at the centre.
func (b *Block) Centre(seconds float64) float64 {
	return b[0].Centre(seconds) * b[1].Centre(seconds) * b[2].Centre(seconds)
}

// Mean is the product of the means.
func (b *Block) Mean(seconds float64) float64 {
	return b[0].Mean(seconds) * b[1].Mean(seconds) * b[2].Mean(seconds)
}

// Surface is θ at the middle of the largest face, which is the one that ends the
// shortest side.
func (b *Block) Surface(seconds float64) float64 {
	short := 0
	for i := range b {
		if b[i].rate > b[short].rate { // α/L²
			short = i
		}
	}
	theta := b[short].Surface(seconds)
	for i := range b {
		if i != short {
			theta *= b[i].Centre(seconds)
		}
	}
	return theta
}

// Seconds is how long the core takes until θ has fallen to theta, which lies
// strictly between 0 and 1. The error is ErrTarget.
func Seconds(s Solid, theta float64) (float64, error) {
	if !(theta > 0 && theta < 1) {
		return 0, fmt.Errorf("%w: θ = %v", ErrTarget, theta)
	}
	// θ falls with time, so double until it is passed, then halve.
	hi := 1.0
	for s.Centre(hi) > theta {
		hi *= 2
		if math.IsInf(hi, 1) {
			return 0, fmt.Errorf("%w: θ = %v is never reached", ErrTarget, theta)
		}
	}
	return bisect(func(t float64) float64 { return theta - s.Centre(t) }, 0, hi), nil
}

// SecondsTo is how long the core takes from start to target in a bath, all in
// °C, heating or cooling. A core that begins at the target takes no time. The
// error is ErrTarget.
func SecondsTo(s Solid, start, bath, target float64) (float64, error) {
	if start == target {
		return 0, nil
	}
	return Seconds(s, (bath-target)/(bath-start))
}
