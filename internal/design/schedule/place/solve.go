package place

import (
	"math"
	"slices"
)

// budget is how many jobs are placed at the most in one search of a flight.
const budget = 600

// Solution is a day that was placed.
type Solution struct {
	Steps []Step // by time, then job and kind
	Serve []int  // when each flight is served
}

// Solve places everything, or says what clashes.
func Solve(p *Problem) (*Solution, *Clash, error) {
	if err := p.check(); err != nil {
		return nil, nil, err
	}
	out := &Solution{Serve: make([]int, len(p.Flights))}
	s := newState(p)
	for f := len(p.Flights) - 1; f >= 0; f-- {
		serve := p.Serve
		var n *state
		var c *Clash
		if f == len(p.Flights)-1 {
			n, _, c = p.flight(s, f, serve, budget)
		} else {
			n, serve, c = p.earlier(s, f, downTo(out.Serve[f+1]-p.Pause-p.Flights[f].Taste, p.Step))
		}
		if n == nil {
			return nil, c, nil
		}
		s, out.Serve[f] = n, serve
		s.note(Step{Kind: Taste, Flight: f, Job: -1, Index: -1, Hand: -1, Pan: -1, Bath: -1, From: serve, To: serve + p.Flights[f].Taste})
	}
	for x := s.steps; x != nil; x = x.before {
		out.Steps = append(out.Steps, x.Step)
	}
	slices.Reverse(out.Steps)
	slices.SortStableFunc(out.Steps, func(a, b Step) int {
		for _, d := range []int{a.From - b.From, a.To - b.To, int(a.Kind) - int(b.Kind), a.Job - b.Job, a.Index - b.Index} {
			if d != 0 {
				return d
			}
		}
		return 0
	})
	return out, nil, nil
}

// further is how many steps earlier than it could be served a flight is looked at,
// for one in which the waits are shorter.
const further = 4

// earlier serves a flight before the next one: at the latest, by whole steps, or a
// little before that where the waits are shorter.
func (p *Problem) earlier(s *state, f, serve int) (best *state, at int, c *Clash) {
	// A flight that does not fit into an empty kitchen fits nowhere.
	if _, _, c = p.flight(newState(p), f, serve, budget); c != nil {
		return nil, 0, c
	}
	least, more := math.Inf(1), 0
	for ; serve >= p.Opens && more <= further; serve -= p.Step {
		n, cost, d := p.flight(s, f, serve, budget/10)
		if best != nil {
			more++
		}
		switch {
		case n != nil && cost+25*float64(more) < least: // a step earlier is worth a wait of 5 min
			best, at, least = n, serve, cost+25*float64(more)
		case n == nil && (c == nil || d.Reason == Opens):
			c = d // the first says what was in the way; that the day is too short ends it
		}
		if n == nil && d.Reason == Opens {
			break
		}
	}
	if best != nil {
		c = nil
	}
	return best, at, c
}

// downTo rounds down to a multiple.
func downTo(x, step int) int {
	r := x % step
	if r < 0 {
		r += step
	}
	return x - r
}

// search is one branch and bound over the orders of a flight.
type search struct {
	p      *Problem
	serve  int
	jobs   []int // of the flight
	left   int   // of the budget
	best   *state
	cost   float64
	clash  *Clash
	deep   int   // how many were placed when the clash was met
	failed []int // how often each job did not fit: such are tried first
}

// flight finds the cheapest order of a flight, with its cost.
func (p *Problem) flight(s *state, f, serve, budget int) (*state, float64, *Clash) {
	b := &search{p: p, serve: serve, left: budget, cost: math.Inf(1), deep: -1, failed: make([]int, len(p.Jobs))}
	for i := range p.Jobs {
		if p.Jobs[i].Flight == f {
			b.jobs = append(b.jobs, i)
		}
	}
	if c := b.twice(); c != nil {
		return nil, 0, c
	}
	b.branch(s, make([]bool, len(p.Jobs)), 0, 0)
	if b.best == nil {
		return nil, 0, b.clash
	}
	return b.best, b.cost, nil
}

// twice finds a bath that two jobs of the flight need within a time in which it
// cannot be used twice, whatever the order of the list.
func (b *search) twice() *Clash {
	last := map[int]int{}
	for k := len(b.jobs) - 1; k >= 0; k-- {
		i := b.jobs[k]
		j := &b.p.Jobs[i]
		if j.Again != nil {
			continue
		}
		later, ok := last[j.Bath]
		last[j.Bath] = i
		if !ok {
			continue
		}
		// At the latest the later one leaves its bath as it is plated, and at the
		// earliest the other one is plated Within before and has waited as long as it may.
		x := &b.p.Jobs[later]
		need := x.Lead.Hands + x.Lead.Wait + x.Drop + x.Soak + x.Out + x.Plate + j.Out
		if need > b.p.Within+b.p.Wait+x.Plate {
			leaves := b.serve - x.Plate - x.Out
			in := Step{Kind: Soak, Flight: x.Flight, Job: later, Index: -1, Hand: -1, Pan: -1, Bath: x.Bath, From: leaves - x.Soak, To: leaves}
			has := Step{Kind: Soak, Flight: j.Flight, Job: i, Index: -1, Hand: -1, Pan: -1, Bath: j.Bath, To: b.serve - b.p.Within - b.p.Wait}
			has.From = has.To - j.Soak
			return &Clash{Baths, in, has, in.From}
		}
	}
	return nil
}

func (b *search) branch(s *state, done []bool, placed int, cost float64) {
	if placed == len(b.jobs) {
		n, c := b.before(s)
		if c != nil {
			b.blame(c, placed)
			return
		}
		if cost < b.cost {
			b.best, b.cost = n, cost
		}
		return
	}
	for _, i := range b.eligible(done) {
		if b.left <= 0 {
			return
		}
		b.left--
		n, more, c := s.place(b.p, i, b.serve)
		if c != nil {
			b.failed[i]++
			b.blame(c, placed)
			// Later in the list there is less room, not more: this branch has no end.
			return
		}
		if cost+more >= b.cost {
			continue
		}
		done[i] = true
		b.branch(n, done, placed+1, cost+more)
		done[i] = false
		if b.best != nil && len(b.jobs) > 8 {
			return // so many orders are not searched for a better one
		}
	}
}

func (b *search) blame(c *Clash, placed int) {
	if placed > b.deep {
		b.clash, b.deep = c, placed
	}
}

// eligible are the jobs that may come next: of each bath the last that is not
// placed. Those that did not fit before come first, then the last of the day.
func (b *search) eligible(done []bool) []int {
	var out []int
	taken := map[int]bool{}
	for k := len(b.jobs) - 1; k >= 0; k-- {
		i := b.jobs[k]
		bath := b.p.Jobs[i].Bath
		if done[i] || taken[bath] {
			continue
		}
		taken[bath] = true
		out = append(out, i)
	}
	slices.SortStableFunc(out, func(x, y int) int { return b.failed[y] - b.failed[x] })
	return out
}

// before places what comes before warming up: the bath that does it, and the
// jobs in their own baths, which wait in the cold.
func (b *search) before(s *state) (*state, *Clash) {
	n := s.clone()
	from, to := math.MaxInt, math.MinInt
	enters := map[int]int{}
	for y := n.steps; y != nil; y = y.before {
		x := y.Step
		if x.Kind == Warming && b.p.Jobs[x.Job].Flight == b.p.Jobs[b.jobs[0]].Flight {
			a := b.p.Jobs[x.Job].Again
			from, to = min(from, x.From-a.In), max(to, x.To+a.Out)
			enters[x.Job] = x.From - a.In
		}
	}
	if len(enters) == 0 {
		return n, nil
	}
	f := b.p.Jobs[b.jobs[0]].Flight
	fl := b.p.Flights[f]
	begins := n.lead(Rewater, Reheating, f, -1, fl.WarmBath, fl.Warm, from)
	n.baths[fl.WarmBath] = n.baths[fl.WarmBath].with(Step{Kind: Warming, Flight: f, Job: -1, Index: -1, Hand: -1, Pan: -1, Bath: fl.WarmBath, From: begins, To: to})
	for k := len(b.jobs) - 1; k >= 0; k-- {
		i := b.jobs[k]
		at, ok := enters[i]
		if !ok {
			continue
		}
		j := &b.p.Jobs[i]
		if j.Chilled > 0 && b.serve+j.Bites-at > j.Chilled {
			bite := Step{Kind: Taste, Flight: f, Job: i, Index: -1, Hand: -1, Pan: -1, Bath: -1, From: b.serve, To: b.serve + j.Bites}
			return nil, &Clash{Clock, bite, Step{Kind: Warming, Flight: f, Job: i, Index: -1, Hand: -1, Pan: -1, Bath: fl.WarmBath, From: at, To: at + j.Again.Second}, at + j.Chilled}
		}
		leaves := at - j.Again.Ice - j.Out
		for turn := 0; ; turn++ {
			try := n.clone()
			base := Step{Kind: Out, Flight: f, Job: i, Index: -1, Hand: -1, Pan: -1, Bath: -1}
			out, _ := try.work(base, leaves+j.Out, j.Out)
			back, c := try.soak(b.p, i, out.From, b.serve)
			if c == nil {
				ice := base
				ice.Kind, ice.From, ice.To = Ice, out.To, out.To+j.Again.Ice
				try.note(ice)
				n = try
				break
			}
			if back <= 0 || turn > 2000 {
				return nil, c
			}
			leaves = out.From - back
		}
	}
	return n, nil
}
