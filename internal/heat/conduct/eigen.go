package conduct

import (
	"math"
	"sync"
)

// lengths are how many terms a series has, and from which Fourier number on they are
// all that count; each longer list is made when it is first asked for. Term n falls
// as exp(-((n-1)π)² Fo) or faster: from 1.27 on the third is below exp(-50), where a
// sum ends, six are complete (below 1e-20) from 0.19, twenty-four from 0.009 and two
// hundred from 1.2e-4.
var lengths = [...]struct {
	terms int
	from  float64
}{{fewTerms, 1.27}, {6, 0.19}, {24, 0.009}, {manyTerms, math.Inf(-1)}}

// Places in lengths, and the lengths of the first and the last.
const (
	fewTerms  = 2
	someTerms = 2
	mostTerms = 3
	manyTerms = 200
)

// besselZeros are the first zeros of J0 and J1, found once.
var besselZeros = sync.OnceValue(func() (z struct{ j0, j1 [manyTerms]float64 }) {
	for n := range manyTerms {
		// McMahon's expansion puts zero n (from 1) of J0 at π(n - 1/4) and of J1 at
		// π(n + 1/4), to within 0.06, and zeros are about π apart.
		z.j0[n] = bisect(math.J0, math.Pi*(float64(n)+0.75)-0.3, math.Pi*(float64(n)+0.75)+0.3)
		z.j1[n] = bisect(math.J1, math.Pi*(float64(n)+1.25)-0.3, math.Pi*(float64(n)+1.25)+0.3)
	}
	return z
})

// eigenvalue is root number n, from 1, of the boundary condition for a Biot
// number hL/k, which may be +Inf.
//
// Textbook forms (Carslaw and Jaeger 1959): slab ζ tan ζ = Bi, cylinder
// ζ J1(ζ) = Bi J0(ζ), sphere 1 - ζ cot ζ = Bi.
func eigenvalue(shape Shape, bi float64, n int) float64 {
	turns := float64(n-1) * math.Pi
	if bi < 1e-4 && n == 1 {
		// The first root of a nearly uniform body, by its power series in Bi; what
		// is left out is of the order Bi³. The forms below lose digits there.
		switch shape {
		case Slab:
			return math.Sqrt(bi * (1 - bi/3 + 4*bi*bi/45))
		case Cylinder:
			return math.Sqrt(2 * bi * (1 - bi/4 + bi*bi/24))
		}
		return math.Sqrt(3 * bi * (1 - bi/5 + 4*bi*bi/175))
	}
	switch shape {
	case Slab:
		if math.IsInf(bi, 1) {
			return turns + math.Pi/2
		}
		// tan ζ = Bi/ζ, so ζ is (n-1)π and an angle in the first quadrant. Written
		// so, the residual has no pole and grows all along.
		return newton(turns, turns+math.Pi/2, turns+angle(bi, turns), true, func(z float64) (f, slope float64) {
			return z - turns - math.Atan2(bi, z), 1 + bi/(z*z+bi*bi)
		})
	case Cylinder:
		zeros := besselZeros()
		lo, hi := 0.0, zeros.j0[n-1]
		if n > 1 {
			lo = zeros.j1[n-2] // the zeros of J0 and J1 interlace, and each root lies between two
		}
		if math.IsInf(bi, 1) {
			return hi
		}
		// Far out J0 and J1 are a cosine and a sine of ζ - π/4, as in a slab.
		start := turns + math.Pi/4 + angle(bi, turns+math.Pi/4)
		if n == 1 {
			start = math.Sqrt(2 * bi / (1 + 2*bi/(hi*hi))) // right for small and large Bi
		}
		return newton(lo, hi, start, n%2 == 1, func(z float64) (f, slope float64) {
			j0, j1 := math.J0(z), math.J1(z)
			return z*j1 - bi*j0, z*j0 + bi*j1 // (ζJ1)' = ζJ0, J0' = -J1
		})
	}
	if math.IsInf(bi, 1) {
		return turns + math.Pi
	}
	// cot ζ = (1-Bi)/ζ: an angle between 0 and π.
	start := turns + math.Atan2(turns+math.Pi/2, 1-bi)
	lo := turns
	if n == 1 {
		start = math.Sqrt(3 * bi / (1 + 3*bi/(math.Pi*math.Pi)))
		lo = start / 2 // 0 solves it too, and is not wanted; the root is never so low
	}
	return newton(lo, turns+math.Pi, start, true, func(z float64) (f, slope float64) {
		return z - turns - math.Atan2(z, 1-bi), 1 - (1-bi)/(z*z+(1-bi)*(1-bi))
	})
}

// angle is a first guess of the angle of root n beyond turns.
func angle(bi, turns float64) float64 {
	if turns == 0 {
		// From √Bi at small Bi to π/2 at large.
		return math.Sqrt(bi / (1 + bi*4/(math.Pi*math.Pi)))
	}
	return math.Atan2(bi, turns+math.Atan2(bi, turns))
}

// newton finds the one root of f between lo and hi, which f passes upwards or
// downwards. A step that leaves the bracket is replaced by halving.
func newton(lo, hi, z float64, upwards bool, f func(z float64) (value, slope float64)) float64 {
	if !(z > lo && z < hi) {
		z = lo + (hi-lo)/2
	}
	for range 100 {
		v, slope := f(z)
		if v == 0 {
			return z
		}
		if (v > 0) == upwards {
			hi = z
		} else {
			lo = z
		}
		next := z - v/slope
		if math.Abs(next-z) <= 1e-9*z { // each step squares the error: the last bits are right now
			return next
		}
		if !(next > lo && next < hi) {
			next = lo + (hi-lo)/2
		}
		z = next
	}
	return z
}

// bisect finds the root of f between lo and hi, where it changes sign, to the
// last bit that halving can give.
func bisect(f func(float64) float64, lo, hi float64) float64 {
	up := f(hi) > 0
	for range 200 {
		mid := lo + (hi-lo)/2
		if mid <= lo || mid >= hi {
			break
		}
		if (f(mid) > 0) == up {
			hi = mid
		} else {
			lo = mid
		}
	}
	return lo + (hi-lo)/2
}

// coefficient is C of one term at the centre, and the factor that turns it into
// the term of the mean over the volume.
func coefficient(shape Shape, z float64) (centre, mean float64) {
	s, c := math.Sincos(z)
	switch shape {
	case Slab:
		return 2 * s / (z + s*c), s / z // 4 sin ζ/(2ζ + sin 2ζ)
	case Cylinder:
		j0, j1 := math.J0(z), math.J1(z)
		return 2 / z * j1 / (j0*j0 + j1*j1), 2 * j1 / z
	}
	q := z * z
	if z < 0.05 {
		// sin ζ - ζ cos ζ and 2ζ - sin 2ζ lose their digits; by power series.
		a := 1 - q/10 + q*q/280
		return a / (1 - q/5 + 2*q*q/105), a
	}
	a := s - z*c
	return 2 * a / (z - s*c), 3 * a / (z * q)
}

// profile is f of one term at a place, where f is 1 at the centre.
func profile(shape Shape, zx float64) float64 {
	switch shape {
	case Slab:
		return math.Cos(zx)
	case Cylinder:
		return math.J0(zx)
	}
	if zx < 1e-4 {
		return 1 - zx*zx/6
	}
	return math.Sin(zx) / zx
}
