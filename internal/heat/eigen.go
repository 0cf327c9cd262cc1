package heat

import "math"

// terms is how many terms of a series are kept. The series is only summed for
// a Fourier number of at least shortTime, where the last term kept is below
// exp(-(39.5π)² × 0.005) = 1e-33.
const terms = 40

// shortTime is the Fourier number below which the centre has not moved: the
// change there is of the order erfc(1/(2√Fo)), 2e-23 at 0.005.
const shortTime = 0.005

// eigenvalues are the first roots of the boundary condition for a Biot number,
// which may be +Inf.
//
// Textbook forms (Carslaw and Jaeger 1959): slab ζ tan ζ = Bi, cylinder
// ζ J1(ζ) = Bi J0(ζ), sphere 1 - ζ cot ζ = Bi. Each is rearranged so that it
// has no pole, and then has exactly one root in each bracket below.
func eigenvalues(shape Shape, bi float64) []float64 {
	roots := make([]float64, terms)
	below := 0.0 // the zero of J1 under the bracket, for the cylinder
	for n := 1; n <= terms; n++ {
		var lo, hi float64
		var residual func(z float64) float64
		switch shape {
		case Slab:
			lo, hi = float64(n-1)*math.Pi, (float64(n)-0.5)*math.Pi
			residual = func(z float64) float64 { s, c := math.Sincos(z); return z*s - bi*c }
		case Cylinder:
			// The zeros of J0 and J1 interlace: 0, j01, j11, j02, …
			lo, hi = below, besselZero(math.J0, float64(n)-0.25)
			below = besselZero(math.J1, float64(n)+0.25)
			residual = func(z float64) float64 { return z*math.J1(z) - bi*math.J0(z) }
		case Sphere:
			lo, hi = float64(n-1)*math.Pi, float64(n)*math.Pi
			residual = func(z float64) float64 {
				if z == 0 {
					return bi // the limit of cos z + (Bi-1) sin z / z
				}
				s, c := math.Sincos(z)
				return c + (bi-1)*s/z
			}
		}
		if math.IsInf(bi, 1) {
			roots[n-1] = hi // the surface is at bath temperature: the upper end of each bracket
			continue
		}
		roots[n-1] = bisect(residual, lo, hi)
	}
	return roots
}

// besselZero is the zero of j next to πx, where McMahon's expansion puts it to
// within 0.06 for the zeros that are asked for (from the first on), and zeros
// are about π apart.
func besselZero(j func(float64) float64, x float64) float64 {
	return bisect(j, math.Pi*x-0.3, math.Pi*x+0.3)
}

// bisect finds the root of f between lo and hi to the last bit that halving
// can give. f must have opposite signs at the ends, or be zero at one.
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

// coefficient is C of one term for the centre, and the factor that turns it
// into the term of the mean over the volume.
func coefficient(shape Shape, z float64) (centre, mean float64) {
	s, c := math.Sincos(z)
	switch shape {
	case Slab:
		return 4 * s / (2*z + math.Sin(2*z)), s / z
	case Cylinder:
		j0, j1 := math.J0(z), math.J1(z)
		return 2 / z * j1 / (j0*j0 + j1*j1), 2 * j1 / z
	}
	return 4 * (s - z*c) / (2*z - math.Sin(2*z)), 3 * (s - z*c) / (z * z * z)
}

// surface is f of one term at the surface, where f is 1 at the centre.
func surface(shape Shape, z float64) float64 {
	switch shape {
	case Slab:
		return math.Cos(z)
	case Cylinder:
		return math.J0(z)
	}
	return math.Sin(z) / z
}
