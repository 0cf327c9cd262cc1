package fairness

import (
	"math"

	"tamis/internal/quantity"
	"tamis/internal/stats/dist"
	"tamis/internal/trial"
)

var saltGivesItAway = Check{
	Slug:   "salt-gives-it-away",
	Short:  "salt",
	Family: Brining,
	Stage:  Scored,
	About:  AboutBrine,
	Asks:   "Could tasters tell the brined piece by its salt, and score that?",
	Needs:  []string{"panel.scores", "measures.role"},
	Finds: "It fires where the 95 % interval of saltiness, brined less plain, over the assessors does not hold 0, and saltiness and the primary " +
		"measure, both less the means of the assessor and of the set point, correlate with |r| above {halo-r}. It weakens at p < 0.005 of the first; else it is a note.",
	Clears:   "One of the two fails, with {min-assessors} assessors or more who scored both.",
	Unjudged: "No measure has role: salt, or fewer than {min-assessors} assessors scored brined and plain.",
	Why:      "A seasoned bite is liked better, and even called juicier. That is salt and not texture.",
	Wording:  "Tasters found the brined pieces saltier by {gap} points, and saltier pieces scored {direction} on {measure}. Part of the brine's effect may be seasoning.",
	Hedge:    "part of the brine's effect may be seasoning",
	Next:     "Season the plain pieces to the same salt in the end, or score texture before flavour.",
	Eats:     true,
	Fix:      "same-salt",
	Source:   "House rules.",
	Options:  []string{"halo-r", "min-assessors"},
	FiresOn:  "measures: {saltiness: {scale: 0 to 10, role: salt}, liking: {scale: 1 to 9}}\n# brined less plain saltiness 2.1 (1.2 to 3.0), r = 0.5",
	ClearOn:  "measures: {saltiness: {scale: 0 to 10, role: salt}, liking: {scale: 1 to 9}}\n# brined less plain saltiness 0.1 (−0.6 to 0.8)",
	Judge:    judgeSalt,
	Example:  exampleSaltGivesAway,
}

func judgeSalt(c *Case) Judgement {
	brined, plain := false, false
	for _, r := range c.brinedRows() {
		brined = brined || r.brine.Known && r.brine.V.Kind != trial.NoBrine
		plain = plain || r.brine.Known && r.brine.V.Kind == trial.NoBrine
	}
	primary, ok := c.primaryTasted()
	if !brined || !plain || !ok {
		return notApplicable("brined and plain pieces were not both tasted")
	}
	var salt trial.Measure
	for _, m := range c.tastedMeasures() {
		if m.Role.V == "salt" {
			salt = m
		}
	}
	if salt.Name == "" {
		return cannot("measures.role")
	}
	if salt.Name == primary.Name {
		return notApplicable("saltiness itself is what is asked")
	}
	gaps := c.saltGaps(salt)
	need := c.set.count("min-assessors")
	if len(gaps) < need {
		return tooFew("assessors who scored the salt of brined and plain pieces", len(gaps), need)
	}
	mean, ss := meanSS(gaps)
	n := float64(len(gaps))
	se := math.Sqrt(ss / (n - 1) / n)
	p := 0.0
	if se > 0 {
		var err error
		if p, err = dist.TTwoSided(mean/se, n-1); err != nil {
			return clear()
		}
	} else if mean == 0 {
		p = 1
	}
	r, ok := c.haloR(salt, primary)
	limit := c.set.number("halo-r")
	// p below 5 % is an interval without 0.
	if p >= 0.05 || mean < 0 || !ok || math.Abs(r) <= limit {
		return clear()
	}
	j := Judgement{Outcome: Fires, Severity: Note, Statistic: "correlation of saltiness and " + primary.Name + " within assessors", Value: quantity.Num(r),
		Threshold: quantity.Num(limit), Option: "halo-r", Where: Where{Measures: []string{salt.Name, primary.Name}, At: salt.At},
		Details: []Detail{{Name: "saltiness, brined less plain", Value: quantity.Num(mean)}, {Name: "p of it", Value: quantity.Num(p)}},
		Fill:    Fill{"gap": amount(mean, "", 1), "direction": map[bool]string{true: "higher", false: "lower"}[r > 0], "measure": measureWords(primary.Name)}}
	if p < weakensBelow {
		j.Severity = Weakens
	}
	return j
}

// primaryTasted is the first measure of an aim that was tasted, else the first
// that asks liking, else the first tasted that is not about salt.
func (c *Case) primaryTasted() (trial.Measure, bool) {
	deciding := c.decidingMeasures()
	for _, ok := range []func(trial.Measure) bool{
		func(m trial.Measure) bool { return len(c.Trial.Aims) > 0 && m.Name == c.Trial.Aims[0].Measure },
		asksLiking,
		func(m trial.Measure) bool { return m.Role.V != "salt" },
	} {
		for _, m := range deciding {
			if ok(m) {
				return m, true
			}
		}
	}
	return trial.Measure{}, false
}

// saltGaps is each assessor's mean saltiness of the brined pieces less that of
// the plain ones.
func (c *Case) saltGaps(m trial.Measure) []float64 {
	type pair struct{ brined, plain []float64 }
	by := map[string]*pair{}
	for _, r := range c.facts.scores {
		v, ok := r.S.Values.Get(m.Name)
		b := c.Trial.Cooks[r.Cook].BrineOf(r.Piece)
		if !ok || v.Missing || leftOut(r.S) || !b.Known {
			continue
		}
		if by[r.S.Assessor] == nil {
			by[r.S.Assessor] = &pair{}
		}
		p := by[r.S.Assessor]
		if b.V.Kind == trial.NoBrine {
			p.plain = append(p.plain, v.V)
		} else {
			p.brined = append(p.brined, v.V)
		}
	}
	var out []float64
	for _, id := range c.Trial.AssessorIDs() {
		if p := by[id]; p != nil && len(p.brined) > 0 && len(p.plain) > 0 {
			a, _ := meanSS(p.brined)
			b, _ := meanSS(p.plain)
			out = append(out, a-b)
		}
	}
	return out
}

// haloR is the correlation of two measures over the rows, each less the mean of
// its assessor and of its set point: what the set points do to the measure would
// hide what the salt does. ok is false where one does not vary.
func (c *Case) haloR(a, b trial.Measure) (r float64, ok bool) {
	var x, y []float64
	var who []string
	var level []int
	for _, row := range c.facts.scores {
		v, ok1 := row.S.Values.Get(a.Name)
		w, ok2 := row.S.Values.Get(b.Name)
		if ok1 && ok2 && !v.Missing && !w.Missing && !leftOut(row.S) {
			x, y = append(x, v.V), append(y, w.V)
			who, level = append(who, row.S.Assessor), append(level, c.level(row.Cook, row.Piece))
		}
	}
	var sxx, sxy, syy float64
	x, y = lessMeans(lessMeans(x, who), level), lessMeans(lessMeans(y, who), level)
	for i := range x {
		sxx, syy, sxy = sxx+x[i]*x[i], syy+y[i]*y[i], sxy+x[i]*y[i]
	}
	// What is left of numbers without variation is rounding.
	if !(sxx > 1e-18*float64(len(x))) || !(syy > 1e-18*float64(len(y))) {
		return 0, false
	}
	return sxy / math.Sqrt(sxx*syy), true
}

// lessMeans takes from each number the mean of its group.
func lessMeans[K comparable](x []float64, group []K) []float64 {
	by := map[K]*sum{}
	for i, v := range x {
		g := by[group[i]]
		if g == nil {
			g = &sum{}
			by[group[i]] = g
		}
		g.total, g.n = g.total+v, g.n+1
	}
	out := make([]float64, len(x))
	for i, v := range x {
		g := by[group[i]]
		out[i] = v - g.total/float64(g.n)
	}
	return out
}
