package fairness

import "slices"

// sitting is what one assessor tasted in one session, in the order of serving.
type sitting struct {
	assessor, session, repeat string
	rows                      []scoreRow
}

// sittings sorts the score sheet by assessor, session and repeat, each in the
// order of its places. Rows without a place are passed over; lacks lists the
// assessors who have any.
func (c *Case) sittings() (out []sitting, lacks []string) {
	f := &c.facts.lazy
	if !f.sat {
		f.sittings, f.unplaced = c.facts.sit()
		f.sat = true
	}
	return f.sittings, f.unplaced
}

func (f *facts) sit() (out []sitting, lacks []string) {
	type key struct{ assessor, session, repeat string }
	index := map[key]int{}
	at := make([]int, len(f.scores)) // the sitting of each row, -1 without a place
	var n []int                      // rows of each sitting
	for i, r := range f.scores {
		at[i] = -1
		if !r.S.Position.Known {
			if !slices.Contains(lacks, r.S.Assessor) {
				lacks = append(lacks, r.S.Assessor)
			}
			continue
		}
		k := key{r.S.Assessor, r.S.Session.V, r.S.Repeat.V}
		if i > 0 && at[i-1] >= 0 { // most rows are of the sitting of the row before
			if s := &out[at[i-1]]; s.assessor == k.assessor && s.session == k.session && s.repeat == k.repeat {
				at[i] = at[i-1]
				n[at[i]]++
				continue
			}
		}
		sat, ok := index[k]
		if !ok {
			sat = len(out)
			index[k] = sat
			out, n = append(out, sitting{k.assessor, k.session, k.repeat, nil}), append(n, 0)
		}
		at[i] = sat
		n[sat]++
	}
	room := make([]scoreRow, len(f.scores))
	for i, k := range n {
		out[i].rows, room = room[:0:k], room[k:]
	}
	for i, r := range f.scores {
		if at[i] >= 0 {
			out[at[i]].rows = append(out[at[i]].rows, r)
		}
	}
	for i := range out {
		slices.SortStableFunc(out[i].rows, func(a, b scoreRow) int { return a.S.Position.V - b.S.Position.V })
		out[i].rows = oneEach(out[i].rows)
	}
	return out, lacks
}

// oneEach drops a second row for the same place, as where each measure has a row
// of its own.
func oneEach(rows []scoreRow) []scoreRow {
	return slices.CompactFunc(rows, func(a, b scoreRow) bool {
		return a.S.Position.V == b.S.Position.V && a.Cook == b.Cook && a.Piece == b.Piece
	})
}

// largestSitting is the number of samples in the longest sitting.
func largestSitting(all []sitting) int {
	n := 0
	for _, s := range all {
		n = max(n, len(s.rows))
	}
	return n
}

// places is the compared factor against the place in the serving order, with
// what an even order of the same sittings would give.
type places struct {
	level, place, block []int // of each row: level, place as an index, sitting
	label               []int // the place behind each index
	count               [][]int
	even                [][]float64 // expected count when samples are shuffled within sittings
	even2               float64     // expected χ² under that shuffling
}

// placesOf lays out level against place over all sittings.
func (c *Case) placesOf(all []sitting) places {
	var p places
	for _, s := range all {
		for _, r := range s.rows {
			if c.level(r.Cook, r.Piece) >= 0 && !slices.Contains(p.label, r.S.Position.V) {
				p.label = append(p.label, r.S.Position.V)
			}
		}
	}
	slices.Sort(p.label)
	p.count, p.even = make([][]int, c.Levels()), make([][]float64, c.Levels())
	variance := make([][]float64, c.Levels())
	for l := range p.count {
		p.count[l], p.even[l], variance[l] = make([]int, len(p.label)), make([]float64, len(p.label)), make([]float64, len(p.label))
	}
	for si, s := range all {
		have := make([]int, c.Levels())
		n := 0
		from := len(p.level)
		for _, r := range s.rows {
			l := c.level(r.Cook, r.Piece)
			if l < 0 {
				continue
			}
			at, _ := slices.BinarySearch(p.label, r.S.Position.V)
			p.level, p.place, p.block = append(p.level, l), append(p.place, at), append(p.block, si)
			p.count[l][at]++
			have[l]++
			n++
		}
		for _, at := range p.place[from:] {
			for l, k := range have {
				share := float64(k) / float64(n)
				p.even[l][at] += share
				variance[l][at] += share * (1 - share)
			}
		}
	}
	for l := range p.even {
		for at, e := range p.even[l] {
			if e > 0 {
				p.even2 += variance[l][at] / e
			}
		}
	}
	return p
}

// chiSquare gives what computes Σ (count − even)²/even of an arrangement of the
// levels, over the cells of which anything is expected: Σ count²/even less the rows,
// for both counts sum to these. One at a time may use it.
func (p places) chiSquare() func(level []int) float64 {
	width := len(p.label)
	count, inverse := make([]float64, len(p.count)*width), make([]float64, len(p.count)*width)
	for l := range p.even {
		for at, e := range p.even[l] {
			if e > 0 {
				inverse[l*width+at] = 1 / e
			}
		}
	}
	return func(level []int) float64 {
		for i := range count {
			count[i] = 0
		}
		x := -float64(len(level))
		for i, l := range level {
			// (n+1)² − n² = 2n + 1
			cell := l*width + p.place[i]
			x += (2*count[cell] + 1) * inverse[cell]
			count[cell]++
		}
		return x
	}
}

// spread is the largest range, over the levels, of what a place has more than an
// even order would give it; with the cell that has most too many.
func (p places) spread() (size float64, level, place int) {
	excess := -1.0
	for at := range p.label {
		low, high := 0.0, 0.0
		for l := range p.count {
			d := float64(p.count[l][at]) - p.even[l][at]
			low, high = min(low, d), max(high, d)
			if d > excess {
				excess, level, place = d, l, at
			}
		}
		size = max(size, high-low)
	}
	return size, level, place
}
