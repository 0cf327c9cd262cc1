package fairness

import (
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

func TestSearHidesSetPoint(t *testing.T) {
	t.Parallel()
	// √(4 · 1.4e-7 m²/s · 45 s) = 5.02 mm; two faces of 25 mm: 0.4016.
	outcomes(t, "sear-hides-set-point", []expect{
		{name: "example fires", trial: snippet(searHidesSetPoint.FiresOn), outcome: Fires, severity: Note, value: 0.4016, says: "about 5 mm from each face, 40 % of the piece"},
		{name: "example clear", trial: snippet(searHidesSetPoint.ClearOn), outcome: Clear},
		{name: "deep", trial: changed(finished(func(int) trial.Opt[trial.Finish] { return seared(60) })), outcome: Fires, severity: Weakens, value: 2 * 5.797 / 18},
		{name: "one face", trial: changed(finished(func(int) trial.Opt[trial.Finish] {
			f := seared(60)
			f.V.PerSide = false
			return f
		})), outcome: Fires, severity: Note, value: 5.797 / 18, says: "from one face"},
		{name: "through and through is the whole piece", trial: changed(finished(func(int) trial.Opt[trial.Finish] { return seared(3600) })), outcome: Fires, severity: Weakens, value: 1},
		{name: "no time", trial: changed(finished(func(int) trial.Opt[trial.Finish] { return trial.Some(trial.Finish{Pan: trial.Some("p1")}) })), outcome: CannotJudge, missing: "finish.sear"},
		{name: "no thickness", trial: changed(func(tr *trial.Trial) {
			finished(func(int) trial.Opt[trial.Finish] { return seared(30) })(tr)
			tr.Food.Thickness = trial.Opt[quantity.Length]{}
			tr.Cooks[0].Pieces[0].Thickness = trial.Opt[quantity.Length]{}
		}), outcome: Fires, severity: Note, value: 2 * 4.0988 / 18},
		{name: "no thickness anywhere", trial: changed(func(tr *trial.Trial) {
			finished(func(int) trial.Opt[trial.Finish] { return seared(30) })(tr)
			tr.Food.Thickness = trial.Opt[quantity.Length]{}
			for i := range tr.Cooks {
				for j := range tr.Cooks[i].Pieces {
					tr.Cooks[i].Pieces[j].Thickness = trial.Opt[quantity.Length]{}
				}
			}
		}), outcome: CannotJudge, missing: "food.thickness"},
		{name: "no sear", trial: func(t testing.TB) *trial.Trial { return sound(t) }, outcome: DoesNotApply},
	})
}
