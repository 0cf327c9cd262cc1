package fairness

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"tamis/internal/trial"
)

// rank puts findings in the order in which a reader should meet them: root
// causes that fire, worst first, each followed by what is part of it; then what
// could not be judged, what is clear, and what does not apply.
func rank(t *trial.Trial, findings []Finding) []Finding {
	places := placesInCatalogue()
	type entry struct {
		*Finding
		at, outcome int
		place       place
	}
	roots := make([]entry, 0, len(findings))
	children := map[[2]string][]entry{}
	for i := range findings {
		f := &findings[i]
		e := entry{f, i, slices.Index(readingOrder, f.Outcome), places[f.Slug]}
		if f.Under != "" {
			key := [2]string{f.Under, f.Factor}
			children[key] = append(children[key], e)
			continue
		}
		roots = append(roots, e)
	}
	less := func(a, b entry) int {
		if c := cmp.Compare(a.outcome, b.outcome); c != 0 {
			return c
		}
		if a.Outcome == Fires {
			if c := cmp.Or(
				cmp.Compare(b2i(a.Accepted != nil), b2i(b.Accepted != nil)),
				cmp.Compare(b.Severity, a.Severity),
				cmp.Compare(subjectRank(t, a.Finding), subjectRank(t, b.Finding)),
				cmp.Compare(b2i(a.Kind == Bundle), b2i(b.Kind == Bundle)),
				cmp.Compare(excess(b.Finding), excess(a.Finding)),
			); c != 0 {
				return c
			}
		}
		return cmp.Or(cmp.Compare(a.place.family, b.place.family), cmp.Compare(a.place.check, b.place.check), cmp.Compare(a.Factor, b.Factor))
	}
	slices.SortStableFunc(roots, less)
	order := make([]int, 0, len(findings))
	for _, r := range roots {
		order = append(order, r.at)
		if r.Outcome == Fires {
			kids := children[[2]string{r.Slug, r.Factor}]
			slices.SortStableFunc(kids, less)
			for _, k := range kids {
				order = append(order, k.at)
			}
		}
	}
	return arranged(findings, order)
}

// arranged puts findings in an order, order[i] being where the i-th is now. Findings
// are large and their list is not copied: each cycle of the order is moved round by
// one. What no place of the order names is left out.
func arranged(findings []Finding, order []int) []Finding {
	if len(order) < len(findings) {
		out := make([]Finding, len(order))
		for i, at := range order {
			out[i] = findings[at]
		}
		return out
	}
	for i := range findings {
		if order[i] < 0 {
			continue // moved already
		}
		first, to := findings[i], i
		for order[to] != i {
			from := order[to]
			findings[to], order[to] = findings[from], -1
			to = from
		}
		findings[to], order[to] = first, -1
	}
	return findings
}

// readingOrder is the order in which outcomes are read.
var readingOrder = []Outcome{Fires, CannotJudge, Clear, DoesNotApply}

// place is where a check stands: its family, and the check in the catalogue.
type place struct{ family, check int }

// placesInCatalogue are those of all checks, by slug.
var placesInCatalogue = sync.OnceValue(func() map[string]place {
	out := map[string]place{}
	for i, c := range catalogue {
		out[c.Slug] = place{slices.Index(families, c.Family), i}
	}
	return out
})

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// subjectRank: the primary aim, then set point, brine, liking, tasted measures,
// wording, whichever measure the words speak of. A finding about safety leads. After
// it comes that a set point was cooked once, where it blocks: whatever else is
// mended, from the tasting order to the blanks, still says something of one run.
func subjectRank(t *trial.Trial, f *Finding) int {
	if f.About == AboutSafety {
		return 0
	}
	if f.Slug == oneRunPerSetPoint.Slug && f.Severity == Blocks {
		return 1
	}
	if f.About != AboutWording && len(t.Aims) > 0 && slices.Contains(f.Where.Measures, t.Aims[0].Measure) {
		return 2
	}
	return 3 + slices.Index([]Subject{AboutSetPoint, AboutBrine, AboutLiking, AboutTasted, AboutWording}, f.About)
}

// excess is how far a value lies beyond its threshold, at most 10. A count that
// should be larger lies beyond it by threshold over value.
func excess(f *Finding) float64 {
	v, ok := f.Value.Get()
	th, ok2 := f.Threshold.Get()
	if !ok || !ok2 {
		return 1
	}
	v, th = math.Abs(v), math.Abs(th)
	if v < th { // below a minimum
		v, th = th, v
	}
	if th == 0 {
		return 10
	}
	return math.Min(v/th, 10)
}
