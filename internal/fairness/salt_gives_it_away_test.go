package fairness

import (
	"testing"

	"tamis/internal/trial"
)

// salted adds to the saltiness of the brined pieces, and a share of it to a measure.
func salted(points, share float64, measure string) func(*trial.Trial) {
	return func(tr *trial.Trial) {
		for i := range tr.Panel.V.Scores {
			s := &tr.Panel.V.Scores[i]
			if s.Piece.V[3] == 'b' {
				v, w := s.Values.Of("saltiness"), s.Values.Of(measure)
				v.V += points
				w.V += share * points
				s.Values.Set("saltiness", v)
				s.Values.Set(measure, w)
			}
		}
	}
}

func TestSaltGivesItAway(t *testing.T) {
	t.Parallel()
	likingFirst := func(change func(*trial.Trial)) func(testing.TB) *trial.Trial {
		return changed(func(tr *trial.Trial) {
			tr.Aims[0].Measure = "liking"
			change(tr)
		})
	}
	outcomes(t, "salt-gives-it-away", []expect{
		{name: "salty and liked", trial: likingFirst(salted(3, 0.7, "liking")), stage: Scored, outcome: Fires, severity: Weakens, about: AboutBrine, says: "saltier pieces scored higher on liking"},
		{name: "salty and disliked", trial: likingFirst(salted(3, -0.7, "liking")), stage: Scored, outcome: Fires, severity: Weakens, says: "scored lower on liking"},
		{name: "salty and liked, below what the set points do", trial: likingFirst(func(tr *trial.Trial) {
			salted(3, 0.7, "liking")(tr)
			for i := range tr.Panel.V.Scores {
				s := &tr.Panel.V.Scores[i]
				v := s.Values.Of("liking")
				v.V += 8 * float64(s.Cook[2]-'1')
				s.Values.Set("liking", v)
			}
		}), stage: Scored, outcome: Fires, severity: Weakens, says: "saltier pieces scored higher on liking"},
		{name: "salty, liking does not follow", trial: likingFirst(salted(3, 0, "liking")), stage: Scored, outcome: Clear},
		{name: "not salty", trial: func(t testing.TB) *trial.Trial { return sound(t) }, stage: Scored, outcome: Clear},
		{name: "no measure of salt", trial: swapped(", role: salt", ""), stage: Scored, outcome: CannotJudge, missing: "measures.role"},
		{name: "five tasters", trial: changed(func(tr *trial.Trial) { onlyTasters(tr, 5) }), stage: Scored, outcome: CannotJudge, few: "assessors"},
		{name: "nothing brined", trial: changed(plainAt(func(int) bool { return true })), stage: Scored, outcome: DoesNotApply},
	})
}

// onlyTasters keeps the first n tasters of the sheet.
func onlyTasters(tr *trial.Trial, n int) {
	keep := map[string]bool{}
	for _, id := range tr.AssessorIDs()[:n] {
		keep[id] = true
	}
	keepScores(tr, func(s trial.Score) bool { return keep[s.Assessor] })
}

func keepScores(tr *trial.Trial, keep func(trial.Score) bool) {
	var out []trial.Score
	for _, s := range tr.Panel.V.Scores {
		if keep(s) {
			out = append(out, s)
		}
	}
	tr.Panel.V.Scores = out
}
