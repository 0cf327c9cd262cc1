package trial

import (
	"cmp"
	"slices"
	"strings"
)

// inOrder lists the distinct labels: plain first, "not stated" last, the rest by
// name with numbers by size.
func inOrder(labels []string) []string {
	var out []string
	seen := map[string]bool{}
	for i, l := range labels {
		if i > 0 && l == labels[i-1] || seen[l] {
			continue
		}
		seen[l] = true
		out = append(out, l)
	}
	plain := (Brine{Kind: NoBrine}).Label()
	place := func(l string) int {
		switch l {
		case plain:
			return 0
		case NotStated:
			return 2
		}
		return 1
	}
	slices.SortFunc(out, func(a, b string) int {
		return cmp.Or(place(a)-place(b), naturally(a, b))
	})
	return out
}

// naturally compares names as a reader would: runs of digits by their size, so
// that B2 comes before B10.
func naturally(a, b string) int {
	x, y := a, b
	for x != "" && y != "" {
		m, n := digits(x), digits(y)
		if m == 0 || n == 0 {
			if x[0] != y[0] {
				return cmp.Compare(x[0], y[0])
			}
			x, y = x[1:], y[1:]
			continue
		}
		p, q := strings.TrimLeft(x[:m], "0"), strings.TrimLeft(y[:n], "0")
		if c := cmp.Or(len(p)-len(q), cmp.Compare(p, q)); c != 0 {
			return c
		}
		x, y = x[m:], y[n:]
	}
	return cmp.Or(len(x)-len(y), cmp.Compare(a, b))
}

// digits is the length of the run of digits at the start of s.
func digits(s string) int {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return n
}

// CookRank gives each cook its place in an order that does not depend on the
// order of the file: by set point, coldest first and unstated last, then
// session, then id.
func (t *Trial) CookRank() []int {
	order := make([]int, len(t.Cooks))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		x, y := &t.Cooks[a], &t.Cooks[b]
		if x.SetPoint.Known != y.SetPoint.Known {
			if x.SetPoint.Known {
				return -1
			}
			return 1
		}
		return cmp.Or(cmp.Compare(x.SetPoint.V.Celsius(), y.SetPoint.V.Celsius()), naturally(x.Session.V, y.Session.V), naturally(x.ID, y.ID))
	})
	rank := make([]int, len(order))
	for r, i := range order {
		rank[i] = r
	}
	return rank
}

// Sorted is the observations in an order that does not depend on the order of
// cooks, pieces and score rows in the file. rows is not altered.
func (t *Trial) Sorted(rows []Observation) []Observation {
	cook := t.CookRank()
	piece := ranks(rows, func(o *Observation) string {
		if o.Piece < 0 {
			return ""
		}
		return t.Cooks[o.Cook].Pieces[o.Piece].ID
	})
	assessor := ranks(rows, func(o *Observation) string { return o.Assessor })
	sitting := ranks(rows, func(o *Observation) string { return o.Sitting })
	repeat := ranks(rows, func(o *Observation) string { return o.Repeat })
	order := make([]int, len(rows))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int {
		a, b := &rows[i], &rows[j]
		return cmp.Or(cook[a.Cook]-cook[b.Cook], piece[i]-piece[j], assessor[i]-assessor[j],
			sitting[i]-sitting[j], repeat[i]-repeat[j], a.Position-b.Position, cmp.Compare(a.Value, b.Value), i-j)
	})
	out := make([]Observation, len(rows))
	for k, i := range order {
		out[k] = rows[i]
	}
	return out
}

// ranks gives each row the place of its name among all of them, as a reader would
// order them.
func ranks(rows []Observation, name func(*Observation) string) []int {
	out := make([]int, len(rows))
	same := true
	for i := 1; i < len(rows) && same; i++ {
		same = name(&rows[i]) == name(&rows[0])
	}
	if same {
		return out
	}
	place := map[string]int{}
	var names []string
	for i := range rows {
		n := name(&rows[i])
		if i > 0 && n == name(&rows[i-1]) {
			continue
		}
		if _, seen := place[n]; !seen {
			place[n] = 0
			names = append(names, n)
		}
	}
	slices.SortFunc(names, naturally)
	for i, n := range names {
		place[n] = i
	}
	for i := range rows {
		if n := name(&rows[i]); i > 0 && n == name(&rows[i-1]) {
			out[i] = out[i-1]
		} else {
			out[i] = place[n]
		}
	}
	return out
}
