package fairness

import (
	"slices"

	"tamis/internal/heat"
	"tamis/internal/safety"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

// Case is what a check sees: the trial, what was computed from it, the compared
// factor, and facts derived once. A check alters none of it.
type Case struct {
	Trial  *trial.Trial
	Heat   *heat.Trial     // nil when it was not computed
	Safety *safety.Result  // nil when it was not judged
	Fit    *texture.Result // nil before the scores
	Stage  Stage
	Factor *Factor // the compared factor; with Levels < 2 nothing is compared
	Claim  *Claim  // how wide a claim may be; nil while that is being found
	// Findings are those of the other families, merged, for the checks of the
	// wording; nil while they are being found.
	Findings []Finding

	set      settings
	facts    *facts
	compared *[]bathRun // what runs gave; nil before it was asked
}

// Factor is one thing whose levels are compared, with the level of every cook
// and piece.
type Factor struct {
	Name   string    // trial.SetPointFactor, brine or a declared factor
	Levels []string  // labels
	Values []float64 // °C or minutes, nil for a category
	Cook   []int     // level of each cook; -1 not stated, Several when its pieces differ
	Piece  [][]int   // level of each piece of each cook; -1 not stated
}

// Several is the level of a cook whose pieces differ.
const Several = -2

// IsSetPoint reports whether the factor is the set point.
func (f *Factor) IsSetPoint() bool { return f.Name == trial.SetPointFactor }

// WithinCooks reports whether the factor varies between pieces of a cook.
func (f *Factor) WithinCooks() bool { return slices.Contains(f.Cook, Several) }

// bathRun is one bath, one set point, one span of time: a cook, or several that were
// one run written down twice.
type bathRun struct {
	Cooks []int
	Level int // of the compared factor
}

// facts are computed once a trial and shared by all checks.
type facts struct {
	factors []*Factor // set point first
	runs    []bathRun // cooks of the set point, joined
	split   [][]int   // groups of cooks that are one run
	// severalDays: the cooks without a session and a date are not of one occasion.
	severalDays bool
	pieces      []pieceRow
	scores      []scoreRow
	cookAt      map[string]int
	heat        *heat.Trial // computed when it was not given

	lazy lazyFacts // filled by the first check that asks
}

// pieceRow is one piece with its cook.
type pieceRow struct {
	Cook, Piece int
	P           *trial.Piece
}

// scoreRow is one line of the score sheet with its cook, and its piece where
// that is known (-1 otherwise).
type scoreRow struct {
	Cook, Piece int
	S           *trial.Score
}

func factsOf(t *trial.Trial, set settings) *facts {
	f := &facts{cookAt: t.CookIndex()}
	n := 0
	for ci := range t.Cooks {
		n += len(t.Cooks[ci].Pieces)
	}
	f.pieces = make([]pieceRow, 0, n)
	for ci := range t.Cooks {
		for pi := range t.Cooks[ci].Pieces {
			f.pieces = append(f.pieces, pieceRow{ci, pi, &t.Cooks[ci].Pieces[pi]})
		}
	}
	if t.Panel.Known {
		f.scores = make([]scoreRow, 0, len(t.Panel.V.Scores))
		for _, s := range wholeRows(t.Panel.V.Scores) {
			ci, ok := f.cookAt[s.Cook]
			if !ok {
				continue
			}
			row := scoreRow{Cook: ci, Piece: -1, S: s}
			if s.Piece.Known {
				for pi := range t.Cooks[ci].Pieces {
					if t.Cooks[ci].Pieces[pi].ID == s.Piece.V {
						row.Piece = pi
					}
				}
			}
			f.scores = append(f.scores, row)
		}
	}
	f.factors = factorsOf(t)
	f.join(t, set)
	return f
}

// factorsOf lists the set point, even where it has one level, and then every
// other factor with two levels or more but time and hold, which have a check of
// their own.
func factorsOf(t *trial.Trial) []*Factor {
	rows := t.Layout()
	index := map[string]trial.Varied{}
	var names []string
	for _, v := range t.VariedFactors(rows) {
		index[v.Name] = v
		if v.Name != trial.SetPointFactor && v.Name != trial.TimeFactor && v.Name != trial.HoldFactor && v.Name != trial.FinishFactor {
			names = append(names, v.Name)
		}
	}
	out := []*Factor{}
	for _, name := range append([]string{trial.SetPointFactor}, names...) {
		v, ok := index[name]
		f := &Factor{Name: name, Levels: v.Levels, Values: v.Values, Cook: make([]int, len(t.Cooks)), Piece: make([][]int, len(t.Cooks))}
		for i := range t.Cooks {
			f.Cook[i] = -1
			f.Piece[i] = make([]int, len(t.Cooks[i].Pieces))
		}
		if !ok { // one set point, or none: every cook with a set point has level 0
			for _, a := range t.Arms() {
				f.Levels = []string{a.Label()}
				f.Values = []float64{a.SetPoint.Celsius()}
				for _, c := range a.Cooks {
					f.Cook[c] = 0
				}
			}
			out = append(out, f)
			continue
		}
		notStated := slices.Index(v.Levels, trial.NotStated)
		seen := make([]bool, len(t.Cooks))
		for i, r := range rows {
			code := v.Code[i]
			if code == notStated {
				code = -1
			}
			if r.Piece >= 0 {
				f.Piece[r.Cook][r.Piece] = code
			}
			switch {
			case !seen[r.Cook]:
				f.Cook[r.Cook], seen[r.Cook] = code, true
			case f.Cook[r.Cook] != code:
				f.Cook[r.Cook] = Several
			}
		}
		if notStated >= 0 {
			f.Levels = slices.Delete(slices.Clone(f.Levels), notStated, notStated+1) // it is always the last
		}
		out = append(out, f)
	}
	return out
}

// Levels is how many levels are compared.
func (c *Case) Levels() int { return len(c.Factor.Levels) }

// Compares reports whether there is anything to compare.
func (c *Case) Compares() bool { return c.Levels() > 1 }

// level of a cook, with pieces that may differ.
func (c *Case) level(cook, piece int) int {
	if piece >= 0 {
		return c.Factor.Piece[cook][piece]
	}
	return c.Factor.Cook[cook]
}

// label names a level of the compared factor.
func (c *Case) label(level int) string { return c.Factor.Levels[level] }

// cookIDs turns indices into ids.
func (c *Case) cookIDs(cooks ...int) []string {
	out := make([]string, len(cooks))
	for i, k := range cooks {
		out[i] = c.Trial.Cooks[k].ID
	}
	return out
}

// runs lists the runs that have one level of the compared factor, in the order
// of the file.
func (c *Case) runs() []bathRun {
	if c.compared != nil {
		return *c.compared
	}
	out := make([]bathRun, 0, len(c.facts.runs))
	for _, r := range c.facts.runs {
		level := c.Factor.Cook[r.Cooks[0]]
		if level >= 0 {
			out = append(out, bathRun{Cooks: r.Cooks, Level: level})
		}
	}
	c.compared = &out
	return out
}

// runsPerLevel counts them.
func (c *Case) runsPerLevel() []int {
	n := make([]int, c.Levels())
	for _, r := range c.runs() {
		n[r.Level]++
	}
	return n
}
