package allot

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"tamis/internal/design/search"
)

// Runs is what is to be laid out. Slices go by run.
type Runs struct {
	Arm   []int     // the compared set point, from 0
	Value []float64 // its value, for the order
	// Compared are the other factors that are compared over cooks, such as the time:
	// levels from 0, by factor and run. Classes are further things that sessions and
	// baths should meet evenly, such as the whole combination: labels from 0, by class
	// and run.
	Compared, Classes [][]int

	Sessions, Baths int
	Rounds          int   // how often each bath can be filled in a session
	InSession       []int // the session that a run is fixed to, or -1
	InBath          []int // the bath that a run is fixed to, or -1
}

// Layout says where and when each run takes place.
type Layout struct {
	Session, Bath []int // by run
	Round         []int // which filling of the bath, from 0
	Order         []int // place in the order of the session, from 1
	// Bound is the largest |r| and |ρ| of order and set point that was allowed,
	// the first of Bounds that could be met; R and Rho are what was drawn.
	Bound, R, Rho float64
}

// Bounds are tried one after the other. The last allows everything.
var Bounds = []float64{0.5, 0.6, 0.7, 0.8, 0.9, 1}

// How often an order is drawn before the next bound is tried, and how many that
// meet it are taken on, to choose the one in which baths, and early and late places,
// come out most even.
const (
	drawsPerBound = 400
	candidates    = 24
)

// Lay lays the runs out.
func Lay(p Runs, rng *rand.Rand) (Layout, error) {
	if err := p.check(rng); err != nil {
		return Layout{}, err
	}
	n := len(p.Arm)
	if n == 0 {
		return Layout{Session: []int{}, Bath: []int{}, Round: []int{}, Order: []int{}, Bound: Bounds[0]}, nil
	}
	session, err := p.sessions(rng)
	if err != nil {
		return Layout{}, err
	}
	for _, bound := range Bounds {
		var best Layout
		least, found := math.Inf(1), 0
		for draw := 0; draw < drawsPerBound && found < candidates; draw++ {
			l := Layout{Session: session, Bound: bound}
			p.draw(&l, rng)
			// One draw in three is left as it is: with few runs, taking turns can make
			// an order that follows the set point.
			turns := weighTurns*p.takeTurns(&l, draw%3 < 2, rng) + p.following(&l)
			l.R, l.Rho = Follows(l.Order, p.Value, l.Session)
			if bound < 1 && (math.Abs(l.R) > bound+1e-12 || math.Abs(l.Rho) > bound+1e-12 || sameEachTime(p.Arm, &l)) {
				continue
			}
			found++
			if c := turns + p.swapBaths(&l, rng); c < least {
				best, least = l, c
			}
		}
		if found > 0 {
			return best, nil
		}
	}
	return Layout{}, ErrNoRoom // the last bound allows every draw
}

func (p *Runs) check(rng *rand.Rand) error {
	n := len(p.Arm)
	if rng == nil || len(p.Value) != n || len(p.InSession) != n || len(p.InBath) != n || n > 10_000 {
		return fmt.Errorf("%w: lists of unequal length", ErrArgument)
	}
	if n > 0 && (p.Sessions < 1 || p.Baths < 1 || p.Rounds < 1) {
		return fmt.Errorf("%w: %d sessions, %d baths, %d rounds", ErrArgument, p.Sessions, p.Baths, p.Rounds)
	}
	for i := range n {
		if p.Arm[i] < 0 || p.Arm[i] >= n || math.IsNaN(p.Value[i]) || math.IsInf(p.Value[i], 0) ||
			p.InSession[i] < -1 || p.InSession[i] >= p.Sessions || p.InBath[i] < -1 || p.InBath[i] >= p.Baths {
			return fmt.Errorf("%w: run %d", ErrArgument, i)
		}
	}
	for _, c := range slices.Concat(p.Compared, p.Classes) {
		if len(c) != n {
			return fmt.Errorf("%w: a class of %d runs", ErrArgument, len(c))
		}
		for _, v := range c {
			if v < 0 || v > 10_000 {
				return fmt.Errorf("%w: class %d", ErrArgument, v)
			}
		}
	}
	return nil
}

// sessions spreads the runs over the sessions.
func (p *Runs) sessions(rng *rand.Rand) ([]int, error) {
	n := len(p.Arm)
	// A run takes a place in a session, and of a fixed bath one of its fillings.
	places := make([]int, p.Sessions)
	fills := make([][]int, p.Sessions)
	for s := range fills {
		fills[s] = make([]int, p.Baths)
	}
	out := make([]int, n)
	put := func(run, s int) bool {
		if places[s] >= p.Baths*p.Rounds || p.InBath[run] >= 0 && fills[s][p.InBath[run]] >= p.Rounds {
			return false
		}
		out[run] = s
		places[s]++
		if b := p.InBath[run]; b >= 0 {
			fills[s][b]++
		}
		return true
	}
	// Those that are fixed most come first; the free ones fill the emptiest
	// session, a set point at a time, from a session drawn by lot.
	var order []int
	for i := range n {
		order = append(order, i)
	}
	rank := func(i int) int {
		switch {
		case p.InSession[i] >= 0:
			return 0
		case p.InBath[i] >= 0:
			return 1
		}
		return 2
	}
	rng.Shuffle(n, func(i, j int) { order[i], order[j] = order[j], order[i] })
	slices.SortStableFunc(order, func(a, b int) int {
		if r := rank(a) - rank(b); r != 0 {
			return r
		}
		return p.Arm[a] - p.Arm[b]
	})
	tie := rng.Perm(p.Sessions)
	for _, run := range order {
		try := []int{p.InSession[run]}
		if try[0] < 0 {
			try = slices.Clone(tie)
			slices.SortStableFunc(try, func(a, b int) int { return places[a] - places[b] })
		}
		if !slices.ContainsFunc(try, func(s int) bool { return put(run, s) }) {
			if out = p.exactly(order); out == nil {
				return nil, ErrNoRoom
			}
			for s := range fills {
				clear(fills[s])
			}
			for i, s := range out {
				if b := p.InBath[i]; b >= 0 {
					fills[s][b]++
				}
			}
			break
		}
	}
	free := 0
	for i := range n {
		if p.InSession[i] < 0 {
			free++
		}
	}
	if p.Sessions > 1 && free > 1 {
		c := newSpread(p, out, p.Sessions)
		c.may = func(a, b int) bool {
			if p.InSession[a] >= 0 || p.InSession[b] >= 0 {
				return false
			}
			x, y := p.InBath[a], p.InBath[b]
			if x == y {
				return true
			}
			return (x < 0 || fills[out[b]][x] < p.Rounds) && (y < 0 || fills[out[a]][y] < p.Rounds)
		}
		c.moved = func(a, b int) { // after the swap: a is where b was
			for _, m := range [][2]int{{a, b}, {b, a}} {
				if x := p.InBath[m[0]]; x >= 0 {
					fills[out[m[0]]][x]++
					fills[out[m[1]]][x]--
				}
			}
		}
		search.Anneal(c, min(4_000+200*n, 60_000), 4, 0.05, rng)
		p.joinSessions(c)
	}
	return out, nil
}

// exactly finds sessions for runs that leave little choice, or nil where there
// are none: a matching of the runs, in the order given, to all fillings.
func (p *Runs) exactly(order []int) []int {
	rounds := min(p.Rounds, len(order))
	perSession := rounds * p.Baths
	if len(order) > perSession*p.Sessions {
		return nil
	}
	m := newMatching(len(order), perSession*p.Sessions, func(i, j int) bool {
		return (p.InSession[i] < 0 || p.InSession[i] == j/perSession) && (p.InBath[i] < 0 || p.InBath[i] == j%perSession%p.Baths)
	})
	out := make([]int, len(order))
	for _, i := range order {
		if !m.left(i) {
			return nil
		}
	}
	for i := range out {
		out[i] = m.of[i] / perSession
	}
	return out
}

// draw gives every run of every session a filling of a bath, and the order that
// follows from it, by lot among all that respect fixed baths.
func (p *Runs) draw(l *Layout, rng *rand.Rand) {
	n := len(p.Arm)
	l.Bath, l.Round, l.Order = make([]int, n), make([]int, n), make([]int, n)
	odd := rng.IntN(2) // counts the sessions with a round that is not full
	for s := range p.Sessions {
		var runs []int
		for i := range n {
			if l.Session[i] == s {
				runs = append(runs, i)
			}
		}
		// The fillings in use: all baths round by round, and in one round a lot of
		// them; more rounds where fixed runs need them. From session to session that
		// is the last round and the first in turn: who is late in one may then be
		// early in another, though what is cooked together is served together.
		rounds := (len(runs) + p.Baths - 1) / p.Baths
		want := make([]int, p.Baths)
		for _, i := range runs {
			if b := p.InBath[i]; b >= 0 {
				want[b]++
				rounds = max(rounds, want[b])
			}
		}
		holds := make([]int, rounds)
		for r := range holds {
			holds[r] = p.Baths
		}
		if over := rounds*p.Baths - len(runs); rounds > 1 && over > 0 && over < p.Baths {
			if odd%2 == 0 {
				holds[0] -= over
			}
			odd++
		}
		rng.Shuffle(len(runs), func(i, j int) { runs[i], runs[j] = runs[j], runs[i] })
		taken := make([][]bool, p.Baths)
		count := make([]int, rounds)
		for b := range taken {
			taken[b] = make([]bool, rounds)
		}
		take := func(i, b, r int) {
			taken[b][r], l.Bath[i], l.Round[i] = true, b, r
			count[r]++
		}
		for _, i := range runs {
			if b := p.InBath[i]; b >= 0 {
				for _, r := range rng.Perm(rounds) {
					if !taken[b][r] {
						take(i, b, r)
						break
					}
				}
			}
		}
		for _, i := range runs {
			if p.InBath[i] >= 0 {
				continue
			}
			// The free runs fill the earliest round with room; they come in an
			// order drawn by lot, so which of them that is is drawn too.
			for r := 0; ; r++ {
				if count[r] < holds[r] {
					b := rng.IntN(p.Baths)
					for taken[b][r] {
						b = (b + 1) % p.Baths
					}
					take(i, b, r)
					break
				}
			}
		}
		slices.SortStableFunc(runs, func(a, b int) int { return l.Round[a] - l.Round[b] }) // by lot within a round
		for k, i := range runs {
			l.Order[i] = k + 1
		}
	}
}

// sameEachTime reports whether the level of a factor tells the place in the order
// although levels were run more than once, as when every session has the same order.
func sameEachTime(class []int, l *Layout) bool {
	at := map[int]int{}
	repeated := false
	for i, a := range class {
		if o, ok := at[a]; !ok {
			at[a] = l.Order[i]
		} else if repeated = true; o != l.Order[i] {
			return false
		}
	}
	return repeated && len(at) > 1
}

// swapBaths exchanges the baths of runs of one round until set points and
// classes meet every bath as evenly as can be, and returns how uneven that is.
func (p *Runs) swapBaths(l *Layout, rng *rand.Rand) float64 {
	c := newSpread(p, l.Bath, p.Baths)
	if p.Baths == 1 {
		return c.total()
	}
	// A round that is not full has baths to spare: an empty filling can be
	// swapped in too.
	type slot struct{ session, round int }
	used := map[slot][]int{}
	for i := range l.Bath {
		k := slot{l.Session[i], l.Round[i]}
		used[k] = append(used[k], i)
	}
	var rounds [][]int // in a fixed order
	for i := range l.Bath {
		k := slot{l.Session[i], l.Round[i]}
		if g := used[k]; len(g) > 0 && g[0] == i {
			rounds = append(rounds, g)
		}
	}
	for better := true; better; {
		better = false
		for _, k := range rng.Perm(len(rounds)) {
			g := rounds[k]
			free := make([]bool, p.Baths)
			for b := range free {
				free[b] = true
			}
			for _, i := range g {
				free[l.Bath[i]] = false
			}
			for x, i := range g {
				if p.InBath[i] >= 0 {
					continue
				}
				for _, j := range g[x+1:] {
					if p.InBath[j] < 0 && c.tryBath(i, l.Bath[j], j, l.Bath[i]) {
						better = true
					}
				}
				for b := range free {
					if from := l.Bath[i]; free[b] && c.tryBath(i, b, -1, 0) {
						free[b], free[from], better = false, true, true
					}
				}
			}
		}
	}
	return c.total() + p.joinBaths(c, rounds)
}
