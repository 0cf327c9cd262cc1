package fairness

import (
	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

var notAllTastedAll = Check{
	Slug:   "not-all-tasted-all",
	Short:  "tasters",
	Family: Assessors,
	Stage:  Plan,
	About:  AboutTasted,
	Asks:   "Did each set point get its own tasters?",
	Needs:  []string{"scores.assessor", "scores.cook", "panel.plan"},
	Finds: "Assessors are counted by set point. It blocks where assessors take comparisons of set points with them, by rank. It weakens where none " +
		"is lost but some assessor misses some set point and no incomplete layout was planned, or where in such a layout the numbers of " +
		"assessors that pairs of set points share differ by more than one, or by more than two where not every set point can have equally many.",
	Clears:  "Everybody tasted every set point, or a planned incomplete layout shares its pairs evenly.",
	Why:     "One taster's 6 is another's 4. Where set points have their own tasters, a change of taster reads as a change of texture.",
	Wording: "{pairs} were scored by different people. Generous and strict tasters then look like better and worse cooking.",
	Others: map[string]string{
		"holes":  "{names} did not taste every {factor}. Means are then compared across different people.",
		"shared": "{most} tasters share one pair of set points, and {least} another. The means are not equally well compared.",
	},
	Hedge:      "not everybody tasted everything",
	Next:       "Everybody tastes everything; or plan who tastes what, so that each pair is shared by equally many.",
	Eats:       true,
	Fix:        "all-taste-all",
	Source:     "Balanced incomplete blocks: Yates 1936, from memory; the rank of a two-way layout is that of its graph.",
	FiresOn:    ordersExample("A", "A", "B", "B"),
	ClearOn:    ordersExample("A B", "B A"),
	EachFactor: true,
	Judge:      judgeNotAll,
	Example: func() prose.Sentence {
		strict, generous, true46, true54 := -1.0, 1.0, 5.0, 5.0
		return prose.Say("Two set points are alike, ", amount(true46, "", 1), " both. Strict tasters give 1.0 less and taste one, generous ones give 1.0 more and taste the other: ",
			amount(true46+strict, "", 1), " against ", amount(true54+generous, "", 1), ".")
	},
}

func judgeNotAll(c *Case) Judgement {
	p, ok := c.panel()
	if !ok || len(c.facts.scores) == 0 || !c.Compares() {
		return notApplicable("nobody tasted what is compared")
	}
	people := c.Trial.AssessorIDs()
	at := make(map[string]int, len(people))
	for i, id := range people {
		at[id] = i
	}
	level, who := make([]int, len(c.facts.scores)), make([]int, len(c.facts.scores))
	nameless := 0
	for i, r := range c.facts.scores {
		level[i] = c.level(r.Cook, r.Piece)
		if r.S.Assessor == "" {
			nameless, who[i] = nameless+1, -1
			continue
		}
		who[i] = at[r.S.Assessor]
	}
	if nameless > 0 {
		return cannot("scores.assessor")
	}
	t := tieOf(c.Levels(), len(people), level, who)
	tasted := 0
	for _, part := range t.part {
		if part >= 0 {
			tasted++
		}
	}
	if tasted < 2 {
		return notApplicable("one level was tasted")
	}
	j := Judgement{Outcome: Fires, Severity: Weakens, Where: Where{Measures: names(c.tastedMeasures()), At: p.Scores[0].At},
		Statistic: "empty cells of taster and " + c.factorWords(), Value: quantity.Num(float64(t.empty())), Threshold: quantity.Num(0),
		Fill: Fill{"factor": c.factorWords()}}
	if t.Lost > 0 {
		j.Severity, j.Statistic, j.Value = Blocks, "comparisons lost by rank", quantity.Num(float64(t.Lost))
		j.Where.Pairs = t.labels(c)
		j.Fill["pairs"] = c.partsWords(t)
		return j
	}
	if t.empty() == 0 {
		return clear()
	}
	if p.Plan.Known && p.Plan.V == trial.IncompleteBlocks {
		most, least := t.shared()
		allowed := t.sharedRange()
		if most-least <= allowed {
			return clear()
		}
		j.Variant, j.Statistic, j.Value, j.Threshold = "shared", "range of the numbers of tasters that pairs share", quantity.Num(float64(most-least)), quantity.Num(float64(allowed))
		j.Fill["most"], j.Fill["least"] = count(most), count(least)
		return j
	}
	for i, id := range people {
		if t.cats[i] > 0 && len(t.have(i)) < tasted {
			j.Where.Assessors = append(j.Where.Assessors, id)
		}
	}
	j.Variant = "holes"
	j.Fill["names"] = listWords(c.persons(j.Where.Assessors))
	return j
}

// partsWords names the groups of levels that have no taster in common: "46 °C and
// 50 °C, and 54 °C,".
func (c *Case) partsWords(t tie) prose.Sentence {
	var groups []prose.Sentence
	for part := 0; part <= t.Lost; part++ {
		var levels []int
		for l, in := range t.part {
			if in == part {
				levels = append(levels, l)
			}
		}
		groups = append(groups, c.levelsWords(levels...))
	}
	out := groups[0]
	for _, g := range groups[1:] {
		out = prose.Say(out, ", and ", g)
	}
	return prose.Say(out, ",")
}

// sharedRange is how far the numbers of categories that two levels share may lie
// apart in the most even layout: by one where all levels can occur with equally many
// categories, and by two where they cannot, since two levels with one more each meet
// two with one less.
func (t tie) sharedRange() int {
	met, levels := 0, 0
	for l := range t.n {
		if t.part[l] < 0 {
			continue
		}
		levels++
		for _, n := range t.n[l] {
			if n > 0 {
				met++
			}
		}
	}
	if levels > 0 && met%levels == 0 {
		return 1
	}
	return 2
}

// shared is the largest and the smallest number of categories that two levels
// have in common.
func (t tie) shared() (most, least int) {
	least = -1
	for a := range t.n {
		for b := a + 1; b < len(t.n); b++ {
			if t.part[a] < 0 || t.part[b] < 0 {
				continue
			}
			n := 0
			for cat := range t.cats {
				if t.n[a][cat] > 0 && t.n[b][cat] > 0 {
					n++
				}
			}
			most = max(most, n)
			if least < 0 || n < least {
				least = n
			}
		}
	}
	return most, max(least, 0)
}
