package fairness

import (
	"math"
	"slices"

	"tamis/internal/stats/alias"
)

// constantWithinSource: each source has one history or one thickness, to 5 %.
func constantWithinSource(c *Case, _, child *Finding) bool {
	if child.Slug == "cold-history-differs" {
		return !slices.Contains(child.Where.Fields, "pieces.start")
	}
	return spreadWithin(c, func(p pieceRow) string { return p.P.Source.V }) <= 0.05
}

// thicknessFollowsPart: within a part the thickness is the same, to 5 %.
func thicknessFollowsPart(c *Case, _, _ *Finding) bool {
	return spreadWithin(c, func(p pieceRow) string { return p.P.Part.V }) <= 0.05
}

// spreadWithin is the largest relative range of thickness within a group of
// pieces, +Inf where no group has two pieces of known thickness.
func spreadWithin(c *Case, group func(pieceRow) string) float64 {
	low, high, n := map[string]float64{}, map[string]float64{}, map[string]int{}
	for _, p := range c.facts.pieces {
		g := group(p)
		if g == "" || !p.P.Thickness.Known {
			continue
		}
		mm := p.P.Thickness.V.Millimetres()
		if n[g]++; n[g] == 1 {
			low[g], high[g] = mm, mm
		}
		low[g], high[g] = math.Min(low[g], mm), math.Max(high[g], mm)
	}
	worst, several := 0.0, false
	for g, k := range n {
		if k > 1 && low[g]+high[g] > 0 {
			several = true
			worst = math.Max(worst, (high[g]-low[g])/((high[g]+low[g])/2))
		}
	}
	if !several {
		return math.Inf(1)
	}
	return worst
}

func onePartASource(c *Case, _, _ *Finding) bool {
	part := map[string]string{}
	for _, p := range c.facts.pieces {
		if !p.P.Source.Known || !p.P.Part.Known {
			continue
		}
		if have, ok := part[p.P.Source.V]; ok && have != p.P.Part.V {
			return false
		}
		part[p.P.Source.V] = p.P.Part.V
	}
	return true
}

// bathFollowsSession: within a session one bath was used.
func bathFollowsSession(c *Case, _, _ *Finding) bool {
	bath := map[string]string{}
	for i := range c.Trial.Cooks {
		k := &c.Trial.Cooks[i]
		id, _ := c.Trial.BathOf(k)
		if have, ok := bath[k.Session.V]; ok && have != id {
			return false
		}
		bath[k.Session.V] = id
	}
	return true
}

// tastersFollowSession: whoever tasted a cook of a session tasted all of them.
func tastersFollowSession(c *Case, _, _ *Finding) bool {
	cooks := map[string]map[string]map[int]bool{} // session → assessor → cooks
	all := map[string]map[int]bool{}
	for _, s := range c.facts.scores {
		session := c.Trial.Cooks[s.Cook].Session.V
		if cooks[session] == nil {
			cooks[session], all[session] = map[string]map[int]bool{}, map[int]bool{}
		}
		if cooks[session][s.S.Assessor] == nil {
			cooks[session][s.S.Assessor] = map[int]bool{}
		}
		cooks[session][s.S.Assessor][s.Cook] = true
		all[session][s.Cook] = true
	}
	for session, people := range cooks {
		for _, tasted := range people {
			if len(tasted) != len(all[session]) {
				return false
			}
		}
	}
	return true
}

func ageOnly(_ *Case, _, child *Finding) bool { return onlyField(child, "sources.caught") }

func startOnly(_ *Case, _, child *Finding) bool {
	return onlyField(child, "pieces.start") || onlyField(child, "food.start")
}

func onlyField(f *Finding, field string) bool {
	return len(f.Where.Fields) == 1 && f.Where.Fields[0] == field
}

// thickerAreShort: the cooks that fell short hold thicker pieces, on average,
// than the others, and thickness goes no further than that: among the short ones
// the set points are alike, and among the others too. Where they are not, the size
// says something of its own, and is said aloud.
func thickerAreShort(base *Case, root, child *Finding) bool {
	c := base.of(base.facts.factors[0])
	for _, f := range base.facts.factors {
		if f.Name == child.Factor {
			c = base.of(f)
		}
	}
	var short, rest, ns, nr float64
	groups := [2][][]float64{make([][]float64, c.Levels()), make([][]float64, c.Levels())}
	for _, p := range c.facts.pieces {
		if !p.P.Thickness.Known {
			continue
		}
		mm, of := p.P.Thickness.V.Millimetres(), 0
		if slices.Contains(root.Where.Cooks, c.Trial.Cooks[p.Cook].ID) {
			short, ns, of = short+mm, ns+1, 1
		} else {
			rest, nr = rest+mm, nr+1
		}
		if level := c.level(p.Cook, p.Piece); level >= 0 {
			groups[of][level] = append(groups[of][level], mm)
		}
	}
	for _, g := range groups {
		g = slices.DeleteFunc(g, func(g []float64) bool { return len(g) == 0 })
		if s, err := alias.Imbalance(g); err == nil && s.HasRel && s.Rel > c.set.number("thick-rel") && child.Severity >= Weakens {
			return false
		}
	}
	return ns > 0 && nr > 0 && short/ns > rest/nr
}

// splitOfOne: without the assessors out of step the smaller camp is below its
// limit. The check of the split says so in a detail.
func splitOfOne(_ *Case, _, child *Finding) bool {
	for _, d := range child.Details {
		if d.Name == withoutOdd {
			return d.Value.Or(1) < child.Threshold.Or(0)
		}
	}
	return false
}

// turnedBy: the analyses that turn are those that undo the child's fault.
func turnedBy(_ *Case, root, child *Finding) bool {
	return slices.Contains(root.Where.Fields, child.Slug)
}
