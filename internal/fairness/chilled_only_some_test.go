package fairness

import (
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

func TestChilledOnlySome(t *testing.T) {
	t.Parallel()
	chilled := func(of func(cook int) bool, at, minutes func(cook int) float64) func(testing.TB) *trial.Trial {
		return changed(func(tr *trial.Trial) {
			for i := range tr.Cooks {
				tr.Cooks[i].Chill = trial.Some(trial.Chill{Is: of(i)})
				if of(i) && at != nil {
					tr.Cooks[i].Reheat = trial.Some(trial.Reheat{AtTmp: trial.Some(quantity.Celsius(at(i))), For: trial.Some(quantity.FromMinutes(minutes(i)))})
				}
			}
		})
	}
	all := func(int) bool { return true }
	same := func(v float64) func(int) float64 { return func(int) float64 { return v } }
	outcomes(t, "chilled-only-some", []expect{
		{name: "example fires", trial: snippet(chilledOnlySome.FiresOn), outcome: Fires, severity: Blocks, value: 1, says: "58 °C was chilled and warmed up again, the rest not"},
		{name: "example clear", trial: snippet(chilledOnlySome.ClearOn), outcome: Clear},
		{name: "tied", trial: chilled(func(cook int) bool { return cook%3 == 2 }, nil, nil), outcome: Fires, severity: Blocks, value: 1},
		{name: "holes", trial: chilled(func(cook int) bool { return cook == 1 || cook == 2 }, nil, nil), outcome: Fires, severity: Weakens, value: 1, says: "only 50 °C and 54 °C were chilled"},
		{name: "a full second factor", trial: chilled(func(cook int) bool { return cook/3 == 0 }, nil, nil), outcome: Clear},
		{name: "hot reheat", trial: chilled(all, same(48), same(20)), outcome: Fires, severity: Weakens, value: 2, says: "at 48 °C, which is above the lowest set point, 46 °C"},
		{name: "reheat at the lowest", trial: chilled(all, same(46), same(20)), outcome: Clear},
		{name: "long reheats", trial: chilled(all, same(44), func(cook int) float64 { return 20 + 4*float64(cook%3) }), outcome: Fires, severity: Weakens, value: 8},
		{name: "not stated for one", trial: changed(func(tr *trial.Trial) { tr.Cooks[2].Chill = trial.Opt[trial.Chill]{} }), outcome: CannotJudge, missing: "cooks.chilled"},
		{name: "not stated", trial: snippet(""), outcome: Clear, says: "taken for none"},
	})
}
