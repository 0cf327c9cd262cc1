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
		relabel(labels, joined(t.timesOf(rows, labels, func(r *Observation) (quantity.Duration, bool) {
			f := t.Cooks[r.Cook].FinishOf(r.Piece).V
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
	done := map[string]bool{}
	for i := range rows {
		own := t.Cooks[rows[i].Cook].BrineOf(rows[i].Piece).V
		own.For = Opt[quantity.Duration]{}
		recipe := own.Label()
		if own.Kind == NoBrine || done[recipe] {
			continue
		}
		done[recipe] = true
		all := t.timesOf(rows, labels, func(r *Observation) (quantity.Duration, bool) {
			b := t.Cooks[r.Cook].BrineOf(r.Piece).V
			soak := b.For
			b.For = Opt[quantity.Duration]{}
			return soak.V, soak.Known && b.Label() == recipe
		})
		if len(all) > 1 {
			relabel(labels, joined(all, soakShare*medianOf(all)))
		}
	}
}

// timesOf are the times of rows that have one, shortest first, once for each cook
// and label.
func (t *Trial) timesOf(rows []Observation, labels []string, of func(r *Observation) (quantity.Duration, bool)) []timed {
	type key struct {
		cook  int
		label string
	}
	seen := map[key]bool{}
	var all []timed
	for i := range rows {
		d, ok := of(&rows[i])
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
