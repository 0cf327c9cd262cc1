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
