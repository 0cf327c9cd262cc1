package allot

import (
	"math"
	"math/rand/v2"
	"slices"
)

// weighTurns is what a place counts against a bath: a set point that is always late
// is a worse fault than one that is always in the same bath by one more.
const weighTurns = 4

// kicks is how often takeTurns starts again from a neighbour of the best it has, of
// layouts up to so many runs; larger ones come out even without.
const (
	kicks      = 6
	kickedRuns = 60
)

// turns is how early and how late runs are, over all sessions.
type turns struct {
	*Runs
	l      *Layout
	mates  [][]int // the runs of each session
	levels []turn
	fills  [][]float64 // how often a set point is in each filling of the baths
}

// weighFills is what an uneven filling counts against an uneven mean: among orders
// that are early and late alike, one in which a set point is now first, now second
// and now last is better than one in which it is always in the middle.
const weighFills = 0.25

// turn is one class of runs with the sums of their places, each as a share of its
// session from -1 to 1.
type turn struct {
	weight float64
	class  []int
	sum    []float64
}

// takeTurns makes runs of a session change places until every set point is as often
// early as it is late, and every class of runs too as far as that leaves a choice.
// It returns how uneven that is in the end; without change it only says so. Where
// each set point is run once there is nothing to choose.
func (p *Runs) takeTurns(l *Layout, change bool, rng *rand.Rand) float64 {
	t := &turns{Runs: p, l: l, mates: make([][]int, p.Sessions)}
	for i, s := range l.Session {
		t.mates[s] = append(t.mates[s], i)
	}
	classes, weights := p.weighed()
	for k, class := range classes {
		v := turn{weight: weights[k], class: class, sum: make([]float64, top(class))}
		for i, c := range class {
			v.sum[c] += t.at(i)
		}
		t.levels = append(t.levels, v)
	}
	t.fill()
	if !change {
		return t.cost()
	}
	t.descend(rng)
	best := t.cost()
	if len(p.Arm) > kickedRuns {
		return best
	}
	for range kicks {
		was := [3][]int{slices.Clone(l.Bath), slices.Clone(l.Round), slices.Clone(l.Order)}
		sums := make([][]float64, len(t.levels))
		for k := range t.levels {
			sums[k] = slices.Clone(t.levels[k].sum)
		}
		for range 2 {
			i := rng.IntN(len(p.Arm))
			with := t.mates[l.Session[i]]
			if j := with[rng.IntN(len(with))]; t.may(i, j) {
				t.swap(i, j)
			}
		}
		t.descend(rng)
		if c := t.cost(); c < best-1e-9 {
			best = c
			continue
		}
		l.Bath, l.Round, l.Order = was[0], was[1], was[2]
		for k := range t.levels {
			t.levels[k].sum = sums[k]
		}
		t.fill()
	}
	return best
}

// fill counts the fillings anew.
func (t *turns) fill() {
	t.fills = make([][]float64, top(t.Arm))
	rounds := top(t.l.Round)
	for a := range t.fills {
		t.fills[a] = make([]float64, rounds)
	}
	for i, a := range t.Arm {
		t.fills[a][t.l.Round[i]]++
	}
}

// at is the place of a run in its session, from -1 to 1.
func (t *turns) at(i int) float64 {
	m := float64(len(t.mates[t.l.Session[i]]))
	return (2*float64(t.l.Order[i]) - m - 1) / m
}

// may reports whether two runs of a session may change places: a run that is fixed
// to a bath stays in it.
func (t *turns) may(i, j int) bool {
	fits := func(i, b int) bool { return t.InBath[i] < 0 || t.InBath[i] == b }
	return i != j && fits(i, t.l.Bath[j]) && fits(j, t.l.Bath[i])
}

// grows is by how much the cost would grow if two runs changed places.
func (t *turns) grows(i, j int) (d float64) {
	step := t.at(j) - t.at(i)
	for k := range t.levels {
		v := &t.levels[k]
		if a, b := v.class[i], v.class[j]; a != b { // (x+s)² - x² and (y-s)² - y²
			d += v.weight * 2 * step * (v.sum[a] - v.sum[b] + step)
		}
	}
	if a, b, x, y := t.Arm[i], t.Arm[j], t.l.Round[i], t.l.Round[j]; a != b && x != y {
		// Each count that grows adds 2n+1 to the sum of squares, each other takes 2n-1.
		d += weighFills * 2 * (t.fills[a][y] - t.fills[a][x] + t.fills[b][x] - t.fills[b][y] + 2)
	}
	return d
}

func (t *turns) swap(i, j int) {
	step := t.at(j) - t.at(i)
	for k := range t.levels {
		v := &t.levels[k]
		v.sum[v.class[i]] += step
		v.sum[v.class[j]] -= step
	}
	a, b, x, y := t.Arm[i], t.Arm[j], t.l.Round[i], t.l.Round[j]
	t.fills[a][x]--
	t.fills[a][y]++
	t.fills[b][y]--
	t.fills[b][x]++
	for _, x := range [][]int{t.l.Bath, t.l.Round, t.l.Order} {
		x[i], x[j] = x[j], x[i]
	}
}

// descend swaps as long as that helps.
func (t *turns) descend(rng *rand.Rand) {
	for better := true; better; {
		better = false
		for _, i := range rng.Perm(len(t.Arm)) {
			with := t.mates[t.l.Session[i]]
			from := rng.IntN(len(with))
			for k := range with {
				if j := with[(from+k)%len(with)]; t.may(i, j) && t.grows(i, j) < -1e-9 {
					t.swap(i, j)
					better = true
				}
			}
		}
	}
}

func (t *turns) cost() (c float64) {
	for _, v := range t.levels {
		for _, x := range v.sum {
			c += v.weight * x * x
		}
	}
	for _, of := range t.fills {
		for _, x := range of {
			c += weighFills * x * x
		}
	}
	return c
}

// tooClose is how closely the order may follow a compared factor other than the set
// point before the layout counts as a bad one: the limit of the check of run orders.
const (
	tooClose    = 0.7
	weighFollow = 50
)

// following is what a layout costs in which the order follows another factor.
func (p *Runs) following(l *Layout) (cost float64) {
	for _, c := range p.Compared {
		level := make([]float64, len(c))
		for i, v := range c {
			level[i] = float64(v)
		}
		if r, rho := Follows(l.Order, level, l.Session); math.Max(math.Abs(r), math.Abs(rho)) > tooClose || sameEachTime(c, l) {
			cost += weighFollow
		}
	}
	return cost
}
