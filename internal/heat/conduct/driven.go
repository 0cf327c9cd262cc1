package conduct

import "math"

// Reading is a body at one time: °C at the centre, in the mean over the volume
// and at the surface, and its bath.
type Reading struct{ Seconds, Bath, Centre, Mean, Surface float64 }

// Driven is a body of constant properties in a bath of any profile, by
// superposition (Duhamel): each mode of the response is an amplitude that decays
// at its rate and grows with the bath, so a straight piece of the profile is
// exact and long logs cost no more than their length.
type Driven struct {
	body  Response
	start float64
	bath  Profile
}

// decay is what a time does to each mode. Logs are read at equal steps, so it is kept.
type decay struct {
	modes  []mode
	dt     float64
	lapses []lapse
}

// lapse is what a time does to one mode: what is left of its gap, and what a bath
// that rises by 1 K/s adds.
type lapse struct{ left, adds float64 }

func newDecay(modes []mode) decay { return decay{modes: modes, lapses: make([]lapse, len(modes))} }

// over takes the time, in seconds.
func (k *decay) over(dt float64) {
	if math.Abs(k.dt-dt) <= 1e-11*dt { // equal steps differ in their last digits
		return
	}
	k.dt = dt
	for i := range k.modes {
		e := math.Expm1(-k.modes[i].rate * dt)
		k.lapses[i] = lapse{1 + e, -e / k.modes[i].rate} // (1 - exp(-x))/rate, with its digits where x is small
	}
}

// pass takes the gaps through that time, with the bath rising at a rate in K/s.
func (k *decay) pass(gap []float64, rise float64) {
	for i := range gap {
		gap[i] = gap[i]*k.lapses[i].left + rise*k.lapses[i].adds
	}
}

// passTo is pass from the gaps before into those after, and the centre then, in °C,
// in a bath at level.
func (k *decay) passTo(after, before []float64, rise, level float64) float64 {
	n := len(k.modes)
	lapses, before, after := k.lapses[:n], before[:n], after[:n]
	for i := range k.modes {
		g := before[i]*lapses[i].left + rise*lapses[i].adds
		after[i] = g
		level -= k.modes[i].centre * g
	}
	return level
}

// NewDriven puts a body of one start temperature into a bath at time 0. Errors
// are ErrInput.
func NewDriven(r Response, start float64, bath Profile) (*Driven, error) {
	if r == nil || !finite(start) || len(bath.at) == 0 {
		return nil, bad("start %v °C, %d points of bath", start, len(bath.at))
	}
	return &Driven{r, start, bath}, nil
}

// Along gives the body at times that do not fall, from 0 on; a time before 0 is
// taken as 0. The error is ErrInput for times that fall or are not finite.
func (d *Driven) Along(times []float64) ([]Reading, error) {
	out := make([]Reading, 0, len(times))
	modes := d.body.modes()
	err := d.follow(modes, times, func(gap []float64, now, level float64) { out = append(out, read(modes, gap, now, level)) })
	if err != nil {
		return nil, err
	}
	return out, nil
}

// Centres is the centre alone, in °C, at times as of Along; it takes a fifth of the
// work.
func (d *Driven) Centres(times []float64) ([]float64, error) {
	out := make([]float64, 0, len(times))
	modes := d.body.core()
	err := d.follow(modes, times, func(gap []float64, _, level float64) { out = append(out, centre(modes, gap, level)) })
	if err != nil {
		return nil, err
	}
	return out, nil
}

// follow takes modes through the bath and shows their gaps at the times.
func (d *Driven) follow(modes []mode, times []float64, show func(gap []float64, now, level float64)) error {
	k := newDecay(modes)
	gap := make([]float64, len(k.modes)) // bath less body, as seen by each mode
	for i := range gap {
		gap[i] = d.bath.At(0) - d.start
	}
	now, level := 0.0, d.bath.At(0)
	var knots []float64
	if n := len(times); n > 0 {
		knots = d.bath.bends(0, math.Max(0, times[n-1]))
	}
	for i, t := range times {
		t = math.Max(0, t)
		if !finite(t) || t < now && i > 0 {
			return bad("time %d is %v s", i+1, times[i])
		}
		for len(knots) > 0 && knots[0] <= t {
			level = d.forward(gap, &k, now, knots[0], level)
			now, knots = knots[0], knots[1:]
		}
		if t > now {
			level = d.forward(gap, &k, now, t, level)
			now = t
		}
		show(gap, now, level)
	}
	return nil
}

// forward takes the gaps from one time to another over which the profile is
// straight: with the bath rising at r, gap' = r - rate × gap. A jump at the end
// adds to all alike. It returns the bath after it.
func (d *Driven) forward(gap []float64, k *decay, from, to, level float64) float64 {
	dt := to - from
	end := d.bath.look(to, false)
	r := (end - level) / dt
	after := d.bath.look(to, true)
	k.over(dt)
	k.pass(gap, r)
	for i := range gap {
		gap[i] += after - end
	}
	return after
}

func read(modes []mode, gap []float64, now, level float64) Reading {
	out := Reading{Seconds: now, Bath: level, Centre: level, Mean: level, Surface: level}
	for i := range gap {
		m := &modes[i]
		out.Centre -= m.centre * gap[i]
		out.Mean -= m.mean * gap[i]
		out.Surface -= m.surface * gap[i]
	}
	return out
}

// Reach is the first time up to limit seconds at which the centre reaches target,
// in °C, from either side. The error is ErrNever, or ErrInput for a limit that is
// not positive.
func (d *Driven) Reach(target, limit float64) (float64, error) {
	if !positive(limit) || !finite(target) {
		return 0, bad("%v °C within %v s", target, limit)
	}
	if d.start == target {
		return 0, nil
	}
	// Looked at often enough not to step over a crossing: the fastest mode that
	// moves the centre much is a few times the slowest.
	steps := math.Min(4000, math.Max(200, math.Floor(20*limit*d.body.slowest().rate)))
	modes := d.body.core()
	n := len(modes)
	// A series has so few modes that all of this fits on the stack.
	var numbers [3 * (coreTerms + 1)]float64
	var lapses [2 * (coreTerms + 1)]lapse
	room, times := numbers[:], lapses[:]
	if n > coreTerms+1 {
		room, times = make([]float64, 3*n), make([]lapse, 2*n)
	}
	before, gap, inside := room[:n], room[n:2*n], room[2*n:3*n]
	even, within := decay{modes: modes, lapses: times[:n]}, decay{modes: modes, lapses: times[n : 2*n]}
	was, level := d.start-target, d.start // as if the bath had stood there, and jumped at 0
	for w := d.bath.walk(limit); w.next(); {
		s := &w.straight
		for i := range gap {
			gap[i] += s.first - level // of a jump
		}
		// Steps of one length in each straight piece, so that logs at equal intervals
		// have one length throughout.
		pieces := math.Max(1, math.Ceil((s.to-s.from)/limit*steps))
		dt := (s.to - s.from) / pieces
		even.over(dt)
		rise := (s.last - s.first) / (s.to - s.from)
		level = s.first
		for i := 1.0; i <= pieces; i++ {
			before, gap = gap, before
			here := level
			level = s.first + (s.last-s.first)*(i/pieces)
			v := even.passTo(gap, before, rise, level) - target
			if (v >= 0) != (was > 0) || v == 0 {
				now := s.from + (i-1)*dt
				at := func(t float64) float64 { // from the last look, not from the beginning
					if t <= now {
						return was
					}
					within.over(t - now)
					return within.passTo(inside, before, rise, here+rise*(t-now)) - target
				}
				return between(at, now, was, now+dt, v), nil
			}
			was = v
		}
	}
	return 0, never(target, limit)
}

// centre is the centre in a bath at level, in °C.
func centre(modes []mode, gap []float64, level float64) float64 {
	for i := range gap {
		level -= modes[i].centre * gap[i]
	}
	return level
}
