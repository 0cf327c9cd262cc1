package fairness

import (
	"testing"

	"tamis/internal/trial"
)

func TestNotAllTastedAll(t *testing.T) {
	t.Parallel()
	// keeps says which tasters, by place in the alphabet, score a set point.
	keeps := func(of func(who, arm int) bool) func(*trial.Trial) {
		return func(tr *trial.Trial) {
			keepScores(tr, func(s trial.Score) bool {
				who := map[string]int{"anna": 0, "ben": 1, "cleo": 2, "dora": 3, "emil": 4, "freya": 5}[s.Assessor]
				return of(who, int(s.Cook[2]-'1'))
			})
		}
	}
	incomplete := func(of func(who, arm int) bool) func(*trial.Trial) {
		return func(tr *trial.Trial) {
			keeps(of)(tr)
			tr.Panel.V.Plan = trial.Some(trial.IncompleteBlocks)
		}
	}
	outcomes(t, "not-all-tasted-all", []expect{
		{name: "two panels", trial: changed(keeps(func(who, arm int) bool { return (who < 3) == (arm < 2) })), outcome: Fires, severity: Blocks, value: 1,
			says: "46 °C and 50 °C, and 54 °C, were scored by different people"},
		{name: "own tasters each", trial: changed(keeps(func(who, arm int) bool { return who/2 == arm })), outcome: Fires, severity: Blocks, value: 2},
		{name: "one misses one", trial: changed(keeps(func(who, arm int) bool { return who != 0 || arm != 0 })), outcome: Fires, severity: Weakens, value: 1, says: "P1 did not taste every set point"},
		{name: "planned and even", trial: changed(incomplete(func(who, arm int) bool { return who%3 != arm })), outcome: Clear},
		{name: "planned and uneven", trial: changed(incomplete(func(who, arm int) bool { return who == 5 && arm < 2 || who < 5 && arm > 0 })), outcome: Fires, severity: Weakens},
		{name: "all", trial: func(t testing.TB) *trial.Trial { return sound(t) }, outcome: Clear},
		{name: "nameless", trial: changed(func(tr *trial.Trial) { tr.Panel.V.Scores[3].Assessor = "" }), outcome: CannotJudge, missing: "scores.assessor"},
		{name: "no panel", trial: snippet(""), outcome: DoesNotApply},
		{name: "brine has its own tasters", trial: changed(func(tr *trial.Trial) {
			keepScores(tr, func(s trial.Score) bool { return (s.Assessor < "d") == (s.Piece.V[3] == 'a') })
		}), factor: "brine", outcome: Fires, severity: Blocks, value: 1},
	})
}

// Of seven set points twelve tasters get six each. As even as that can be, five are
// missed by two tasters and two by one: two of the five share eight tasters, and the
// two share ten. With fourteen tasters all pairs share equally many.
func TestUnevenByTheNumbersAlone(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ tasters, most, least, allowed int }{{12, 10, 8, 2}, {14, 10, 10, 1}} {
		var level, who []int
		for w := range c.tasters {
			for l := range 7 {
				if w%7 != l {
					level, who = append(level, l), append(who, w)
				}
			}
		}
		x := tieOf(7, c.tasters, level, who)
		if most, least := x.shared(); most != c.most || least != c.least || x.sharedRange() != c.allowed {
			t.Errorf("%d tasters: pairs share %d to %d, allowed %d", c.tasters, least, most, x.sharedRange())
		}
	}
}
