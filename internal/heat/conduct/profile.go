package conduct

import (
	"sort"
)

// Profile is a number that changes with time: straight lines between points, the
// first value before them and the last one after. Two points at one time make a
// jump. The zero Profile is 0 throughout.
type Profile struct{ at, value []float64 }

// Constant is v at all times.
func Constant(v float64) Profile { return Profile{[]float64{0}, []float64{v}} }

// Ramp goes from one value to another in the seconds given, and stays there.
func Ramp(from, to, seconds float64) (Profile, error) {
	return Logged([]float64{0, seconds}, []float64{from, to})
}

// Steps takes each value from its time on; before the first time it has the
// first value. Times rise. The error is ErrInput.
func Steps(at, value []float64) (Profile, error) {
	p, err := Logged(at, value)
	if err != nil {
		return Profile{}, err
	}
	var out Profile
	for i := range p.at {
		if i > 0 {
			out.at, out.value = append(out.at, p.at[i]), append(out.value, p.value[i-1])
		}
		out.at, out.value = append(out.at, p.at[i]), append(out.value, p.value[i])
	}
	return out, nil
}

// Logged has a value at each time and straight lines between. Times do not fall;
// of readings at one time the first ends what was before and the last begins what
// follows. The error is ErrInput for no reading, unequal lengths, times that fall
// and numbers that are not finite.
func Logged(at, value []float64) (Profile, error) {
	if len(at) == 0 || len(at) != len(value) {
		return Profile{}, bad("%d times with %d values", len(at), len(value))
	}
	for i := range at {
		if !finite(at[i]) || !finite(value[i]) || i > 0 && at[i] < at[i-1] {
			return Profile{}, bad("reading %d, %v at %v s", i+1, value[i], at[i])
		}
	}
	return Profile{append([]float64(nil), at...), append([]float64(nil), value...)}, nil
}

// Times are those of its points. The caller may change them.
func (p Profile) Times() []float64 { return append([]float64(nil), p.at...) }

// End is the time of its last point, 0 without any.
func (p Profile) End() float64 {
	if len(p.at) == 0 {
		return 0
	}
	return p.at[len(p.at)-1]
}

// At is the value at a time; at a jump the one after it.
func (p Profile) At(seconds float64) float64 { return p.look(seconds, true) }

// look is the value at a time, seen from after it or from before it.
func (p Profile) look(seconds float64, after bool) float64 {
	n := len(p.at)
	if n == 0 {
		return 0
	}
	// i is the first point that lies beyond.
	i := sort.Search(n, func(i int) bool {
		if after {
			return p.at[i] > seconds
		}
		return p.at[i] >= seconds
	})
	switch {
	case i == 0:
		return p.value[0]
	case i == n:
		return p.value[n-1]
	}
	w := (seconds - p.at[i-1]) / (p.at[i] - p.at[i-1])
	return p.value[i-1] + w*(p.value[i]-p.value[i-1])
}

// straight is a stretch of a profile without a bend: from its first value, after a
// jump there, to its last, before one.
type straight struct{ from, to, first, last float64 }

// walk goes along the stretches of a profile from time 0 to a time above it.
type walk struct {
	straight
	p     Profile
	point int // the next that may end a stretch
	end   float64
	begun bool
}

func (p Profile) walk(to float64) walk { return walk{p: p, end: to} }

// next goes to the next stretch, and is false after the last.
func (w *walk) next() bool {
	at, value := w.p.at, w.p.value
	if !w.begun {
		w.begun = true
		w.from, w.first = 0, w.p.At(0)
		for w.point < len(at) && at[w.point] <= 0 {
			w.point++
		}
	} else {
		if w.to >= w.end {
			return false
		}
		// After a jump the last of the points at that time counts.
		for w.point < len(at) && at[w.point] == w.to {
			w.point++
		}
		w.from, w.first = w.to, value[w.point-1]
	}
	switch i := w.point; {
	case i == len(at) || at[i] >= w.end:
		w.to, w.last = w.end, w.p.look(w.end, false)
	case i == 0:
		w.to, w.last = at[0], value[0]
	default:
		w.to, w.last = at[i], value[i-1]+(value[i]-value[i-1])
	}
	return true
}

// bends are the times strictly between two at which the profile bends or jumps.
func (p Profile) bends(from, to float64) []float64 {
	var out []float64
	for i, t := range p.at {
		if t > from && t < to && (i == 0 || t > p.at[i-1]) {
			out = append(out, t)
		}
	}
	return out
}
