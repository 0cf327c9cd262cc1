package conduct

import (
	"errors"
	"fmt"
	"math"
)

// The errors of this package; each is wrapped with what was wrong.
var (
	ErrInput = errors.New("not a problem that can be computed")
	ErrNever = errors.New("the temperature is not reached")
	ErrSolve = errors.New("the iteration did not end")
	ErrLog   = errors.New("the log does not tell")
)

func bad(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrInput, fmt.Sprintf(format, args...))
}

// Shape is the geometry in which heat flows.
type Shape uint8

// The shapes of one dimension.
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

// dims is 1, 2 or 3: the area at radius r goes with r to the power dims-1.
func (s Shape) dims() int { return int(s) + 1 }

// Solid holds constant properties and how the surface takes heat.
type Solid struct {
	Diffusivity  float64 // m²/s
	Conductivity float64 // W/m/K
	Transfer     float64 // W/m²/K; +Inf holds the surface at the bath
}

func (s Solid) check() error {
	if !positive(s.Diffusivity) || !positive(s.Conductivity) || !(s.Transfer > 0) {
		return bad("diffusivity %v, conductivity %v, transfer %v", s.Diffusivity, s.Conductivity, s.Transfer)
	}
	return nil
}

func positive(v float64) bool { return v > 0 && !math.IsInf(v, 1) }

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

func noLog(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrLog, fmt.Sprintf(format, args...))
}
