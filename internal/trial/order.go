package trial

import (
	"cmp"
	"slices"
	"strings"
)

// inOrder lists the distinct labels: plain first, "not stated" last, the rest by
// name with numbers by size.
func inOrder(labels []string) []string {
	out := slices.Clone(labels)
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
	return slices.Compact(out)
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
	out := slices.Clone(rows)
	rank := t.CookRank()
	piece := func(o Observation) string {
		if o.Piece < 0 {
			return ""
		}
		return t.Cooks[o.Cook].Pieces[o.Piece].ID
	}
	slices.SortStableFunc(out, func(a, b Observation) int {
		return cmp.Or(rank[a.Cook]-rank[b.Cook], naturally(piece(a), piece(b)), naturally(a.Assessor, b.Assessor),
			naturally(a.Sitting, b.Sitting), naturally(a.Repeat, b.Repeat), a.Position-b.Position, cmp.Compare(a.Value, b.Value))
	})
	return out
}
