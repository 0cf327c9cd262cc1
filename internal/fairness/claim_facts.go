package fairness

import (
	"math"
	"slices"

	"tamis/internal/stats/dist"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

func abs(v float64) float64 { return math.Abs(v) }

func excludesZero(d *texture.Difference) bool {
	low, ok := d.Low.Get()
	high, ok2 := d.High.Get()
	return ok && ok2 && (low > 0 || high < 0)
}

func samePair(a, b *texture.Difference) bool {
	return a.A == b.A && a.B == b.B || a.A == b.B && a.B == b.A
}

// armsOf gives the levels of a difference, or every level for nil.
func (l *ladder) armsOf(d *texture.Difference) []int {
	var out []int
	for i, label := range l.c.Factor.Levels {
		if d == nil || label == d.A || label == d.B {
			out = append(out, i)
		}
	}
	return out
}

// runs is the smallest number of runs of the arms compared.
func (l *ladder) runs(d *texture.Difference) int {
	n := l.c.runsPerLevel()
	least := math.MaxInt
	for _, a := range l.armsOf(d) {
		least = min(least, n[a])
	}
	if least == math.MaxInt {
		return 0
	}
	return least
}

// assessors counts those who scored two arms or more; talking made them one.
func (l *ladder) assessors(m *texture.Measure) int {
	n := len(l.tasters(m, nil))
	if p := l.c.Trial.Panel; p.Known && p.V.Together.V && n > 1 {
		return 1
	}
	return n
}

// tasters lists who scored at least two arms of a measure, among those of kind.
func (l *ladder) tasters(m *texture.Measure, kind func(trial.Assessor) bool) []string {
	arms := map[string]map[int]bool{}
	for _, s := range l.c.facts.scores {
		v, ok := s.S.Values.Get(m.Name)
		level := l.c.level(s.Cook, s.Piece)
		if !ok || v.Missing || level < 0 {
			continue
		}
		if arms[s.S.Assessor] == nil {
			arms[s.S.Assessor] = map[int]bool{}
		}
		arms[s.S.Assessor][level] = true
	}
	var out []string
	for id, a := range arms {
		if len(a) > 1 && (kind == nil || slices.ContainsFunc(l.c.Trial.Panel.V.Assessors, func(x trial.Assessor) bool { return x.ID == id && kind(x) })) {
			out = append(out, id)
		}
	}
	slices.Sort(out)
	return out
}

func (l *ladder) consumerCount() int {
	m := l.primary()
	if m == nil {
		return 0
	}
	return len(l.tasters(m, func(a trial.Assessor) bool { return a.Kind.V == trial.Consumer }))
}

// severalParts reports whether any source gave two pieces or more.
func (l *ladder) severalParts() bool {
	n := map[string]int{}
	for _, p := range l.c.facts.pieces {
		if p.P.Source.Known {
			if n[p.P.Source.V]++; n[p.P.Source.V] > 1 {
				return true
			}
		}
	}
	return false
}

// between reports whether a difference test compared the two arms.
func (l *ladder) between(t texture.DiffTest, d *texture.Difference) bool {
	if len(t.Between) != 2 {
		return false
	}
	var arms []string
	for _, id := range t.Between {
		if ci, ok := l.c.facts.cookAt[id]; ok && l.c.Factor.Cook[ci] >= 0 {
			arms = append(arms, l.c.label(l.c.Factor.Cook[ci]))
		}
	}
	return len(arms) == 2 && slices.Contains(arms, d.A) && slices.Contains(arms, d.B)
}

// piecesDiffer tests two arms on their pieces (Student's t with the pooled
// variance, two-sided, 5 %), for measures that nobody tasted; ok is false where
// an arm has fewer than three pieces. Without a pair the two extreme arms are
// compared.
func (l *ladder) piecesDiffer(m *texture.Measure, d *texture.Difference) (differ, ok bool) {
	values := make([][]float64, l.c.Levels())
	tm, found := l.c.Trial.MeasureNamed(m.Name)
	if !found {
		return false, false
	}
	for _, o := range l.c.Trial.Observe(tm).Rows {
		if level := l.c.level(o.Cook, o.Piece); level >= 0 && !o.LeftOut && o.Piece >= 0 {
			values[level] = append(values[level], o.Value)
		}
	}
	arms := l.armsOf(d)
	if d == nil && len(arms) > 1 {
		arms = []int{slices.MinFunc(arms, byMean(values)), slices.MaxFunc(arms, byMean(values))}
	}
	if len(arms) != 2 || len(values[arms[0]]) < 3 || len(values[arms[1]]) < 3 {
		return false, false
	}
	a, b := values[arms[0]], values[arms[1]]
	ma, sa := meanSS(a)
	mb, sb := meanSS(b)
	df := float64(len(a) + len(b) - 2)
	se := math.Sqrt((sa + sb) / df * (1/float64(len(a)) + 1/float64(len(b))))
	q, err := dist.TQuantile(0.975, df)
	return err == nil && se > 0 && abs(ma-mb) > q*se, true
}

func byMean(values [][]float64) func(a, b int) int {
	return func(a, b int) int {
		ma, _ := meanSS(values[a])
		mb, _ := meanSS(values[b])
		switch {
		case ma < mb:
			return -1
		case ma > mb:
			return 1
		}
		return 0
	}
}

// meanSS is the mean and the sum of squares about it; 0 and 0 for nothing.
func meanSS(v []float64) (mean, ss float64) {
	if len(v) == 0 {
		return 0, 0
	}
	for _, x := range v {
		mean += x
	}
	mean /= float64(len(v))
	for _, x := range v {
		ss += (x - mean) * (x - mean)
	}
	return mean, ss
}

// holdsWindow reports whether the aims hold somewhere more likely than not.
func (l *ladder) holdsWindow() bool {
	for i := range l.c.Fit.Windows {
		w := &l.c.Fit.Windows[i]
		if top, ok := w.Mean.Top.Get(); ok && w.Headline && w.Cannot == "" && top >= l.c.set.number("likely") {
			return true
		}
	}
	return false
}

// same reports whether the 90 % interval of a difference lies within the margin
// that was fixed beforehand.
func (l *ladder) same(m *texture.Measure, d *texture.Difference) bool {
	tm, ok := l.c.Trial.MeasureNamed(m.Name)
	e, ok1 := d.Estimate.Get()
	se, ok2 := d.SE.Get()
	df, ok3 := d.DF.Get()
	if !ok || !tm.SameWithin.Known || !ok1 || !ok2 || !ok3 || df <= 0 || !l.c.Trial.Declared.Known {
		return false
	}
	q, err := dist.TQuantile(0.95, df)
	return err == nil && e-q*se > -tm.SameWithin.V && e+q*se < tm.SameWithin.V
}
