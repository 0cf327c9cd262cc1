package fairness

import (
	"slices"

	"tamis/internal/trial"
)

// seat is one sample before one assessor.
type seat struct {
	assessor, session, repeat, code, piece, cook string
	position                                     int
}

// wholeRows puts rows of the score sheet together that are about one sample before
// one assessor and hold different measures, as where each measure has a row of its
// own: what is blank in one of them is not missing. Rows that both score a measure
// stay two, and so does a row that is blank throughout where no place says that it
// is about the same sample.
func wholeRows(scores []trial.Score) []*trial.Score {
	out := make([]*trial.Score, 0, len(scores))
	holes := false
	for i := range scores {
		out = append(out, &scores[i])
		holes = holes || filled(&scores[i]) < len(scores[i].Values)
	}
	if !holes {
		return out
	}
	at := make(map[seat]int, len(scores))
	whole := out[:0]
	for i := range scores {
		s := &scores[i]
		k := seat{s.Assessor, s.Session.V, s.Repeat.V, s.Code.V, s.Piece.V, s.Cook, s.Position.V}
		j, met := at[k]
		if met && supplements(whole[j], s) {
			one := *whole[j]
			one.Values = slices.Clone(one.Values)
			for _, v := range s.Values {
				if have, ok := one.Values.Get(v.Measure); !ok || have.Missing {
					one.Values.Set(v.Measure, v.Reading)
				}
			}
			whole[j] = &one
			continue
		}
		at[k] = len(whole)
		whole = append(whole, s)
	}
	return whole
}

// filled is how many measures a row scores.
func filled(s *trial.Score) int {
	n := 0
	for _, v := range s.Values {
		if !v.Missing {
			n++
		}
	}
	return n
}

// supplements reports whether two rows of one seat score nothing twice, and are left
// out or not for the same reason.
func supplements(a, b *trial.Score) bool {
	if !b.Position.Known && (filled(a) == 0 || filled(b) == 0) || a.LeftOut.V != b.LeftOut.V || leftOut(a) != leftOut(b) {
		return false
	}
	for _, v := range b.Values {
		if have, ok := a.Values.Get(v.Measure); ok && !have.Missing && !v.Missing {
			return false
		}
	}
	return true
}
