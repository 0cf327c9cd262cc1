package conduct

import "math"

// Slope is the regular regime of a log: ln θ = ln C - rate × t, once the start is
// forgotten. The slope is the same at every depth; the place of the probe is in the
// intercept alone.
type Slope struct {
	Rate      float64 // 1/s
	Intercept float64 // C, with the place of the probe in it
	// RateSE and InterceptSE are standard errors from the scatter about the line;
	// what the bath, the thickness or the coefficient were wrong by is not in them.
	RateSE, InterceptSE float64
	Points              int
}

// Window is the range of θ in which a log is taken to be in the regular regime:
// below, its noise outweighs it; above, the start is still felt.
type Window struct{ Low, High float64 }

// Regular is the usual window.
var Regular = Window{0.02, 0.6}

// SlopeOf fits the line to the readings of a log whose θ is in the window,
// weighted by θ, for the noise of ln θ is that of the reading over θ. start and
// bath are in °C. Errors are ErrInput, and ErrLog for fewer than three readings in
// the window or a core that does not approach the bath.
func SlopeOf(seconds, core []float64, start, bath float64, w Window) (Slope, error) {
	if err := checkLog(seconds, core); err != nil {
		return Slope{}, err
	}
	if !finite(start) || !finite(bath) || start == bath || !(w.Low > 0 && w.Low < w.High) {
		return Slope{}, bad("start %v, bath %v °C, window %v to %v", start, bath, w.Low, w.High)
	}
	var sw, st, sy float64
	type point struct{ t, y, w float64 }
	var points []point
	for i, t := range seconds {
		theta := (bath - core[i]) / (bath - start)
		if !(theta >= w.Low && theta <= w.High) {
			continue
		}
		p := point{t, math.Log(theta), theta * theta} // weights of squares
		points = append(points, p)
		sw += p.w
		st += p.w * p.t
		sy += p.w * p.y
	}
	n := len(points)
	if n < 3 {
		return Slope{}, noLog("%d readings in the regular regime", n)
	}
	st, sy = st/sw, sy/sw
	var stt, sty float64
	for _, p := range points {
		stt += p.w * (p.t - st) * (p.t - st)
		sty += p.w * (p.t - st) * (p.y - sy)
	}
	b := sty / stt
	if !(b < 0) {
		return Slope{}, noLog("the core does not approach %v °C", bath)
	}
	var rss float64
	for _, p := range points {
		e := p.y - sy - b*(p.t-st)
		rss += p.w * e * e
	}
	variance := rss / float64(n-2)
	c := math.Exp(sy - b*st)
	return Slope{
		Rate: -b, Intercept: c, Points: n, RateSE: math.Sqrt(variance / stt),
		InterceptSE: c * math.Sqrt(variance*(1/sw+st*st/stt)),
	}, nil
}

// Diffusivity of a body whose slope is known and whose Biot number is given, in
// m²/s: rate L²/ζ1². half is in metres. The error is ErrInput.
func (s Slope) Diffusivity(shape Shape, half, biot float64) (float64, error) {
	if !positive(half) || !positive(s.Rate) {
		return 0, bad("half thickness %v m, rate %v 1/s", half, s.Rate)
	}
	b, err := Dimensionless(shape, biot)
	if err != nil {
		return 0, err
	}
	z, _, _ := b.OneTerm()
	return s.Rate * half * half / (z * z), nil
}

// DiffusivityOf is the same where the coefficient is given in the place of the
// Biot number: transfer in W/m²/K, +Inf for a held surface, and the conductivity
// in W/m/K.
func (s Slope) DiffusivityOf(shape Shape, half, conductivity, transfer float64) (float64, error) {
	if !positive(conductivity) || !(transfer > 0) {
		return 0, bad("conductivity %v, transfer %v", conductivity, transfer)
	}
	return s.Diffusivity(shape, half, half/conductivity*transfer)
}
