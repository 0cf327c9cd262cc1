package cli

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"tamis/internal/trial"
)

// armOf is which set point of the design a cook has.
func (d *drawnDesign) armOf(c *trial.Cook) int {
	return slices.IndexFunc(d.points, func(v float64) bool { return math.Abs(v-c.SetPoint.V.Celsius()) < 0.06 })
}

// holds counts everything that a plan has to keep.
func (d *drawnDesign) holds(t *testing.T, tr *trial.Trial) {
	t.Helper()
	if d.doNotEat && (d.people > 0 || d.tasted) {
		t.Error("what must not be eaten is laid out to be tasted")
	}
	left := map[[2]string]int{}
	for _, p := range d.stock {
		left[[2]string{p.source, p.part}]++
	}
	fills, each, places := map[[2]string]int{}, map[string]int{}, map[string][]int{}
	perArm := map[string][]int{} // pieces of a source, by set point
	byBrine := make([]map[string]int, len(d.points))
	for i := range tr.Cooks {
		c := &tr.Cooks[i]
		a := d.armOf(c)
		if a < 0 {
			t.Fatalf("%s has a set point of its own, %v", c.ID, c.SetPoint.V)
		}
		fills[[2]string{c.Session.V, c.Bath.V}]++
		places[c.Session.V] = append(places[c.Session.V], c.Order.V)
		what := fmt.Sprint(a, c.Time.V)
		for _, l := range c.With {
			what += l.Factor + l.Level
		}
		each[what]++
		if d.perCook > 0 && len(c.Pieces) != d.perCook {
			t.Errorf("%s has %d pieces and should have %d", c.ID, len(c.Pieces), d.perCook)
		}
		for j := range c.Pieces {
			p := &c.Pieces[j]
			if left[[2]string{p.Source.V, p.Part.V}]--; left[[2]string{p.Source.V, p.Part.V}] < 0 {
				t.Errorf("%s of %s is used more often than there is of it", p.Part.V, p.Source.V)
			}
			if perArm[p.Source.V] == nil {
				perArm[p.Source.V] = make([]int, len(d.points))
			}
			perArm[p.Source.V][a]++
			if b := c.BrineOf(j); b.Known && d.brines > 1 {
				if byBrine[a] == nil {
					byBrine[a] = map[string]int{}
				}
				byBrine[a][b.V.Label()]++
			}
		}
	}
	rounds := max(1, int(720/float64(d.longest()+20)))
	for k, n := range fills {
		if n > rounds {
			t.Errorf("bath %s is filled %d times in %s; 12 hours hold %d", k[1], n, k[0], rounds)
		}
	}
	for s, list := range places {
		slices.Sort(list)
		for i, v := range list {
			if v != i+1 {
				t.Errorf("%s has the places %v", s, list)
				break
			}
		}
	}
	low, high := math.MaxInt, 0
	for _, n := range each {
		low, high = min(low, n), max(high, n)
	}
	if combos := len(d.points) * d.times * max(1, d.recipes); len(each) != combos || low != high || d.each > 0 && low != d.each {
		t.Errorf("%d combinations of %d, cooked %d to %d times for %d", len(each), combos, low, high, d.each)
	}
	for a, brines := range byBrine {
		total, low, high := 0, math.MaxInt, 0
		for _, n := range brines {
			total, low, high = total+n, min(low, n), max(high, n)
		}
		if len(brines) < min(total, d.brines) || high-low > 1 {
			t.Errorf("set point %d has the brines %v", a, brines)
		}
	}
	d.spreadsSources(t, perArm)
	d.keepsFixed(t, tr)
	d.blind(t, tr)
	d.triangular(t, tr)
}

// triangular holds that everybody has the triangles that were asked for: three
// portions of three codes from one session, two of one set point and one of the
// other, each of the six orders as often as another, give or take one.
func (d *drawnDesign) triangular(t *testing.T, tr *trial.Trial) {
	t.Helper()
	if d.triangles == 0 {
		return
	}
	from := map[string]string{}
	for _, k := range tr.Panel.V.Key {
		from[k.Code] = k.Piece
	}
	arm, session, method := map[string]int{}, map[string]string{}, map[string]string{}
	for i := range tr.Cooks {
		c := &tr.Cooks[i]
		for j := range c.Pieces {
			id := c.Pieces[j].ID
			arm[id], session[id] = d.armOf(c), c.Session.V
			method[id] = fmt.Sprint(d.armOf(c), c.BrineOf(j).V.Label())
		}
	}
	orders, sets, first := map[string]int{}, map[string]int{}, ""
	for _, x := range tr.Panel.V.Triangles {
		sets[x.Assessor]++
		order := ""
		for i, code := range x.Codes {
			p := from[code]
			if p == "" || i > 0 && code == x.Codes[i-1] || session[p] != x.Session.V {
				t.Errorf("%s, set %d: the code %q stands for %q of %s", x.Assessor, x.Set, code, p, session[p])
			}
			if first == "" {
				first = method[p]
			}
			order += map[bool]string{true: "A", false: "B"}[method[p] == first]
		}
		if n := strings.Count(order, "A"); n != 1 && n != 2 {
			t.Errorf("%s, set %d is %s", x.Assessor, x.Set, order)
		}
		orders[order]++
	}
	low, high := math.MaxInt, 0
	for _, o := range []string{"AAB", "ABA", "BAA", "BBA", "BAB", "ABB"} {
		low, high = min(low, orders[o]), max(high, orders[o])
	}
	if len(sets) != d.people || high-low > 1 {
		t.Errorf("%d of %d tasters have triangles, in the orders %v", len(sets), d.people, orders)
	}
	for who, n := range sets {
		if n != d.triangles {
			t.Errorf("%s has %d triangles, and should have %d", who, n, d.triangles)
		}
	}
}

// spreadsSources holds that a source goes to the set points alike, give or take a
// piece more than it takes to come out even.
func (d *drawnDesign) spreadsSources(t *testing.T, perArm map[string][]int) {
	t.Helper()
	if len(d.fixed) > 0 {
		return
	}
	for s, n := range perArm {
		total := 0
		for _, v := range n {
			total += v
		}
		if most := (total + len(n) - 1) / len(n); slices.Max(n) > most+1 {
			t.Errorf("%d pieces of %s go to the set points as %v", total, s, n)
		}
	}
}

// keepsFixed holds every entry of fixed against the plan.
func (d *drawnDesign) keepsFixed(t *testing.T, tr *trial.Trial) {
	t.Helper()
	for _, f := range d.fixed {
		for i := range tr.Cooks {
			c := &tr.Cooks[i]
			there := (f.point < 0 || d.armOf(c) == f.point) && (f.session == "" || f.session == c.Session.V) && (f.bath == "" || f.bath == c.Bath.V)
			switch {
			case f.source != "":
				for j := range c.Pieces {
					if p := &c.Pieces[j]; p.Source.V == f.source && (f.part == "" || p.Part.V == f.part) && !there {
						t.Errorf("%s breaks %+v", p.ID, f)
					}
				}
			case f.point >= 0 && d.armOf(c) == f.point && !there:
				t.Errorf("cook %s breaks %+v", c.ID, f)
			}
		}
	}
}

// blind holds that codes are three digits, each for one thing, that say nothing: no
// set point of either scale, no 0 in front, no digits in a row.
func (d *drawnDesign) blind(t *testing.T, tr *trial.Trial) {
	t.Helper()
	pieces, codes := map[string]bool{}, map[string]string{}
	n := 0
	for i := range tr.Cooks {
		for j := range tr.Cooks[i].Pieces {
			pieces[tr.Cooks[i].Pieces[j].ID] = true
			n++
		}
	}
	if len(pieces) != n {
		t.Errorf("%d pieces have %d names", n, len(pieces))
	}
	portions := 0
	for _, k := range tr.Panel.V.Key {
		c := k.Code
		if len(c) != 3 || strings.Trim(c, "0123456789") != "" || c[0] == '0' || c[0] == c[1] && c[1] == c[2] || c[0]+1 == c[1] && c[1]+1 == c[2] || c[0] == c[1]+1 && c[1] == c[2]+1 {
			t.Errorf("the code %q tells", c)
		}
		if n+3*d.people*d.triangles < 300 {
			for i, v := range d.points {
				for _, x := range []float64{v, 1.8*v + 32} {
					if strings.Contains(c, fmt.Sprint(int(math.Round(x)))) {
						t.Errorf("the code %q holds the set point %s", c, d.degrees(i))
					}
				}
			}
		}
		if codes[c] != "" || !pieces[k.Piece] {
			t.Errorf("the code %q stands for %s and for %s", c, codes[c], k.Piece)
		}
		codes[c] = k.Piece
		portions++
	}
	if d.people > 0 && portions == 0 {
		t.Error("somebody tastes and nothing has a code")
	}
	for i := range tr.Panel.V.Scores {
		s := &tr.Panel.V.Scores[i]
		if codes[s.Code.V] == "" || s.Piece.Known && codes[s.Code.V] != s.Piece.V {
			t.Errorf("%s tastes %q at place %d, which is %s", s.Assessor, s.Code.V, s.Position.V, s.Piece.V)
		}
	}
}

// even holds that what every set point has on average lies within a quarter of a
// standard deviation of what all have, where the numbers allow it: its places in the
// run order, and the thickness and mass of its pieces.
func (d *drawnDesign) even(t *testing.T, tr *trial.Trial, counts map[string]int) {
	t.Helper()
	size := map[string]float64{}
	for i := range tr.Cooks {
		size[tr.Cooks[i].Session.V]++
	}
	var place, mm, grams []float64
	var cookArm, pieceArm []int
	for i := range tr.Cooks {
		c := &tr.Cooks[i]
		place, cookArm = append(place, float64(c.Order.V)-(size[c.Session.V]+1)/2), append(cookArm, d.armOf(c))
		for j := range c.Pieces {
			p := &c.Pieces[j]
			mm, grams, pieceArm = append(mm, p.Thickness.V.Millimetres()), append(grams, p.Before.V.Grams()), append(pieceArm, d.armOf(c))
		}
	}
	r := resourcesOf(d, tr)
	for _, x := range []struct {
		what   string
		values []float64
		arm    []int
		spared string
	}{
		{"place in the run order", place, cookArm, r.orderSpared(size)},
		{"thickness", mm, pieceArm, d.sizesSpared(r)},
		{"mass", grams, pieceArm, d.sizesSpared(r)},
	} {
		off := furthest(x.values, x.arm)
		switch {
		case off <= 0.25:
			counts["even: "+x.what]++
		case x.spared != "":
			counts["uneven "+x.what+", spared: "+x.spared]++
		default:
			counts["uneven "+x.what]++
			t.Errorf("the mean %s of a set point lies %.2f SD from that of all: %v %v", x.what, off, x.values, x.arm)
		}
	}
}

// orderSpared says why places cannot be even.
func (r resources) orderSpared(size map[string]float64) string {
	switch {
	case r.fixed:
		return "something is fixed"
	case r.runs < 2:
		return "run once"
	case r.runs < 4 || r.runs%2 == 1:
		return "few runs, or an odd number"
	}
	return ""
}

// sizesSpared says why sizes cannot be even.
func (d *drawnDesign) sizesSpared(r resources) string {
	switch {
	case !d.sized:
		return "not known"
	case r.fixed:
		return "something is fixed"
	case r.pieces < 4 || r.pieces == 4 && r.factors > 1:
		return "few pieces"
	}
	return ""
}

// furthest is how far the mean of a group lies from that of all at the most, in
// standard deviations of all.
func furthest(values []float64, group []int) float64 {
	var sum, ss float64
	n := float64(len(values))
	for _, v := range values {
		sum += v
	}
	for _, v := range values {
		ss += (v - sum/n) * (v - sum/n)
	}
	sd := math.Sqrt(ss / max(1, n-1))
	if sd < 1e-9 {
		return 0
	}
	off := 0.0
	for g := range slices.Max(group) + 1 {
		var m, k float64
		for i, v := range values {
			if group[i] == g {
				m, k = m+v, k+1
			}
		}
		if k > 0 {
			off = max(off, math.Abs(m/k-sum/n)/sd)
		}
	}
	return off
}
