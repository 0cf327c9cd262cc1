package texture

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats/frame"
	"tamis/internal/stats/multiple"
	"tamis/internal/trial"
)

const coversBelow = "pieces and tasters only"

// family is a set of means with their covariance: one per level of a factor.
type family struct {
	arms []Arm
	mean []float64
	cov  [][]float64
	df   float64
	ok   bool // means have standard errors
}

// levelMeans gives the mean of each level of a factor from the stratum of its
// unit: estimated by blocks and main effects, averaged equally over blocks and
// other factors, and judged by the error of the stratum's test, so that the
// difference of two levels and the F of the factor are one statement. Where the
// stratum has no error left, the means stand with intervals that cover what lies
// below the unit only, and say so.
func (tb *table) levelMeans(f trial.Varied, s *stratum, level float64) family {
	fam := family{arms: tb.bareArms(f)}
	if !fam.estimate(f, s, level) {
		fam = family{arms: tb.bareArms(f)}
		tb.belowUnit(&fam, f, level)
	}
	return fam
}

// estimate fills means, standard errors and their covariance; false when the
// stratum cannot give them.
func (fam *family) estimate(f trial.Varied, s *stratum, level float64) bool {
	if s == nil || s.err != nil || s.fit == nil || s.fit.DF == 0 {
		return false
	}
	mains := s.mains()
	if mains == nil {
		return false
	}
	means, err := mains.matrix.Means(frame.MeansSpec{By: []string{f.Name}})
	if err != nil {
		return false
	}
	cov, err := mains.fit.Covariance()
	if err != nil {
		return false
	}
	// The estimates are those of the main effects; the error is that of the test.
	ratio := 0.0
	if mains.fit.Sigma > 0 {
		ratio = s.fit.Sigma / mains.fit.Sigma
	}
	k := len(f.Levels)
	fam.mean, fam.df, fam.ok = make([]float64, k), float64(s.fit.DF), true
	quantile, err := tQuantile(level, fam.df)
	if err != nil {
		return false
	}
	for a := range k {
		arm := &fam.arms[a]
		if s.exact && mains.fit.Estimable(means.L.RawRowView(a)) {
			fam.ok, fam.mean[a] = false, valueOf(mains.fit, means.L.RawRowView(a))
			arm.Mean, arm.DF, arm.Covers = num(fam.mean[a]), num(fam.df), plural(string(s.by))
			arm.noSpread(s.alike())
			continue
		}
		est, err := mains.fit.Estimate(means.L.RawRowView(a), level)
		if err != nil {
			arm.noMean(plain(err))
			fam.ok = false
			continue
		}
		fam.mean[a] = est.Value
		arm.Mean, arm.DF = num(est.Value), num(fam.df)
		arm.Covers = plural(string(s.by))
		if se := est.SE * ratio; s.fit.Sigma > 0 && se > 0 {
			arm.SE, arm.Low, arm.High = num(se), num(est.Value-quantile*se), num(est.Value+quantile*se)
		} else {
			arm.noSpread(s.alike())
			fam.ok = false
		}
	}
	fam.cov = quadraticForms(means.L, cov, ratio*ratio)
	return true
}

// quadraticForms is scale·L·V·L'.
func quadraticForms(l *mat.Dense, v *mat.SymDense, scale float64) [][]float64 {
	var lv, lvl mat.Dense
	lv.Mul(l, v)
	lvl.Mul(&lv, l.T())
	n, _ := lvl.Dims()
	out := make([][]float64, n)
	for i := range out {
		out[i] = make([]float64, n)
		for j := range out[i] {
			out[i][j] = scale * lvl.At(i, j)
		}
	}
	return out
}

// bareArms counts units and numbers of each level, without a mean.
func (tb *table) bareArms(f trial.Varied) []Arm {
	unit := tb.units[f.Name].Groups
	out := make([]Arm, len(f.Levels))
	for a := range out {
		arm := &out[a]
		arm.Arm, arm.Term = f.Levels[a], f.Name
		arm.SetPoint = absent("not a set point")
		if f.Name == trial.SetPointFactor {
			arm.SetPoint = num(f.Values[a])
		}
		seen := map[int]bool{}
		var sum float64
		for i, c := range f.Code {
			if c != a {
				continue
			}
			arm.Obs++
			sum += tb.y[i]
			seen[unit.Code[i]] = true
		}
		arm.N = len(seen)
		if arm.Obs > 0 {
			arm.RawMean = sum / float64(arm.Obs)
		}
		arm.noMean("not estimated")
	}
	return out
}

func (a *Arm) noMean(why string) {
	a.Mean = absent(why)
	a.noSpread(why)
	a.DF = absent(why)
}

func (a *Arm) noSpread(why string) { a.SE, a.Low, a.High = absent(why), absent(why), absent(why) }

// belowUnit fills means whose unit was not repeated. Their spread is that of
// the pieces, or else of the tasters, within the level: an answer about these
// cooks, never about the set point.
func (tb *table) belowUnit(fam *family, f trial.Varied, level float64) {
	below := tb.groups[string(trial.ByPiece)]
	if !usable(below) || !repeatsWithin(below.Code, f.Code, len(f.Levels)) {
		below = tb.groups[byAssessor]
	}
	mean, count, ss, df := tb.withinLevel(f, below)
	for a := range fam.arms {
		arm := &fam.arms[a]
		if arm.Obs == 0 {
			continue
		}
		arm.Covers = coversBelow
		arm.Mean = num(mean[a])
		if df < 1 {
			arm.DF = absent("nothing was repeated")
			arm.noSpread("nothing was repeated, so there is no spread to see")
			continue
		}
		if onlyRounding(ss, mean) {
			arm.DF = num(float64(df))
			arm.noSpread("the repeats within a cook do not differ at all")
			continue
		}
		se := math.Sqrt(ss / float64(df) / float64(count[a]))
		arm.DF, arm.SE = num(float64(df)), num(se)
		if q, err := tQuantile(level, float64(df)); err == nil {
			arm.Low, arm.High = num(mean[a]-q*se), num(mean[a]+q*se)
		}
	}
}

// withinLevel averages to one number a group, then to each level, and pools
// the spread of the groups within levels.
func (tb *table) withinLevel(f trial.Varied, g trial.Groups) (mean []float64, count []int, ss float64, df int) {
	k := len(f.Levels)
	mean, count = make([]float64, k), make([]int, k)
	var code []int
	if usable(g) {
		code, _ = product(f.Code, g.Code)
	} else {
		code = append([]int(nil), f.Code...)
	}
	type cell struct {
		sum   float64
		n     int
		level int
	}
	var cells []cell
	index := map[int]int{}
	for i, c := range code {
		if c < 0 {
			continue
		}
		j, ok := index[c]
		if !ok {
			j = len(cells)
			index[c] = j
			cells = append(cells, cell{level: f.Code[i]})
		}
		cells[j].sum += tb.y[i]
		cells[j].n++
	}
	for _, c := range cells {
		mean[c.level] += c.sum / float64(c.n)
		count[c.level]++
	}
	for a := range mean {
		if count[a] > 0 {
			mean[a] /= float64(count[a])
			df += count[a] - 1
		}
	}
	for _, c := range cells {
		d := c.sum/float64(c.n) - mean[c.level]
		ss += d * d
	}
	return mean, count, ss, df
}

// repeatsWithin reports whether some level holds two groups.
func repeatsWithin(group, level []int, k int) bool {
	first := make([]int, k)
	for i := range first {
		first[i] = -1
	}
	for i, l := range level {
		if l < 0 {
			continue
		}
		if first[l] < 0 {
			first[l] = group[i]
		} else if first[l] != group[i] {
			return true
		}
	}
	return false
}

// compareLevels gives the differences of the means, all pairs by Tukey's
// procedure or each against a control by Dunnett's, and puts the letters of
// both procedures on the arms.
func compareLevels(fam *family, term string, control int, level float64) []Difference {
	if !fam.ok || len(fam.mean) < 2 {
		return nil
	}
	if len(fam.mean) > mostLevels {
		return fam.againstControl(term, control, level)
	}
	pairs, err := multiple.Pairs(fam.mean, fam.cov, []float64{fam.df})
	if err != nil {
		return nil
	}
	tukey, err := multiple.Compare(multiple.Tukey, pairs, multiple.Options{Level: level, Means: len(fam.mean)})
	if err != nil {
		return nil
	}
	lsd, err := multiple.Compare(multiple.None, pairs, multiple.Options{Level: level})
	if err != nil {
		return nil
	}
	fam.letters(tukey, level, func(a *Arm, s string) { a.Letters = s })
	fam.letters(lsd, level, func(a *Arm, s string) { a.LSD = s })
	return append(fam.differences(tukey, term, "tukey"), fam.againstControl(term, control, level)...)
}

// mostLevels bounds the table of all pairs: sixty levels have 1770, more than
// anybody reads. A house rule.
const mostLevels = 60

// tooMany says that a factor has no table of all pairs.
func tooMany(f trial.Varied) *Cannot {
	if len(f.Levels) <= mostLevels {
		return nil
	}
	return &Cannot{What: "differences:" + f.Name, Why: fmt.Sprintf("%d levels are too many for all pairs", len(f.Levels)),
		Need: "declare a control to compare with"}
}

// againstControl gives the differences from a control by Dunnett's procedure.
func (fam *family) againstControl(term string, control int, level float64) []Difference {
	if control < 0 {
		return nil
	}
	cs, corr, err := multiple.AgainstControl(fam.mean, fam.cov, control, []float64{fam.df})
	if err != nil {
		return nil
	}
	d, err := multiple.Compare(multiple.Dunnett, cs, multiple.Options{Level: level, Correlation: corr})
	if err != nil {
		return nil
	}
	out := fam.differences(d, term, "dunnett")
	for i := range out {
		out[i].Against = true
	}
	return out
}

func (fam *family) letters(r multiple.Result, level float64, put func(*Arm, string)) {
	sig, err := r.Significant(len(fam.mean), 1-level)
	if err != nil {
		return
	}
	d, err := multiple.Letters(fam.mean, sig, multiple.LowestFirst)
	if err != nil {
		return
	}
	for i := range fam.arms {
		put(&fam.arms[i], d.Letters[i])
	}
}

func (fam *family) differences(r multiple.Result, term, adjust string) []Difference {
	var out []Difference
	for _, c := range r.Comparisons {
		d := Difference{Term: term, A: fam.arms[c.I].Arm, B: fam.arms[c.J].Arm, Estimate: num(c.Estimate), SE: num(c.SE),
			DF: num(c.DF), T: num(c.T), P: num(c.P), PRaw: num(c.Raw), Adjust: adjust,
			Low: absent("no simultaneous interval"), High: absent("no simultaneous interval")}
		if c.Interval != nil {
			d.Low, d.High = num(c.Interval.Low), num(c.Interval.High)
		}
		out = append(out, d)
	}
	return out
}

// points are the means of each cook and method, for the figure.
func (tb *table) points() []Point {
	cook := tb.groups[string(trial.ByCook)]
	code, n := product(cook.Code, tb.method)
	type acc struct {
		sum    float64
		n      int
		row    int
		pieces []int
	}
	cells := make([]acc, n)
	pieceSum, pieceN := map[[2]int]float64{}, map[[2]int]int{}
	for i, c := range code {
		if cells[c].n == 0 {
			cells[c].row = i
		}
		cells[c].sum += tb.y[i]
		cells[c].n++
		if p := tb.rows[i].Piece; p >= 0 {
			k := [2]int{c, p}
			if pieceN[k] == 0 {
				cells[c].pieces = append(cells[c].pieces, p)
			}
			pieceSum[k] += tb.y[i]
			pieceN[k]++
		}
	}
	out := make([]Point, n)
	for c, a := range cells {
		r := tb.rows[a.row]
		ck := &tb.t.Cooks[r.Cook]
		p := Point{Cook: ck.ID, Method: tb.methods[tb.method[a.row]].Label, Session: ck.Session.V, Mean: a.sum / float64(a.n), Obs: a.n,
			SetPoint: absent("no set point is stated")}
		if ck.SetPoint.Known {
			p.SetPoint = num(ck.SetPoint.V.Celsius())
		}
		for _, pi := range a.pieces {
			k := [2]int{c, pi}
			p.Pieces = append(p.Pieces, pieceSum[k]/float64(pieceN[k]))
		}
		out[c] = p
	}
	return out
}

// controlLevel finds the level that a declared control names: a level itself, a
// cook's id, or a set point as typed.
func (tb *table) controlLevel(f trial.Varied) int {
	if !tb.t.Compare.Known || !tb.t.Compare.V.Against.Known {
		return -1
	}
	want := strings.TrimSpace(tb.t.Compare.V.Against.V)
	for a, l := range f.Levels {
		if l == want {
			return a
		}
	}
	for i, r := range tb.rows {
		if tb.t.Cooks[r.Cook].ID == want {
			return f.Code[i]
		}
	}
	return -1
}
