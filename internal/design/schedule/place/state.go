package place

import "slices"

// state is a day that is partly placed. Lines are shared with the states it came
// from and replaced, never changed.
type state struct {
	hands, pans, baths []line
	steps              *chain // the last one first
}

// chain is a list of steps of which many states share the end.
type chain struct {
	Step
	before *chain
}

func (s *state) clone() *state {
	return &state{slices.Clone(s.hands), slices.Clone(s.pans), slices.Clone(s.baths), s.steps}
}

func newState(p *Problem) *state {
	return &state{hands: make([]line, p.Hands), pans: make([]line, p.Pans), baths: make([]line, p.Baths)}
}

// note writes down a step that has its place.
func (s *state) note(x Step) {
	if x.To > x.From {
		if x.Hand >= 0 {
			s.hands[x.Hand] = s.hands[x.Hand].with(x)
		}
		if x.Pan >= 0 {
			s.pans[x.Pan] = s.pans[x.Pan].with(x)
		}
	}
	s.steps = &chain{x, s.steps}
}

// work places hands as late as they fit before end.
func (s *state) work(x Step, end, lasts int) (Step, *Clash) {
	unit, start, by, moved := latestOf(s.hands, nil, end, lasts)
	want := end - lasts
	if lasts == 0 {
		unit, start, moved = -1, end, false
	}
	x.Hand, x.From, x.To = unit, start, start+lasts
	s.note(x)
	if moved {
		return x, &Clash{Hands, x.at(want, end), by, max(want, by.From)}
	}
	return x, nil
}

func (x Step) at(from, to int) Step {
	x.From, x.To = from, to
	return x
}

// fits reports whether hands are free in a stretch that cannot move.
func (s *state) fits(from, to int) (unit int, by Step, ok bool) {
	if from == to {
		return -1, by, true
	}
	unit, start, by, _ := latestOf(s.hands, nil, to, to-from)
	return unit, by, start == from
}

// sear places a piece in a pan and in somebody's hands, as late as both are free.
func (s *state) sear(x Step, sear Sear, end int) (Step, *Clash) {
	var first *Clash
	want := end - sear.Seconds
	for t := end; ; {
		pan, start, by, moved := latestOf(s.pans, sear.Pans, t, sear.Seconds)
		if moved && first == nil {
			first = &Clash{Pans, x.at(want, end), by, max(want, by.From)}
		}
		hand, free, by, moved := latestOf(s.hands, nil, start+sear.Seconds, sear.Seconds)
		if moved && first == nil {
			first = &Clash{Hands, x.at(want, end), by, max(want, by.From)}
		}
		if free == start {
			x.Pan, x.Hand, x.From, x.To = pan, hand, start, start+sear.Seconds
			s.note(x)
			return x, first
		}
		t = free + sear.Seconds
	}
}

// prep places the work before the bath, with a wait that is kept exactly. It
// always finds a place, perhaps before the kitchen opens.
func (s *state) prep(flight, job, index int, x Prep, end int) (from int) {
	base := Step{Flight: flight, Job: job, Index: index, Hand: -1, Pan: -1, Bath: -1}
	for {
		last := base
		last.Kind = Last
		unit, start, _, _ := latestOf(s.hands, nil, end, x.Last)
		if x.Last == 0 {
			unit, start = -1, end
		}
		last.Hand, last.From, last.To = unit, start, start+x.Last
		t := start - x.Wait
		if hand, by, ok := s.fits(t-x.First, t); ok {
			if x.First > 0 {
				first := base
				first.Kind, first.Hand, first.From, first.To = First, hand, t-x.First, t
				s.note(first)
			}
			if x.Wait > 0 {
				wait := base
				wait.Kind, wait.From, wait.To = Waiting, t, start
				s.note(wait)
			}
			s.note(last)
			return t - x.First
		} else {
			end -= max(1, t-by.From)
		}
	}
}
