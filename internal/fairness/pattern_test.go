package fairness

import (
	"strings"
	"testing"
)

// Every pattern is one: a faulty one would panic here, not in front of a user.
func TestPatternsCompile(t *testing.T) {
	t.Parallel()
	if len(patterns) < 10 {
		t.Errorf("only %d patterns are known", len(patterns))
	}
	for _, p := range patterns {
		if p() == nil {
			t.Error("a pattern is nothing")
		}
	}
}

// No list turns a text away that its pattern finds something in: in whatever case,
// between whatever marks, and with the letters that a pattern takes for others.
func TestBeginningsTurnNothingAway(t *testing.T) {
	t.Parallel()
	var texts []string
	for _, c := range catalogue {
		texts = append(texts, sentencesOf(c.Wording, c.Why, c.Asks, c.Next, c.Finds, c.FiresOn, c.ClearOn)...)
	}
	lists := []phrases{safeList, peopleList, fineList, storeList, riskPhrases, certainWords, certainPhrases, confirmedWords, causeWords, presentTense}
	found, away := 0, 0
	for _, p := range lists {
		own := texts
		for _, words := range p.begins.words {
			for _, w := range words {
				own = append(own, w, strings.ToUpper(w)+" it", "é"+w+"…", "(“"+w+"”)", "x "+strings.ReplaceAll(strings.ReplaceAll(w, "k", "\u212a"), "s", "\u017f"))
			}
		}
		for _, text := range own {
			in := p.begins.in(text)
			if !in {
				away++
			}
			if len(allOf(p.re, text)) == 0 {
				continue
			}
			found++
			if !in {
				t.Errorf("%q is turned away", text)
			}
		}
	}
	if found < 100 || away < 1000 {
		t.Errorf("%d texts found, %d turned away: this tests nothing", found, away)
	}
}

func sentencesOf(texts ...string) (out []string) {
	for _, text := range texts {
		for _, s := range sentences(text) {
			out = append(out, s.text)
		}
	}
	return out
}
