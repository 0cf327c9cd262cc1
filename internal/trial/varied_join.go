package trial

import (
	"sort"

	"tamis/internal/quantity"
)

// Times that lie within 5 min or a tenth of the median, whichever is more, are
// one level, as are sears within 5 s and soaks within a tenth of their median:
// nobody pulls a cook to the minute, and what a stopwatch says is no treatment.
// House rules, as in the checks of fairness.
const (
	timeSlack  = 5.0 // min
	timeShare  = 0.1
	searSlack  = 5.0 // s
	soakShare  = 0.1
	timeMargin = 1e-9
)

// timed is a time that stands in a label.
type timed struct {
	minutes float64
	label   string
}

// joined gives times that belong together one label, that of their median: a
// level ends where the next longer time is further away than slack.
func joined(all []timed, slack float64) map[string]string {
	sort.SliceStable(all, func(i, j int) bool { return all[i].minutes < all[j].minutes })
	out := map[string]string{}
	for from := 0; from < len(all); {
		to := from + 1
		for to < len(all) && all[to].minutes-all[to-1].minutes <= slack+timeMargin {
			to++
		}
		for _, x := range all[from:to] {
			out[x.label] = all[(from+to-1)/2].label
		}
		from = to
	}
	return out
}

func relabel(labels []string, to map[string]string) {
	for i, l := range labels {
		if j, ok := to[l]; ok {
			labels[i] = j
		}
	}
}

// medianOf some times in order.
func medianOf(all []timed) float64 {
	n := len(all)
	return (all[n/2].minutes + all[(n-1)/2].minutes) / 2
}

// joinTimes joins the times in the bath, or the holds. Times that the design
// lists are meant, and stay apart.
func (t *Trial) joinTimes(name string, rows []Observation, labels []string) {
	meant := t.Design.V.Times
	if name == HoldFactor {
		meant = t.Design.V.Holds
	}
	if len(meant) > 1 {
		return
	}
	var all []timed // one for each cook: a cook with many pieces is one time
	last := -1
	for i, r := range rows {
		if m, ok := t.Cooks[r.Cook].minutesOf(name); ok && labels[i] != NotStated && r.Cook != last {
			all = append(all, timed{m, labels[i]})
			last = r.Cook
		}
	}
	if len(all) < 2 {
		return
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].minutes < all[j].minutes })
	relabel(labels, joined(all, max(timeSlack, timeShare*medianOf(all))))
}

// joinSears joins the seconds of sears, those per side for themselves. Finishes
// that the design lists are meant, and stay apart.
func (t *Trial) joinSears(rows []Observation, labels []string) {
	if len(t.Design.V.Finish) > 1 {
		return
	}
	for _, perSide := range [...]bool{false, true} {
		relabel(labels, joined(t.timesOf(rows, labels, func(i int) (quantity.Duration, bool) {
			f := &t.Cooks[rows[i].Cook].FinishOf(rows[i].Piece).V
			return f.Sear.V, f.Sear.Known && f.PerSide == perSide
		}), searSlack/60))
	}
}

// joinSoaks joins the soaks of brines of one kind and strength. Brines that the
// design lists are meant, and stay apart.
func (t *Trial) joinSoaks(rows []Observation, labels []string) {
	if len(t.Design.V.Brine) > 1 {
		return
	}
	recipes := make([]string, len(rows)) // the brine of each row but for its soak; "" without one
	for i := range rows {
		b := t.Cooks[rows[i].Cook].BrineOf(rows[i].Piece)
		if i > 0 && b == t.Cooks[rows[i-1].Cook].BrineOf(rows[i-1].Piece) {
			recipes[i] = recipes[i-1]
			continue
		}
		if own := b.V; own.Kind != NoBrine {
			own.For = Opt[quantity.Duration]{}
			recipes[i] = own.Label()
		}
	}
	done := map[string]bool{"": true}
	for _, recipe := range recipes {
		if done[recipe] {
			continue
		}
		done[recipe] = true
		all := t.timesOf(rows, labels, func(i int) (quantity.Duration, bool) {
			soak := t.Cooks[rows[i].Cook].BrineOf(rows[i].Piece).V.For
			return soak.V, soak.Known && recipes[i] == recipe
		})
		if len(all) > 1 {
			relabel(labels, joined(all, soakShare*medianOf(all)))
		}
	}
}

// timesOf are the times of rows that have one, shortest first, once for each cook
// and label.
func (t *Trial) timesOf(rows []Observation, labels []string, of func(row int) (quantity.Duration, bool)) []timed {
	type key struct {
		cook  int
		label string
	}
	seen := map[key]bool{}
	var all []timed
	for i := range rows {
		d, ok := of(i)
		k := key{rows[i].Cook, labels[i]}
		if !ok || labels[i] == NotStated || seen[k] {
			continue
		}
		seen[k] = true
		all = append(all, timed{d.Minutes(), labels[i]})
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].minutes < all[j].minutes })
	return all
}
