package texture

import "tamis/internal/trial"

// UnitMean is the mean of one unit of one measure: a row of the data that the
// headline test of a factor is computed from.
type UnitMean struct {
	Measure string
	Unit    string // cook, piece, session, block, source, tub or score
	Row     int    // the first of its rows, left-out rows not counted
	Obs     int    // numbers behind the mean
	Mean    float64
	// Adjusted says that the units were not looked at alike, and that the mean is
	// an estimate with assessors and inner factors evened out.
	Adjusted bool
	// Levels are the levels of the factors that the unit has one of.
	Levels map[string]string
	// Blocks are the groupings that the unit lies in and that are removed before
	// it is compared: session, block, cook, "cook and source".
	Blocks map[string]string
	// Observation is that row, for whoever needs cook, piece or source.
	Observation trial.Observation
}

// Observed collects the numbers of every measure that Analyse reports: those of
// the file, in its order, each followed by what is derived from it.
func Observed(t *trial.Trial) []trial.Observed {
	var out []trial.Observed
	for _, m := range t.Measures {
		out = append(out, t.Observe(m))
		if _, o, ok := onBrined(t, m); ok {
			out = append(out, o)
		}
	}
	return out
}

// UnitMeans gives the means that the headline tests of a measure are computed
// from, for each unit of its factors, the coarsest unit first. A measure
// without numbers or without a varied factor has none.
func UnitMeans(t *trial.Trial, o trial.Observed) []UnitMean {
	m := o.Measure
	tb := tableOf(t, m, o)
	var out []UnitMean
	for _, by := range tb.strata() {
		if by == trial.ByScore {
			continue // the numbers themselves
		}
		ut := tb.unitTableOf(t.UnitRows(by, tb.rows), tb.blocksOf(by))
		first := make([]int, len(ut.y))
		for i := len(ut.unit.Code) - 1; i >= 0; i-- {
			if c := ut.unit.Code[i]; c >= 0 {
				first[c] = i
			}
		}
		for u, y := range ut.y {
			row := UnitMean{Measure: m.Name, Unit: string(by), Row: first[u], Obs: ut.obs[u], Mean: y, Adjusted: ut.adjusted,
				Levels: map[string]string{}, Blocks: map[string]string{}, Observation: tb.rows[first[u]]}
			for _, f := range ut.factors {
				if c := f.Code[u]; c >= 0 {
					row.Levels[f.Name] = f.Levels[c]
				}
			}
			for _, b := range ut.blocks {
				if c := b.Code[u]; c >= 0 {
					row.Blocks[string(b.By)] = b.Levels[c]
				}
			}
			out = append(out, row)
		}
	}
	return out
}
