package texture

import "tamis/internal/trial"

// AssessorMean is the mean of one assessor at one set point: of that assessor's
// own scores only, over all else that was varied.
type AssessorMean struct {
	Arm      string  `json:"arm"`
	SetPoint Number  `json:"set_point"` // °C
	N        int     `json:"n"`         // scores
	Mean     float64 `json:"mean"`
}

// profiles gives each assessor's means by set point, coldest first; a set point
// that an assessor did not score is left out. code are assessors and levels their
// ids. It is nil where the set point is not varied.
func (tb *table) profiles(levels []string, code []int) map[string][]AssessorMean {
	if tb.arms == nil {
		return nil
	}
	k := len(tb.arms.Levels)
	sums, counts := make([]float64, len(levels)*k), make([]int, len(levels)*k)
	for i, a := range code {
		if x := tb.arms.Code[i]; a >= 0 && x >= 0 {
			sums[a*k+x] += tb.y[i]
			counts[a*k+x]++
		}
	}
	out := map[string][]AssessorMean{}
	for a, id := range levels {
		for x, arm := range tb.arms.Levels {
			if n := counts[a*k+x]; n > 0 {
				out[id] = append(out[id], AssessorMean{Arm: arm, SetPoint: tb.valueOf(x), N: n, Mean: sums[a*k+x] / float64(n)})
			}
		}
	}
	return out
}

// valueOf is the set point of a level in °C.
func (tb *table) valueOf(level int) Number {
	if tb.arms.Name == trial.SetPointFactor && level < len(tb.arms.Values) {
		return num(tb.arms.Values[level])
	}
	return absent("not a set point")
}
