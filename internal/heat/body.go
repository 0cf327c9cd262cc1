package heat

import "tamis/internal/heat/conduct"

// The bodies whose core is computed, as package conduct solves them: exact series
// for constant properties, one start and one bath temperature.
type (
	// Shape is the geometry in which heat flows.
	Shape = conduct.Shape
	// Material holds what conducts and how the surface takes heat.
	Material = conduct.Solid
	// Solid is a body whose unaccomplished change θ is known: 1 at the start, 0
	// when it has reached the bath; the temperature is Tb - θ (Tb - Ti).
	Solid = conduct.Response
	// Body is a slab, a long cylinder or a sphere.
	Body = conduct.Series
)

// The shapes with a series of their own.
const (
	Slab     = conduct.Slab
	Cylinder = conduct.Cylinder
	Sphere   = conduct.Sphere
)

// New makes a body. half is half the thickness of a slab, or the radius, in
// metres. The error is that of conduct.NewSeries.
func New(shape Shape, half float64, m Material) (*Body, error) {
	return conduct.NewSeries(shape, half, m)
}

// SecondsTo is how long the core takes from start to target in a bath, all in
// °C, heating or cooling. A core that begins at the target takes no time. The
// error is that of conduct.SecondsTo.
func SecondsTo(s Solid, start, bath, target float64) (float64, error) {
	return conduct.SecondsTo(s, start, bath, target)
}
