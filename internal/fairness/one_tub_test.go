package fairness

import (
	"testing"

	"tamis/internal/trial"
)

// tubs names the tub of each brined piece by session.
func tubs(names ...string) func(*trial.Trial) {
	return func(tr *trial.Trial) {
		for i := range tr.Cooks {
			b := &tr.Cooks[i].Pieces[1].Brine.V
			b.Tub = trial.Opt[string]{}
			if n := names[i/3]; n != "" {
				b.Tub = trial.Some(n)
			}
		}
	}
}

func TestOneTub(t *testing.T) {
	t.Parallel()
	outcomes(t, "one-tub", []expect{
		{name: "example fires", trial: snippet(oneTub.FiresOn), outcome: Fires, severity: Blocks, value: 1, about: AboutBrine, says: "All 3 pieces in the 6 % brine shared one tub"},
		{name: "example clear", trial: snippet(oneTub.ClearOn), outcome: Clear},
		{name: "one", trial: changed(tubs("t", "t", "t")), outcome: Fires, severity: Blocks, value: 1},
		{name: "two", trial: changed(tubs("t", "u", "u")), outcome: Fires, severity: Weakens, value: 2, says: "9 pieces in the 5 % brine shared 2 tubs"},
		{name: "three", trial: changed(tubs("t", "u", "v")), outcome: Clear},
		{name: "not named", trial: changed(tubs("t", "", "u")), outcome: CannotJudge, missing: "brine.tub"},
		{name: "dry salt", trial: changed(func(tr *trial.Trial) {
			for i := range tr.Cooks {
				tr.Cooks[i].Pieces[1].Brine.V.Kind = trial.DryBrine
			}
		}), outcome: DoesNotApply},
		{name: "no brine", trial: func(testing.TB) *trial.Trial { return &trial.Trial{} }, outcome: DoesNotApply},
	})
}
