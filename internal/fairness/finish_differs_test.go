package fairness

import (
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// finished gives each cook a finish.
func finished(of func(cook int) trial.Opt[trial.Finish]) func(*trial.Trial) {
	return func(tr *trial.Trial) {
		for i := range tr.Cooks {
			tr.Cooks[i].Finish = of(i)
		}
	}
}

func seared(seconds float64) trial.Opt[trial.Finish] {
	return trial.Some(trial.Finish{Sear: trial.Some(quantity.FromSeconds(seconds)), PerSide: true})
}

var unfinished = trial.Some(trial.Finish{None: true})

func withPan(f trial.Opt[trial.Finish], pan string, celsius float64) trial.Opt[trial.Finish] {
	f.V.Pan = trial.Some(pan)
	if celsius > 0 {
		f.V.PanAt = trial.Some(quantity.Celsius(celsius))
	}
	return f
}

func TestFinishDiffers(t *testing.T) {
	t.Parallel()
	outcomes(t, "finish-differs", []expect{
		{name: "example fires", trial: snippet(finishDiffers.FiresOn), outcome: Fires, severity: Blocks, value: 1, says: "The 56 °C pieces were finished differently from the rest: seared"},
		{name: "example clear", trial: snippet(finishDiffers.ClearOn), outcome: Clear},
		{name: "holes", trial: changed(finished(func(cook int) trial.Opt[trial.Finish] {
			if cook%3 == 2 && cook > 2 || cook == 1 {
				return seared(30)
			}
			return unfinished
		})), outcome: Fires, severity: Note, value: 1, says: "Only the 50 °C and 54 °C pieces were seared"},
		{name: "longer when hotter", trial: changed(finished(func(cook int) trial.Opt[trial.Finish] { return seared(30 + 4*float64(cook%3)) })), outcome: Fires, severity: Weakens, value: 8,
			says: "The 54 °C pieces were seared for 38 s a side, the 46 °C ones for 30 s"},
		{name: "loose", trial: changed(finished(func(cook int) trial.Opt[trial.Finish] {
			return seared([]float64{20, 40, 30, 30, 20, 40, 41, 31, 21}[cook])
		})), outcome: Fires, severity: Weakens, value: 8.4157, says: "scatter by 8 s"},
		{name: "two times, crossed", trial: changed(finished(func(cook int) trial.Opt[trial.Finish] { return seared([]float64{20, 40, 40}[cook/3]) })), outcome: Clear},
		{name: "hotter pan", trial: changed(finished(func(cook int) trial.Opt[trial.Finish] {
			return withPan(seared(30), "p1", 200+20*float64(cook%3))
		})), outcome: Fires, severity: Weakens, value: 40, says: "at 240 °C for the 54 °C pieces"},
		{name: "one pan in turn", trial: changed(finished(func(int) trial.Opt[trial.Finish] { return withPan(seared(30), "p1", 0) })), outcome: Fires, severity: Note, value: 3,
			says: "One pan, p1, served 46 °C, 50 °C and 54 °C in turn"},
		{name: "a pan for each", trial: changed(finished(func(cook int) trial.Opt[trial.Finish] {
			return withPan(seared(30), string(rune('p'+cook%3)), 0)
		})), outcome: Clear},
		{name: "not stated for one", trial: changed(func(tr *trial.Trial) { tr.Cooks[3].Finish = trial.Opt[trial.Finish]{} }), outcome: CannotJudge, missing: "cooks.finish"},
		{name: "not stated", trial: snippet(""), outcome: DoesNotApply},
	})
}
