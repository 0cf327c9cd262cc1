package design

import (
	"math"
	"slices"

	"tamis/internal/design/allot"
	"tamis/internal/quantity"
)

// Balanced is the largest standardised difference that passes for balanced: a
// house rule, the same as that of the check of sizes.
const Balanced = 0.25

// The sizes that are places: a share of their mean says nothing.
const (
	alongSource = "place along the source"
	inOrder     = "place in the run order"
)

// Balance is how alike the levels of a factor are in one size: of their pieces, or
// the place of their cooks in the run order.
type Balance struct {
	Size   string          // mass, thickness, place along the source or place in the run order
	Factor string          // set_point, or what varies within a cook
	D      quantity.Number // largest difference of means, in standard deviations within levels
	Share  quantity.Number // and as a share of the mean
}

// Meeting is how evenly the set points meet something else.
type Meeting struct {
	What      string // session, bath, source, part, brine, finish
	Levels    int
	Low, High int // cooks, or pieces, of one set point at one level
	// Lost is how many differences between set points cannot be told from it; all
	// of them where it is one less than there are set points.
	Lost int
	V    float64 // Cramér's V with the bias removed (Bergsma 2013, from memory)
}

// meeting crosses set points with a label.
func meeting(what string, arm, label []int, arms int) Meeting {
	levels := 0
	for _, x := range label {
		levels = max(levels, x+1)
	}
	n := make([][]int, arms)
	for a := range n {
		n[a] = make([]int, levels)
	}
	for i := range arm {
		n[arm[i]][label[i]]++
	}
	m := Meeting{What: what, Levels: levels, Low: math.MaxInt}
	for _, row := range n {
		m.Low, m.High = min(m.Low, slices.Min(row)), max(m.High, slices.Max(row))
	}
	// Set points and levels that share a cell hang together; each further group
	// of them costs one difference, which is what the rank of the two sets of
	// indicators says for a two-way table.
	group := make([]int, arms+levels)
	for i := range group {
		group[i] = i
	}
	var root func(i int) int
	root = func(i int) int {
		if group[i] != i {
			group[i] = root(group[i])
		}
		return group[i]
	}
	for a, row := range n {
		for b, v := range row {
			if v > 0 {
				group[root(a)] = root(arms + b)
			}
		}
	}
	groups := map[int]bool{}
	for a := range arms {
		groups[root(a)] = true
	}
	if levels > 1 {
		m.Lost = len(groups) - 1
	}
	m.V = cramer(n)
	return m
}

// cramer is Cramér's V of a table, corrected for its bias; 0 where it has one
// row or column that is not empty.
func cramer(n [][]int) float64 {
	var total float64
	row, column := make([]float64, len(n)), make([]float64, len(n[0]))
	for a := range n {
		for b, v := range n[a] {
			row[a] += float64(v)
			column[b] += float64(v)
			total += float64(v)
		}
	}
	var r, c, chi float64
	for _, v := range row {
		if v > 0 {
			r++
		}
	}
	for _, v := range column {
		if v > 0 {
			c++
		}
	}
	if r < 2 || c < 2 || total < 2 {
		return 0
	}
	for a := range n {
		for b, v := range n[a] {
			if e := row[a] * column[b] / total; e > 0 {
				chi += (float64(v) - e) * (float64(v) - e) / e
			}
		}
	}
	phi := math.Max(0, chi/total-(r-1)*(c-1)/(total-1))
	least := math.Min(r-(r-1)*(r-1)/(total-1), c-(c-1)*(c-1)/(total-1)) - 1
	if least <= 0 {
		return 0
	}
	return math.Sqrt(phi / least)
}

// Place reports whether the size is a place, so that it has no share.
func (b Balance) Place() bool { return b.Size == alongSource || b.Size == inOrder }

// orderBalance is how alike early and late the set points are run, by places less
// the mean of their session; none where everything is run once or one at a time.
func (l *layout) orderBalance() []Balance {
	if len(l.s.points) < 2 || l.s.each < 2 {
		return nil
	}
	n := map[int]float64{}
	for _, s := range l.when.Session {
		n[s]++
	}
	var place []float64
	var arm []int
	for i, r := range l.runs {
		place, arm = append(place, float64(l.when.Order[i])-(n[l.when.Session[i]]+1)/2), append(arm, l.s.combinations[r.combo].arm)
	}
	d, _ := allot.Difference(place, arm)
	if math.IsNaN(d) {
		return nil
	}
	return []Balance{{Size: inOrder, Factor: "set_point", D: quantity.Num(d), Share: quantity.Absent("it is a place")}}
}

// balances describes the order of the runs and the deal of the pieces.
func (l *layout) balances() []Balance {
	out := l.orderBalance()
	if len(l.holds) == 0 {
		return out
	}
	order := l.partOrder()
	var mass, thickness, place []float64
	var arm, within []int
	for j, i := range l.holds {
		x := l.s.stock[i]
		m, k, p := math.NaN(), math.NaN(), math.NaN()
		if x.before.Known {
			m = x.before.V.Grams()
		}
		if x.thickness.Known {
			k = x.thickness.V.Millimetres()
		}
		if at := slices.Index(order, x.part); at >= 0 {
			p = float64(at + 1)
		}
		mass, thickness, place = append(mass, m), append(thickness, k), append(place, p)
		arm = append(arm, l.s.combinations[l.runs[l.slots[j].run].combo].arm)
		within = append(within, l.slots[j].within)
	}
	add := func(size string, values []float64) {
		for _, f := range []struct {
			name   string
			group  []int
			levels int
		}{{"set_point", arm, len(l.s.points)}, {"within", within, len(l.s.within)}} {
			if f.levels < 2 {
				continue
			}
			d, share := allot.Difference(values, f.group)
			b := Balance{Size: size, Factor: f.name, D: quantity.Absent("it is not known, or the same for all"), Share: quantity.Absent("it is not known")}
			if !math.IsNaN(d) {
				b.D = quantity.Num(d)
			}
			if b.Place() {
				b.Share = quantity.Absent("it is a place")
			} else if !math.IsNaN(share) {
				b.Share = quantity.Num(share)
			}
			out = append(out, b)
		}
	}
	add("mass", mass)
	add("thickness", thickness)
	if len(order) > 1 {
		add(alongSource, place)
	}
	return out
}

// meetings crosses the set points with everything that could move along.
func (l *layout) meetings() []Meeting {
	arms := len(l.s.points)
	if arms < 2 {
		return nil
	}
	var out []Meeting
	var arm []int
	for _, r := range l.runs {
		arm = append(arm, l.s.combinations[r.combo].arm)
	}
	out = append(out, meeting("session", arm, l.when.Session, arms), meeting("bath", arm, l.when.Bath, arms))
	var armOf, within, source, part []int
	var sources, parts []string
	for j, s := range l.slots {
		armOf = append(armOf, arm[s.run])
		within = append(within, s.within)
		if len(l.holds) > 0 {
			x := l.s.stock[l.holds[j]]
			source, part = append(source, label(&sources, x.source)), append(part, label(&parts, x.part))
		}
	}
	if len(source) > 0 {
		out = append(out, meeting("source", armOf, source, arms))
		if len(parts) > 1 {
			out = append(out, meeting("part", armOf, part, arms))
		}
	}
	if len(l.s.within) > 1 {
		name := "brine"
		switch {
		case len(l.s.d.Brine) > 1 && len(l.s.d.Finish) > 1:
			name = "brine and finish"
		case len(l.s.d.Finish) > 1:
			name = "finish"
		}
		out = append(out, meeting(name, armOf, within, arms))
	}
	return out
}
