package conduct

import "math"

// A probe follows what it is in with a lag: τ R' = T - R. A stem of 3 mm in water
// has τ of some seconds, in air of minutes.

// Unlag takes the lag of a first-order probe out of a log: T = R + τR', with the
// slope of the parabola through each reading and its neighbours, and of the line
// at the ends. Noise comes out larger by τ over the distance of readings, so a log
// is better thinned first. Times rise. Errors are ErrInput and, for fewer than two
// readings, ErrLog.
func Unlag(seconds, reading []float64, tau float64) ([]float64, error) {
	if err := checkLog(seconds, reading); err != nil {
		return nil, err
	}
	if !(tau >= 0) || !finite(tau) {
		return nil, bad("a lag of %v s", tau)
	}
	n := len(seconds)
	out := make([]float64, n)
	rise := func(i int) float64 { return (reading[i+1] - reading[i]) / (seconds[i+1] - seconds[i]) }
	for i := range out {
		var slope float64
		switch {
		case i == 0:
			slope = rise(0)
		case i == n-1:
			slope = rise(n - 2)
		default:
			// The nearer neighbour counts more.
			a, b := seconds[i]-seconds[i-1], seconds[i+1]-seconds[i]
			slope = (rise(i-1)*b + rise(i)*a) / (a + b)
		}
		out[i] = reading[i] + tau*slope
	}
	return out, nil
}

// LagBound is how far, K, a first-order probe can be behind anything that never
// changed faster than rate, K/s: at most τ times it, whatever the course. The
// error is ErrInput.
func LagBound(tau, rate float64) (float64, error) {
	if !(tau >= 0) || !finite(tau) || !finite(rate) {
		return 0, bad("a lag of %v s at %v K/s", tau, rate)
	}
	return tau * math.Abs(rate), nil
}

// Lagged is what a first-order probe reads of a course that is known at times, as
// straight lines between, when it begins at the first temperature. Errors are
// those of Unlag.
func Lagged(seconds, celsius []float64, tau float64) ([]float64, error) {
	if err := checkLog(seconds, celsius); err != nil {
		return nil, err
	}
	if !(tau >= 0) || !finite(tau) {
		return nil, bad("a lag of %v s", tau)
	}
	out := append([]float64(nil), celsius...)
	for i := 1; i < len(out) && tau > 0; i++ {
		dt := seconds[i] - seconds[i-1]
		r := (celsius[i] - celsius[i-1]) / dt
		// behind' = r - behind/τ, exactly over a straight piece.
		behind := celsius[i-1] - out[i-1]
		behind = behind*math.Exp(-dt/tau) - r*tau*math.Expm1(-dt/tau)
		out[i] = celsius[i] - behind
	}
	return out, nil
}

func checkLog(seconds, celsius []float64) error {
	if len(seconds) != len(celsius) {
		return bad("%d times with %d readings", len(seconds), len(celsius))
	}
	for i := range seconds {
		if !finite(seconds[i]) || !finite(celsius[i]) || i > 0 && !(seconds[i] > seconds[i-1]) {
			return bad("reading %d, %v °C at %v s", i+1, celsius[i], seconds[i])
		}
	}
	if len(seconds) < 2 {
		return noLog("%d readings", len(seconds))
	}
	return nil
}
