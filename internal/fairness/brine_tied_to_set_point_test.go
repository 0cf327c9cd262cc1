package fairness

import (
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// plainAt takes the brine from the pieces of the cooks that are chosen.
func plainAt(which func(cook int) bool) func(*trial.Trial) {
	return func(tr *trial.Trial) {
		for i := range tr.Cooks {
			if which(i) {
				tr.Cooks[i].Pieces[1].Brine = trial.Some(trial.Brine{Kind: trial.NoBrine})
				tr.Cooks[i].Pieces[1].Brined = trial.Opt[quantity.Mass]{}
			}
		}
	}
}

func TestBrineTiedToSetPoint(t *testing.T) {
	t.Parallel()
	outcomes(t, "brine-tied-to-set-point", []expect{
		{name: "example fires", trial: snippet(brineTiedToSetPoint.FiresOn), outcome: Fires, severity: Blocks, value: 1, says: "Only 52 °C had the 5 % brine"},
		{name: "example clear", trial: snippet(brineTiedToSetPoint.ClearOn), outcome: Clear},
		{name: "all brined at the hottest, none elsewhere", trial: changed(func(tr *trial.Trial) {
			plainAt(func(cook int) bool { return cook%3 != 2 })(tr)
			for i := 2; i < 9; i += 3 {
				tr.Cooks[i].Pieces[0].Brine = tr.Cooks[i].Pieces[1].Brine
			}
		}), outcome: Fires, severity: Blocks, value: 1, says: "Only 54 °C had the 5 % brine. What the brine did and what the set point did"},
		{name: "holes", trial: changed(plainAt(func(cook int) bool { return cook%3 == 0 })), outcome: Fires, severity: Weakens, value: 1, says: "Only 50 °C and 54 °C had"},
		{name: "crossed", trial: func(t testing.TB) *trial.Trial { return sound(t) }, outcome: Clear},
		{name: "all plain", trial: changed(plainAt(func(int) bool { return true })), outcome: Clear},
		{name: "times within a tenth are one brine", trial: changed(func(tr *trial.Trial) {
			tr.Cooks[0].Pieces[1].Brine.V.For = trial.Some(quantity.FromMinutes(21))
		}), outcome: Clear},
		{name: "missing is not none", trial: changed(func(tr *trial.Trial) { tr.Cooks[0].Pieces[0].Brine = trial.Opt[trial.Brine]{} }), outcome: CannotJudge, missing: "cooks.brine"},
		{name: "no brine at all", trial: snippet(""), outcome: DoesNotApply},
	})
}
