package alias

import (
	"fmt"
	"math"
	"slices"

	"tamis/internal/stats"
)

// Order is how far an order follows a number.
type Order struct {
	R        float64 `json:"r"`        // of the numbers
	Rho      float64 `json:"rho"`      // of their mid-ranks
	Rows     int     `json:"rows"`     // used
	Sessions int     `json:"sessions"` // with two rows or more
}

// Most is the larger of |R| and |Rho|.
func (o *Order) Most() float64 { return math.Max(math.Abs(o.R), math.Abs(o.Rho)) }

// OrderFollows is the correlation of order and x within sessions: both are taken
// less their session means (R), or are ranked within the session first (Rho),
// and the pairs of all sessions are pooled. session nil means one session. Rows
// with an unknown session, order or x are passed over, as are sessions with one
// row.
//
// Two rows in a session always give ±1, three drawn by lot do so one time in
// three: it says what happened, not that anybody was careless.
//
// Errors: ErrEmpty, ErrLengths, ErrNonFinite for an infinity, ErrTooFew when no
// session has two rows, ErrNoVariation when either side is constant within
// every session.
func OrderFollows(session []int, order, x []float64) (*Order, error) {
	groups, err := bySession(session, order, x)
	if err != nil {
		return nil, err
	}
	o := &Order{}
	var numbers, ranks moments
	for _, rows := range groups {
		if len(rows) < 2 {
			continue
		}
		o.Sessions++
		o.Rows += len(rows)
		a, b := pick(order, rows), pick(x, rows)
		numbers.add(a, b)
		ranks.add(midRanks(a), midRanks(b))
	}
	if o.Sessions == 0 {
		return nil, fmt.Errorf("%w: no session has two rows", stats.ErrTooFew)
	}
	var ok, ok2 bool
	o.R, ok = numbers.correlation()
	o.Rho, ok2 = ranks.correlation()
	if !ok || !ok2 {
		return nil, fmt.Errorf("%w: within sessions", stats.ErrNoVariation)
	}
	return o, nil
}

// bySession lists the rows of each session in the order of their first row.
func bySession(session []int, order, x []float64) ([][]int, error) {
	if len(order) == 0 {
		return nil, fmt.Errorf("%w: order", stats.ErrEmpty)
	}
	if err := stats.CheckLengths("order", len(order), "x", len(x)); err != nil {
		return nil, err
	}
	if session != nil {
		if err := stats.CheckLengths("order", len(order), "session", len(session)); err != nil {
			return nil, err
		}
	}
	var groups [][]int
	index := map[int]int{}
	for i := range order {
		if math.IsInf(order[i], 0) || math.IsInf(x[i], 0) {
			return nil, fmt.Errorf("%w: row %d", stats.ErrNonFinite, i)
		}
		s := 0
		if session != nil {
			s = session[i]
		}
		if s < 0 || math.IsNaN(order[i]) || math.IsNaN(x[i]) {
			continue
		}
		g, seen := index[s]
		if !seen {
			g = len(groups)
			index[s] = g
			groups = append(groups, nil)
		}
		groups[g] = append(groups[g], i)
	}
	return groups, nil
}

func pick(x []float64, rows []int) []float64 {
	out := make([]float64, len(rows))
	for i, r := range rows {
		out[i] = x[r]
	}
	return out
}

// midRanks gives ties the mean of their places, from 1.
func midRanks(x []float64) []float64 {
	at := make([]int, len(x))
	for i := range at {
		at[i] = i
	}
	slices.SortStableFunc(at, func(a, b int) int {
		switch {
		case x[a] < x[b]:
			return -1
		case x[a] > x[b]:
			return 1
		}
		return 0
	})
	out := make([]float64, len(x))
	for i := 0; i < len(at); {
		j := i
		for j < len(at) && x[at[j]] == x[at[i]] {
			j++
		}
		for k := i; k < j; k++ {
			out[at[k]] = float64(i+j+1) / 2
		}
		i = j
	}
	return out
}

// moments pools products of deviations from the means of groups.
type moments struct {
	aa, ab, bb float64
	sizeA      float64 // largest number met, to tell variation from rounding
	sizeB      float64
	n          int
}

func (m *moments) add(a, b []float64) {
	var ma, mb float64
	for i := range a {
		ma += (a[i] - ma) / float64(i+1)
		mb += (b[i] - mb) / float64(i+1)
		m.sizeA, m.sizeB = math.Max(m.sizeA, math.Abs(a[i])), math.Max(m.sizeB, math.Abs(b[i]))
	}
	for i := range a {
		da, db := a[i]-ma, b[i]-mb
		m.aa, m.ab, m.bb = m.aa+da*da, m.ab+da*db, m.bb+db*db
	}
	m.n += len(a)
}

// correlation is false where a side does not vary beyond rounding.
func (m *moments) correlation() (float64, bool) {
	tiny := func(ss, size float64) bool { return !(math.Sqrt(ss) > 1e-12*size*math.Sqrt(float64(m.n))) }
	if tiny(m.aa, m.sizeA) || tiny(m.bb, m.sizeB) {
		return 0, false
	}
	r := m.ab / math.Sqrt(m.aa) / math.Sqrt(m.bb)
	return math.Max(-1, math.Min(1, r)), !math.IsNaN(r)
}

// maxOrders is the number of orders up to which BestOrder looks at all.
const maxOrders = 5_040

// BestOrder is the smallest Most that any order of the rows within their sessions
// could have given: what a careful lot could have reached. ok is false where the
// orders are too many to look at or OrderFollows has no answer; a design with so
// many orders nearly always has one close to 0.
func BestOrder(session []int, order, x []float64) (best float64, ok bool) {
	groups, err := bySession(session, order, x)
	if err != nil {
		return 0, false
	}
	total := 1
	for _, rows := range groups {
		for n := 2; n <= len(rows); n++ {
			if total *= n; total > maxOrders {
				return 0, false
			}
		}
	}
	tried := slices.Clone(order)
	best = math.Inf(1)
	// All orders of session g and the sessions after it.
	var visit func(g, i int)
	visit = func(g, i int) {
		switch {
		case g == len(groups):
			if o, err := OrderFollows(session, tried, x); err == nil {
				best = math.Min(best, o.Most())
			}
			return
		case i >= len(groups[g])-1:
			visit(g+1, 0)
			return
		}
		rows := groups[g]
		for k := i; k < len(rows); k++ {
			tried[rows[i]], tried[rows[k]] = tried[rows[k]], tried[rows[i]]
			visit(g, i+1)
			tried[rows[i]], tried[rows[k]] = tried[rows[k]], tried[rows[i]]
		}
	}
	visit(0, 0)
	return best, !math.IsInf(best, 1)
}
