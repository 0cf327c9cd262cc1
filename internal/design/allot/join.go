package allot

import "tamis/internal/design/search"

// Evenness does not see whether everything hangs together: four set points that meet
// four baths in two pairs of two are as even as four that meet them in a ring, but
// the two pairs can never be compared. What is searched here are swaps that join
// such parts, at the least cost.

// mostJoined bounds the layouts that are joined; larger ones hang together by their
// numbers.
const mostJoined = 160

// apart is how badly classes fall apart over groups, the first by far the worst.
func apart(classes [][]int, group []int) (sum int) {
	for i, c := range classes {
		weight := 1
		if i == 0 {
			weight = 1000
		}
		sum += weight * (search.Parts(c, group) - 1)
	}
	return sum
}

// joinSessions swaps the sessions of runs until the compared factors hang together
// over them, as far as single swaps get there. The counts of c are set up anew.
func (p *Runs) joinSessions(old *spread) {
	if len(old.at) > mostJoined {
		return
	}
	c := newSpread(p, old.at, p.Sessions)
	c.may, c.moved = old.may, old.moved
	compared := append([][]int{p.Arm}, p.Compared...)
	for have := apart(compared, c.at); have > 0; have = apart(compared, c.at) {
		best, least := [2]int{-1, -1}, 0.0
		for a := range c.at {
			for b := range a {
				if c.at[a] == c.at[b] || !c.may(a, b) {
					continue
				}
				c.last = [2]int{a, b}
				d := c.swap()
				if apart(compared, c.at) < have && (best[0] < 0 || d < least-1e-9) {
					best, least = c.last, d
				}
				c.swap()
			}
		}
		if best[0] < 0 {
			return
		}
		c.last = best
		c.swap()
	}
}

// weighApart is what a comparison that is lost to the baths costs among layouts that
// are chosen from.
const weighApart = 20

// joinBaths does the same with the baths of runs of one round, and with baths that a
// round leaves free, and returns what still falls apart at its cost.
func (p *Runs) joinBaths(c *spread, rounds [][]int) float64 {
	compared := append([][]int{p.Arm}, p.Compared...)
	have := apart(compared, c.at)
	for have > 0 && len(c.at) <= mostJoined {
		type move struct{ i, j, bath int } // j is -1 for a bath that is free
		best, least := move{-1, -1, 0}, 0.0
		for _, g := range rounds {
			used := make([]bool, p.Baths)
			for _, i := range g {
				used[c.at[i]] = true
			}
			for x, i := range g {
				if p.InBath[i] >= 0 {
					continue
				}
				from := c.at[i]
				try := func(m move) {
					d := c.move(i, m.bath)
					if m.j >= 0 {
						d += c.move(m.j, from)
					}
					if apart(compared, c.at) < have && (best.i < 0 || d < least-1e-9) {
						best, least = m, d
					}
					c.move(i, from)
					if m.j >= 0 {
						c.move(m.j, m.bath)
					}
				}
				for _, j := range g[x+1:] {
					if p.InBath[j] < 0 {
						try(move{i, j, c.at[j]})
					}
				}
				for b := range used {
					if !used[b] {
						try(move{i, -1, b})
					}
				}
			}
		}
		if best.i < 0 {
			break
		}
		from := c.at[best.i]
		c.move(best.i, best.bath)
		if best.j >= 0 {
			c.move(best.j, from)
		}
		have = apart(compared, c.at)
	}
	return weighApart * float64(min(have, 1000)+have/1000)
}

// join swaps pieces until the kinds hang together with the first groups that are
// weighed evenly, as far as single swaps get there.
func (d *deal) join(groups int) {
	if d.Places > mostJoined || d.Stock > 4*mostJoined {
		return
	}
	held := make([]int, d.Places)
	lost := func() (sum int) {
		weight := 1_000_000
		for g := range groups {
			for k := range d.Kinds {
				if d.Even[k][g] > 0 {
					for j, i := range d.holds {
						held[j] = d.Kinds[k][i]
					}
					sum += weight * (search.Parts(d.Groups[g], held) - 1)
				}
				weight = max(1, weight/100)
			}
		}
		return sum
	}
	for have := lost(); have > 0; have = lost() {
		best, least := [2]int{-1, -1}, 0.0
		for j := range d.holds {
			for i := range d.at {
				old, from := d.holds[j], d.at[i]
				if i == old || from > j || !d.May(i, j) || from < 0 && d.Must[old] || from >= 0 && !d.May(old, from) {
					continue
				}
				grows := d.swap(j, i)
				if lost() < have && (best[0] < 0 || grows < least-1e-9) {
					best, least = [2]int{j, i}, grows
				}
				d.swap(j, old)
			}
		}
		if best[0] < 0 {
			return
		}
		d.swap(best[0], best[1])
	}
}
