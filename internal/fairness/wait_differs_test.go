package fairness

import (
	"testing"

	"tamis/internal/trial"
)

// servedAfter sets the minutes between out and served of each cook by set point.
func servedAfter(minutes ...int) func(*trial.Trial) {
	return func(tr *trial.Trial) {
		for i := range tr.Cooks {
			k := &tr.Cooks[i]
			k.Served = trial.Some(trial.Clock{Minute: (k.Out.V.Minute + minutes[i%3]) % 1440})
		}
	}
}

func TestWaitDiffers(t *testing.T) {
	t.Parallel()
	outcomes(t, "wait-differs", []expect{
		{name: "example fires", trial: snippet(waitDiffers.FiresOn), outcome: Fires, severity: Weakens, value: 6, says: "The 63 °C pieces waited 6 min longer"},
		{name: "example clear", trial: snippet(waitDiffers.ClearOn), outcome: Clear},
		{name: "note", trial: changed(servedAfter(5, 8, 5)), outcome: Fires, severity: Note, value: 3, says: "The 50 °C pieces waited 3 min longer"},
		{name: "clear", trial: changed(servedAfter(5, 7, 6)), outcome: Clear},
		{name: "over midnight", trial: changed(func(tr *trial.Trial) {
			for i := range tr.Cooks {
				tr.Cooks[i].Out = trial.Some(trial.Clock{Minute: 1438})
			}
			servedAfter(5, 5, 5)(tr)
		}), outcome: Clear},
		{name: "served before it was out", trial: changed(func(tr *trial.Trial) {
			tr.Cooks[0].Served = trial.Some(trial.Clock{Minute: tr.Cooks[0].Out.V.Minute - 30})
		}), outcome: CannotJudge, missing: "cooks.served"},
		{name: "out not known", trial: changed(func(tr *trial.Trial) { tr.Cooks[0].Out = trial.Opt[trial.Clock]{} }), outcome: CannotJudge, missing: "cooks.out"},
		{name: "the sheet has the clock", trial: changed(func(tr *trial.Trial) {
			for i := range tr.Cooks {
				tr.Cooks[i].Served = trial.Opt[trial.Clock]{}
			}
			index := tr.CookIndex()
			for i := range tr.Panel.V.Scores {
				s := &tr.Panel.V.Scores[i]
				k := &tr.Cooks[index[s.Cook]]
				s.Clock = trial.Some(trial.Clock{Minute: k.Out.V.Minute + map[byte]int{'1': 4, '2': 4, '3': 12}[s.Cook[2]]})
			}
		}), outcome: Fires, severity: Weakens, value: 8},
		{name: "within cooks by brine", trial: changed(func(tr *trial.Trial) {
			for i := range tr.Cooks {
				k := &tr.Cooks[i]
				k.Pieces[1].Served = trial.Some(trial.Clock{Minute: k.Served.V.Minute + 6})
			}
		}), factor: "brine", outcome: Fires, severity: Weakens, value: 6},
		{name: "one arm", trial: snippet("cooks: [{id: A, set_point: 46 °C, out: 12:00, served: 12:03}]"), outcome: DoesNotApply},
	})
}
