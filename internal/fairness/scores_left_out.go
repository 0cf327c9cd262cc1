package fairness

import (
	"slices"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/texture"
)

var scoresLeftOut = Check{
	Slug:   "scores-left-out",
	Short:  "scores left out",
	Family: Data,
	Stage:  Scored,
	Asks:   "Were odd scores thrown out after the result was seen?",
	Needs:  []string{"scores.left_out", "left_out_rule", "declared", "panel.key"},
	Finds: "Rows that are marked as left out are counted: any is a note. It weakens when one of them has no reason, when no rule was fixed " +
		"beforehand (left_out_rule, with the day in declared), or when with the rows back in the primary difference changes its sign or its interval gains or loses 0.",
	Clears:   "No row is left out, and every code of the key has its rows.",
	Unjudged: "There is no key, so that rows deleted from the file cannot be seen; or a code of the key has no row.",
	Why:      "Choosing which scores count is choosing the result.",
	Wording:  "{rows} left out ({reasons}).",
	Others: map[string]string{
		"turns":   "{rows} left out ({reasons}). With them the change in {measure} is {with} instead of {without}, and the answer is another one.",
		"no-rule": "{rows} left out ({reasons}), and no rule for that was fixed before the tasting.",
		"no-word": "{rows} left out, not all with a reason.",
	},
	Hedge:   "scores were left out",
	Next:    "Fix the rule before the tasting; keep every row, mark it, and show both results.",
	Fix:     "keep-all-scores",
	Source:  "House rules.",
	FiresOn: "# the score sheet\nscores: |\n  assessor,cook,firmness,left_out\n  anna,A,4,\n  ben,A,9,odd\n  cleo,B,5,",
	ClearOn: "# the score sheet has no row that is left out, and every code of the key has its rows",
	Judge:   judgeScoresLeftOut,
	Example: exampleLeftOut,
}

func judgeScoresLeftOut(c *Case) Judgement {
	p, ok := c.panel()
	if !ok || len(p.Scores) == 0 {
		return notApplicable("nobody scored")
	}
	var reasons, people []string
	var at diag.Pos
	n, bare := 0, false
	for i := range p.Scores {
		s := &p.Scores[i]
		if !leftOut(s) {
			continue
		}
		if n++; n == 1 {
			at = s.At
		}
		word := strings.TrimSpace(s.LeftOut.V)
		if isNoReason(word) {
			bare = true
		} else if !slices.Contains(reasons, word) {
			reasons = append(reasons, word)
		}
		if !slices.Contains(people, s.Assessor) {
			people = append(people, s.Assessor)
		}
	}
	if n == 0 {
		return c.allThere()
	}
	slices.Sort(people)
	j := Judgement{Outcome: Fires, Severity: Note, Statistic: "rows left out", Value: quantity.Num(float64(n)), Threshold: quantity.Num(0),
		Where: Where{Assessors: people, Fields: []string{"scores.left_out"}, At: at},
		Fill:  Fill{"rows": prose.Say(prose.Plural(n, "score"), plural(n, " was", " were")), "reasons": listWords(reasons)}}
	switch with, without, turns := c.backIn(); {
	case bare:
		j.Severity, j.Variant = Weakens, "no-word"
	case turns:
		m, _ := c.primaryMeasure()
		j.Severity, j.Variant = Weakens, "turns"
		j.Where.Measures = []string{m.Name}
		d := shownDigits(with, without)
		j.Fill["measure"], j.Fill["with"], j.Fill["without"] = m.Name, amount(with, m.Unit.V, d), amount(without, m.Unit.V, d)
	case !c.Trial.LeftOutRule.Known || !c.Trial.Declared.Known:
		j.Severity, j.Variant = Weakens, "no-rule"
	}
	return j
}

// isNoReason reports whether a mark in left_out only says that the row is.
func isNoReason(word string) bool {
	return slices.Contains([]string{"yes", "y", "x", "true", "1", "left out", "out"}, strings.ToLower(word))
}

// backIn compares the primary estimate with and without the rows that were left
// out, as the fit found them.
func (c *Case) backIn() (with, without float64, turns bool) {
	m, ok := c.primaryMeasure()
	f := c.fitted(m.Name)
	if !ok || f == nil || f.Sensitivity == nil || len(f.Sensitivity.Analyses) == 0 {
		return 0, 0, false
	}
	head := f.Sensitivity.Analyses[0]
	for _, a := range f.Sensitivity.Analyses {
		if !strings.HasPrefix(a.Name, "left-out scores") {
			continue
		}
		v, ok1 := a.Estimate.Get()
		h, ok2 := head.Estimate.Get()
		if ok1 && ok2 {
			return v, h, v*h < 0 || holdsZero(a) != holdsZero(head)
		}
	}
	return 0, 0, false
}

func holdsZero(a texture.Alternative) bool {
	low, ok1 := a.Low.Get()
	high, ok2 := a.High.Get()
	return !ok1 || !ok2 || low <= 0 && high >= 0
}

// allThere is clear where a key shows that no row went missing.
func (c *Case) allThere() Judgement {
	p := &c.Trial.Panel.V
	if len(p.Key) == 0 {
		return cannot("panel.key")
	}
	seen := map[string]bool{}
	for i := range p.Scores {
		seen[p.Scores[i].Code.V] = true
	}
	var lost []string
	for _, k := range p.Key {
		if !seen[k.Code] {
			lost = append(lost, k.Code)
		}
	}
	if len(lost) > 0 {
		j := cannot("panel.scores", lost...)
		j.Remark = prose.Say("codes of the key without any row: ", listWords(lost))
		return j
	}
	return clear()
}
