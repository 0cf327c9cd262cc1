package fairness

import (
	"math"

	"tamis/internal/trial"
)

// runOrders is when runs were cooked within their sessions.
type runOrders struct {
	session  []int
	order    []float64 // the order as written, else minutes
	start    []float64 // NaN where it is not known
	sessions int       // with two runs or more
	most     int       // runs in the largest session

	noOrder, noSession []string
}

// orders reads session and order of some runs. Where every run has an order it
// counts; otherwise every run must have a start. Without a session on any run and
// with one session at most in the file, all were cooked in one, as far as their
// clock times can be of one day.
func (c *Case) orders(runs []bathRun) runOrders {
	t := c.Trial
	o := runOrders{session: make([]int, len(runs)), order: make([]float64, len(runs)), start: make([]float64, len(runs))}
	stated, named := true, 0
	for i, r := range runs {
		k := &t.Cooks[r.Cooks[0]]
		stated = stated && k.Order.Known
		o.start[i] = math.NaN()
		if k.Started.Known {
			o.start[i] = minuteOf(t, k, k.Started.V)
		}
		if _, ok := sessionOf(k); ok {
			named++
		}
	}
	index, size := map[string]int{}, map[int]int{}
	for i, r := range runs {
		k := &t.Cooks[r.Cooks[0]]
		switch {
		case stated:
			o.order[i] = float64(k.Order.V)
		case !math.IsNaN(o.start[i]):
			o.order[i] = o.start[i]
		default:
			o.noOrder = append(o.noOrder, k.ID)
		}
		name, ok := sessionOf(k)
		if !ok && (named > 0 || len(t.Sessions) > 1 || c.facts.severalDays && !stated) {
			o.noSession = append(o.noSession, k.ID)
		}
		s, seen := index[name]
		if !seen {
			s = len(index)
			index[name] = s
		}
		o.session[i] = s
		size[s]++
	}
	for _, n := range size {
		o.most = max(o.most, n)
		if n > 1 {
			o.sessions++
		}
	}
	return o
}

// places numbers the runs of each session by their order: 1 is its first run.
// Runs of one order share the lowest place.
func (o runOrders) places() []float64 {
	out := make([]float64, len(o.order))
	for i, s := range o.session {
		out[i] = 1
		for j, other := range o.session {
			if other == s && o.order[j] < o.order[i] {
				out[i]++
			}
		}
	}
	return out
}

// together reports whether all runs of each session started within so many
// minutes.
func (o runOrders) together(minutes float64) bool {
	first, last := map[int]float64{}, map[int]float64{}
	for i, s := range o.session {
		if math.IsNaN(o.start[i]) {
			return false
		}
		if _, seen := first[s]; !seen {
			first[s], last[s] = o.start[i], o.start[i]
		}
		first[s], last[s] = math.Min(first[s], o.start[i]), math.Max(last[s], o.start[i])
	}
	for s := range first {
		if last[s]-first[s] > minutes {
			return false
		}
	}
	return true
}

// sessionOf is the session of a cook, or the date in its start.
func sessionOf(k *trial.Cook) (string, bool) {
	if k.Session.Known {
		return k.Session.V, true
	}
	if k.Started.Known && !k.Started.V.Date.IsZero() {
		return k.Started.V.Date.String(), true
	}
	return "", false
}
