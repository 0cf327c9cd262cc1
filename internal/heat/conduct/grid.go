package conduct

import "math"

// grid cuts a body into cells of equal thickness: from the centre to the surface,
// or, with two unlike faces, from face to face. Areas and volumes are for one
// square metre of a slab; of a cylinder and a sphere the common factors 2π a metre
// and 4π are left out.
type grid struct {
	dims   int
	n      int
	dx     float64
	area   []float64 // of the n+1 faces
	volume []float64
	split  bool // from face to face
}

func newGrid(shape Shape, half float64, cells int, split bool) *grid {
	g := &grid{dims: shape.dims(), n: cells, dx: half / float64(cells), split: split}
	if split {
		g.n *= 2
	}
	g.area, g.volume = make([]float64, g.n+1), make([]float64, g.n)
	at := func(i int, power int) float64 { return math.Pow(float64(i)*g.dx, float64(power)) }
	for i := range g.area {
		g.area[i] = at(i, g.dims-1)
	}
	for i := range g.volume {
		g.volume[i] = (at(i+1, g.dims) - at(i, g.dims)) / float64(g.dims)
	}
	return g
}

// centre is the value at the centre of what is known in the cells. The profile is
// even there, so a parabola through the next two cells of each side is right to
// the fourth order.
func (g *grid) centre(v []float64) float64 {
	if g.split {
		m := g.n / 2
		return (9*(v[m-1]+v[m]) - v[m-2] - v[m+1]) / 16
	}
	return (9*v[0] - v[1]) / 8
}

// mean is over the volume.
func (g *grid) mean(v []float64) float64 {
	var sum, all float64
	for i, x := range v {
		sum += g.volume[i] * x
		all += g.volume[i]
	}
	return sum / all
}
