package fairness

import (
	"math"
	"slices"

	"tamis/internal/diag"
	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/stats/alias"
	"tamis/internal/trial"
)

var missingBySetPoint = Check{
	Slug:   "missing-by-set-point",
	Short:  "blanks",
	Family: Data,
	Stage:  Scored,
	Asks:   "Are there more blanks, lost pieces or broken bags at one set point?",
	Needs:  []string{"panel.scores", "panel.plan", "scores.position", "pieces.lost", "scores.why_missing"},
	Finds: "Blank scores of the primary measure and lost pieces are counted by set point. It fires where Fisher's exact test (Freeman and Halton " +
		"for more than two set points) has p < {missing-p}, or where the shares differ by more than {missing-gap} with two missing or more. It weakens at " +
		"p < 0.005, or where the shares differ by more than twice {missing-gap} as well. It blocks where more than {missing-big} are missing at a set " +
		"point and filling the blanks for the worst (the lowest score of one set point, the highest of the other) turns the sign of the " +
		"difference. More than {uneven} times as many rows at one set point as at another are a note.",
	Clears:   "None of these, where it is known how many rows there should be.",
	Unjudged: "It is not known how many rows there should be: no layout is planned, and the places do not show that none is missing.",
	Why:      "The cold, the broken and the disliked are what is left blank. What is left then flatters that set point.",
	Wording:  "{worst_n} of {worst_of} {what} {are} missing at {worst}, but {best_n} of {best_of} at {best}. The missing ones may be the worst ones.",
	Others: map[string]string{
		"turns":  "{worst_n} of {worst_of} {what} {are} missing at {worst}, and {best_n} of {best_of} at {best}. If those were the worst ones, the difference in {measure} would turn round.",
		"uneven": "{worst} has {worst_n} {what}, {best} only {best_n}. The means are not equally well known.",
	},
	Hedge:      "more is missing at one {factor} than at another",
	Next:       "Write down why a cell is empty, and cook a spare piece at each set point.",
	Eats:       true,
	Fix:        "note-blanks",
	Source:     "Freeman and Halton 1951, Biometrika 38:141, from memory; the limits are house rules.",
	Options:    []string{"missing-p", "missing-gap", "missing-big", "uneven"},
	FiresOn:    "# 46 °C: 5 scores missing of 24; 54 °C: none of 24",
	ClearOn:    "# 46 °C: 1 score missing of 24; 54 °C: 1 of 24",
	EachFactor: true,
	Judge:      judgeMissing,
	Example: func() prose.Sentence {
		// Of 24 pieces that score 4 to 6 evenly, the 6 lowest are left blank.
		full, kept := 0.0, 0.0
		for i := range 24 {
			v := 4 + 2*float64(i)/23
			full += v / 24
			if i >= 6 {
				kept += v / 18
			}
		}
		return prose.Say("24 pieces would score from 4.0 to 6.0, on average ", amount(full, "", 1), ". The 6 that fell apart are left blank, and the rest average ", amount(kept, "", 1), ".")
	},
}

// leastMissing is how many must be missing at the worst level before a
// difference of shares counts.
const leastMissing = 2

// blanks are what is missing and what there is at each level.
type blanks struct {
	what          string // "scores", "pieces"
	missing, have []int
	at            diag.Pos // of the first that is missing
}

func (b blanks) share(l int) float64 {
	return float64(b.missing[l]) / math.Max(1, float64(b.missing[l]+b.have[l]))
}

// ends are the levels with the largest and the smallest share missing.
func (b blanks) ends() (worst, best int) {
	for l := range b.missing {
		if b.share(l) > b.share(worst) {
			worst = l
		}
		if b.share(l) < b.share(best) {
			best = l
		}
	}
	return worst, best
}

func judgeMissing(c *Case) Judgement {
	if !c.Compares() {
		return notApplicable("nothing is compared")
	}
	m, ok := c.primaryMeasure()
	if !ok {
		return notApplicable("nothing is measured")
	}
	lost := c.lostPieces()
	scores, tasted, known := c.blankScores(m)
	if j, ok := c.missingIn(lost, m); ok {
		return j
	}
	if !tasted {
		if len(c.facts.pieces) == 0 {
			return notApplicable("no pieces are listed, and nothing was tasted")
		}
		return clear()
	}
	if j, ok := c.missingIn(scores, m); ok {
		return j
	}
	if !known {
		return cannot("panel.plan")
	}
	return clear()
}

// lostPieces counts the pieces that were lost.
func (c *Case) lostPieces() blanks {
	b := blanks{what: "pieces", missing: make([]int, c.Levels()), have: make([]int, c.Levels())}
	for _, p := range c.facts.pieces {
		l := c.level(p.Cook, p.Piece)
		switch {
		case l < 0:
		case p.P.Lost.Known && p.P.Lost.V != "":
			if b.at.Line == 0 {
				b.at = p.P.At
			}
			b.missing[l]++
		default:
			b.have[l]++
		}
	}
	return b
}

// blankScores counts the scores of a measure that are missing: blank cells, and
// with a complete layout the rows that an assessor has too few of at a level. A
// row that was left out with a reason is there. known says whether the number of
// rows that there should be is known: from a complete layout, or because the places of
// every sitting count through without a gap.
func (c *Case) blankScores(m trial.Measure) (b blanks, tasted, known bool) {
	b = blanks{what: "scores", missing: make([]int, c.Levels()), have: make([]int, c.Levels())}
	rows := map[string][]int{}
	for _, r := range c.facts.scores {
		v, ok := r.S.Values.Get(m.Name)
		l := c.level(r.Cook, r.Piece)
		if !ok || l < 0 {
			continue
		}
		tasted = true
		if rows[r.S.Assessor] == nil {
			rows[r.S.Assessor] = make([]int, c.Levels())
		}
		rows[r.S.Assessor][l]++
		if v.Missing {
			if b.at.Line == 0 {
				b.at = r.S.At
			}
			b.missing[l]++
		} else {
			b.have[l]++
		}
	}
	p := &c.Trial.Panel.V
	// A complete layout says that everybody tastes every cook; which of its pieces,
	// brined or plain, it leaves open.
	if p.Plan.Known && p.Plan.V == trial.Complete && !c.Factor.WithinCooks() {
		// Everybody was to taste as many as whoever tasted most.
		most := make([]int, c.Levels())
		for _, n := range rows {
			for l := range n {
				most[l] = max(most[l], n[l])
			}
		}
		for _, n := range rows {
			for l := range n {
				b.missing[l] += most[l] - n[l]
			}
		}
		return b, tasted, true
	}
	all, unplaced := c.sittings()
	known = len(unplaced) == 0 && len(all) > 0
	for _, s := range all {
		for i, r := range s.rows {
			known = known && r.S.Position.V == i+1
		}
	}
	return b, tasted, known
}

// missingIn judges one count of blanks.
func (c *Case) missingIn(b blanks, m trial.Measure) (Judgement, bool) {
	worst, best := b.ends()
	total := 0
	for _, n := range b.missing {
		total += n
	}
	gap := b.share(worst) - b.share(best)
	limitP, limitGap := c.set.number("missing-p"), c.set.number("missing-gap")
	if limitGap > 1 { // points of a percentage, as the default is typed
		limitGap /= 100
	}
	w := c.whereLevels(worst, best)
	w.Measures = []string{m.Name}
	if b.at.Line > 0 {
		w.At = b.at
	}
	j := Judgement{Outcome: Fires, Severity: Note, Where: w, Fill: Fill{
		"worst": c.levelWords(worst), "best": c.levelWords(best), "worst_n": count(b.missing[worst]), "best_n": count(b.missing[best]), "what": b.what, "are": plural(b.missing[worst], "is", "are"),
		"worst_of": count(b.missing[worst] + b.have[worst]), "best_of": count(b.missing[best] + b.have[best]), "measure": measureWords(m.Name), "factor": c.factorWords()}}
	for l := range b.missing {
		j.Details = append(j.Details, Detail{Name: b.what + " missing at " + c.label(l), Value: quantity.Num(float64(b.missing[l])),
			Words: prose.Say(count(b.missing[l]), " of ", count(b.missing[l]+b.have[l])).Text(quantity.Metric)})
	}
	if total > 0 {
		e, err := alias.ExactTest([][]int{b.missing, b.have}, missingTables, 1)
		if err == nil {
			j.Statistic, j.Value, j.Threshold, j.Option = "p of missing and "+c.factorWords(), quantity.Num(e.P), quantity.Num(limitP), "missing-p"
			big := b.share(worst) > c.set.number("missing-big")
			wide := gap > limitGap && b.missing[worst] >= leastMissing
			switch {
			case big && b.what == "scores" && c.turnsWhenFilled(b, m):
				j.Severity, j.Variant = Blocks, "turns"
				return j, true
			case e.P < weakensBelow || e.P < limitP && gap > 2*limitGap && wide:
				j.Severity = Weakens
				return j, true
			case e.P < limitP || wide:
				return j, true
			}
		}
	}
	most, least := slices.Max(b.have), slices.Min(b.have)
	if uneven := c.set.number("uneven"); least > 0 && float64(most)/float64(least) > uneven {
		worst, best = slices.Index(b.have, most), slices.Index(b.have, least)
		j.Variant, j.Statistic, j.Value, j.Threshold, j.Option = "uneven", "largest over smallest number of "+b.what, quantity.Num(float64(most)/float64(least)), quantity.Num(uneven), "uneven"
		j.Where.Arms = []string{c.label(worst), c.label(best)}
		j.Fill["worst"], j.Fill["best"], j.Fill["worst_n"], j.Fill["best_n"] = c.levelWords(worst), c.levelWords(best), count(most), count(least)
		return j, true
	}
	return Judgement{}, false
}

// missingTables bounds the tables that the exact test visits: it then takes
// milliseconds at the most, and draws beyond.
const missingTables = 5000

// turnsWhenFilled reports whether the difference between the two extreme levels
// changes its sign when the blanks of the higher get its own lowest score, and
// those of the lower its own highest. The reverse filling only widens it.
func (c *Case) turnsWhenFilled(b blanks, m trial.Measure) bool {
	scores := c.scoresByLevel(m)
	high, low := -1, -1
	means := make([]float64, len(scores))
	for l, v := range scores {
		if len(v) == 0 {
			continue
		}
		means[l], _ = meanSS(v)
		if high < 0 || means[l] > means[high] {
			high = l
		}
		if low < 0 || means[l] < means[low] {
			low = l
		}
	}
	if high == low {
		return false
	}
	filled := func(l int, with float64) float64 {
		n := float64(len(scores[l]))
		return (n*means[l] + float64(b.missing[l])*with) / (n + float64(b.missing[l]))
	}
	return filled(high, slices.Min(scores[high])) < filled(low, slices.Max(scores[low]))
}
