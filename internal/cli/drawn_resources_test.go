package cli

import (
	"slices"
	"strings"

	"tamis/internal/fairness"
	"tamis/internal/trial"
)

// resources is what a plan had to go round with, counted from what was laid out.
type resources struct {
	arms, runs, pieces      int // runs and pieces of each set point, at the least
	sessions, baths, within int
	people                  int
	fixed                   bool
	factors                 int // other than the set point
	days, flights           int // sessions that are used, and flights of one of them
	links                   int // how many set points beyond the first the sources can join
	partsEach               int // pieces of the rarest part
	parts                   int
}

func resourcesOf(d *drawnDesign, tr *trial.Trial) resources {
	r := resources{arms: len(d.points), sessions: d.sessions, baths: d.baths, within: max(1, d.brines), people: d.people, fixed: len(d.fixed) > 0,
		factors: d.times * max(1, d.recipes)}
	runs, pieces := map[float64]int{}, map[float64]int{}
	for i := range tr.Cooks {
		c := &tr.Cooks[i]
		runs[c.SetPoint.V.Celsius()]++
		pieces[c.SetPoint.V.Celsius()] += len(c.Pieces)
	}
	r.runs, r.pieces = len(tr.Cooks), 1<<30
	for v, n := range runs {
		r.runs, r.pieces = min(r.runs, n), min(r.pieces, pieces[v])
	}
	used := map[string]int{}
	for i := range tr.Cooks {
		used[tr.Cooks[i].Session.V]++
	}
	r.days = len(used)
	if d.serveAt != "" { // a bath serves once a flight
		for _, n := range used {
			r.flights = max(r.flights, (n+d.baths-1)/d.baths)
		}
	}
	// The pieces come from as few sources as there are, the largest first, each
	// split over as many set points as it can be.
	have, part := map[string]int{}, map[string]int{}
	for _, p := range d.stock {
		have[p.source]++
		part[p.part]++
	}
	var sizes []int
	for _, n := range have {
		sizes = append(sizes, n)
	}
	slices.SortFunc(sizes, func(a, b int) int { return b - a })
	left := r.pieces * r.arms
	for _, n := range sizes {
		if n = min(n, left); n > 0 {
			r.links += min(n, r.arms) - 1
			left -= n
		}
	}
	if r.pieces == 1 && len(sizes) > 0 && sizes[0] < r.arms {
		r.links = 0 // one piece each joins only where all come from one source
	}
	r.parts, r.partsEach = len(part), 1<<30
	for _, n := range part {
		r.partsEach = min(r.partsEach, n)
	}
	return r
}

// excuse says why a finding cannot be had away with these resources, or "".
func (r resources) excuse(f *fairness.Finding) string {
	joined := func(levels int) bool { return r.arms*r.runs >= r.arms+levels-1 }
	switch slug := string(f.Slug); {
	case r.fixed:
		return "fixed"
	case strings.HasPrefix(slug, "one-run"), strings.HasPrefix(slug, "core-short"), strings.HasPrefix(slug, "hold-spread"):
		return "as asked for"
	case f.Factor != "" && f.Factor != "set_point" && r.runs < 3:
		return "a factor, with few runs"
	case r.pieces == 2 && f.Severity == fairness.Weakens && (strings.HasPrefix(slug, "source-tied") || strings.HasPrefix(slug, "part-tied")):
		return "two pieces each, of several sources, lots and parts"
	case f.Factor == "brine" && f.Severity == fairness.Weakens && r.arms*r.pieces < 4*r.within && (strings.HasPrefix(slug, "source-tied") || strings.HasPrefix(slug, "part-tied")):
		return "fewer than four pieces of a brine"
	case strings.HasPrefix(slug, "load-differs"):
		return "the hotter the bath, the more it falls"
	case strings.HasPrefix(slug, "not-all") && (r.people < 0 || f.Factor != ""):
		return "few tasters, or a factor that the sittings were not chosen by"
	case strings.HasPrefix(slug, "tasting-order") && r.runs < r.days:
		return "not every set point in every session"
	case r.pieces == 1 && (strings.HasPrefix(slug, "source-tied") || strings.HasPrefix(slug, "size-differs")):
		return "one piece each"
	case strings.HasPrefix(slug, "tasting-order") && (r.flights > 1 && r.runs%r.flights != 0 || r.people*r.days < 2):
		return "served in flights that cannot be shared out"
	case strings.HasPrefix(slug, "session-tied") && !joined(r.sessions):
		return "too few runs for the sessions"
	case strings.HasPrefix(slug, "not-all") && r.runs < r.days:
		return "not every set point in every session"
	case strings.HasPrefix(slug, "bath-tied") && r.factors > 1 && r.runs < 3:
		return "few runs of several factors"
	case strings.HasPrefix(slug, "bath-tied") && !joined(min(r.baths, r.arms*r.runs)):
		return "too few runs for the baths"
	case strings.HasPrefix(slug, "source-tied") && r.links < r.arms-1:
		return "the sources cannot be split so far"
	case strings.HasPrefix(slug, "part-tied") && r.pieces < r.parts:
		return "fewer pieces than parts"
	case strings.HasPrefix(slug, "brine-dose") && r.pieces%r.within != 0:
		return "the brines do not divide the pieces"
	case strings.HasPrefix(slug, "brine-tied") && r.pieces < r.within:
		return "fewer pieces than brines"
	case strings.HasPrefix(slug, "run-order") && (r.runs == 1 || r.arms*r.runs-r.days < 3):
		return "run once, or one at a time"
	}
	return ""
}
