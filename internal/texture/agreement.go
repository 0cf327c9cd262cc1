package texture

import (
	"fmt"
	"math"

	"tamis/internal/stats"
	"tamis/internal/stats/agree"
	"tamis/internal/stats/ranks"
	"tamis/internal/trial"
)

// House rules of the agreement figures.
const (
	mostScorers   = 4    // kappa is for a few scorers of the same things, not for a panel
	mostMarks     = 11   // values of a short scale
	mostCompleted = 5000 // rows of a table for the intraclass correlations
)

func warn(id, text string, need float64) stats.Warning {
	return stats.Warning{ID: id, Text: text, Need: need}
}

// complete gives a table of means, a row for each group and a column for each
// assessor, and false when a cell is empty.
func (tb *table) completeTable(code []int, n int) ([][]float64, bool) {
	g := tb.groups[byAssessor]
	k := len(g.Levels)
	if k < 2 || n < 2 || n*k > mostCompleted*mostMarks {
		return nil, false
	}
	sum, count := make([]float64, n*k), make([]float64, n*k)
	for i, c := range code {
		if c >= 0 && g.Code[i] >= 0 {
			sum[c*k+g.Code[i]] += tb.y[i]
			count[c*k+g.Code[i]]++
		}
	}
	out := make([][]float64, n)
	for r := range out {
		out[r] = make([]float64, k)
		for c := range out[r] {
			if count[r*k+c] == 0 {
				return nil, false
			}
			out[r][c] = sum[r*k+c] / count[r*k+c]
		}
	}
	return out, true
}

// concordance fills Kendall's W over the products and the intraclass
// correlations over the samples (cook and method), where nothing is missing.
func (tb *table) concordance(p *Panel, cell []int, cells int, level float64) {
	if table, ok := tb.completeTable(cell, cells); ok {
		p.Complete = true
		p.Concord = kendallW(table)
	}
	if tb.measure.Kind == trial.Rank || tb.measure.Kind == trial.YesNo {
		return
	}
	sample, samples := product(tb.groups[string(trial.ByCook)].Code, tb.method)
	table, ok := tb.completeTable(sample, samples)
	if !ok {
		p.Warnings = append(p.Warnings, warn("icc-incomplete", "intraclass correlations need every assessor on every sample", 0))
		return
	}
	r, err := agree.ICC(table, level)
	if err != nil {
		return
	}
	for _, f := range []struct {
		form string
		v    agree.Intraclass
	}{{"ICC(1,1)", r.ICC11}, {"ICC(2,1)", r.ICC21}, {"ICC(3,1)", r.ICC31}, {"ICC(1,k)", r.ICC1k}, {"ICC(2,k)", r.ICC2k}, {"ICC(3,k)", r.ICC3k}} {
		p.ICC = append(p.ICC, ICC{Form: f.form, R: num(f.v.Value), Low: num(f.v.Interval.Low), High: num(f.v.Interval.High)})
	}
}

// kendallW is Kendall's concordance of the raters (columns) over the rows, with
// the correction for ties (Kendall & Babington Smith 1939). The coefficient
// alone needs none of the enumeration behind an exact p.
func kendallW(table [][]float64) Number {
	n, m := float64(len(table)), float64(len(table[0]))
	sum := make([]float64, len(table))
	var squares float64
	for r := range table[0] {
		column := make([]float64, len(table))
		for i := range table {
			column[i] = table[i][r]
		}
		rk, err := ranks.Midranks(column)
		if err != nil {
			return absent(plain(err))
		}
		for i, v := range rk {
			sum[i] += v
			squares += v * v
		}
	}
	var between float64
	for _, v := range sum {
		d := v - m*(n+1)/2
		between += d * d
	}
	// The ranks' own sum of squares about their mean: 0 when every rater tied all.
	within := squares - m*n*(n+1)*(n+1)/4
	if !(within > 1e-9) {
		return absent("nobody ranked anything above anything else")
	}
	return num(between / (m * within))
}

// kappas are the weighted kappas of each two scorers, where at most mostScorers
// people each scored exactly the same things once, on a short scale.
func (tb *table) kappas(alias map[string]string, level float64) []Kappa {
	g := tb.groups[byAssessor]
	k := len(g.Levels)
	if k < 2 || k > mostScorers || tb.measure.Kind == trial.Rank {
		return nil
	}
	category, categories, ok := tb.marks()
	if !ok {
		return nil
	}
	type thing struct {
		cook, piece     int
		sitting, repeat string
	}
	scored := make([]map[thing]int, k)
	var order []thing
	for i, r := range tb.rows {
		c := g.Code[i]
		if c < 0 {
			return nil
		}
		if scored[c] == nil {
			scored[c] = map[thing]int{}
		}
		key := thing{r.Cook, r.Piece, r.Sitting, r.Repeat}
		if _, twice := scored[c][key]; twice {
			return nil
		}
		scored[c][key] = category[i]
		if c == 0 {
			order = append(order, key)
		}
	}
	for _, s := range scored[1:] {
		if len(s) != len(order) {
			return nil
		}
		for _, key := range order {
			if _, ok := s[key]; !ok {
				return nil
			}
		}
	}
	var out []Kappa
	for a := 0; a < k; a++ {
		for b := a + 1; b < k; b++ {
			first, second := make([]int, len(order)), make([]int, len(order))
			for i, key := range order {
				first[i], second[i] = scored[a][key], scored[b][key]
			}
			for _, w := range []struct {
				name string
				w    agree.Weights
			}{{"linear", agree.Linear}, {"quadratic", agree.Quadratic}} {
				line := Kappa{A: alias[g.Levels[a]], B: alias[g.Levels[b]], Weighted: w.name}
				r, err := agree.Kappa(first, second, categories, w.w, level)
				if err != nil {
					n := absent(plain(err))
					line.K, line.Low, line.High = n, n, n
				} else {
					line.K, line.Low, line.High = num(r.Kappa), num(r.Interval.Low), num(r.Interval.High)
				}
				out = append(out, line)
			}
		}
	}
	return out
}

// marks numbers the values of a short scale in steps of 1 or one half, counted
// from the low end of the scale.
func (tb *table) marks() (category []int, categories int, ok bool) {
	if len(tb.y) == 0 {
		return nil, 0, false
	}
	low, high := tb.measure.Scale.Low, tb.measure.Scale.High
	if tb.measure.Kind == trial.YesNo {
		low, high = 0, 1
	}
	if tb.measure.Kind == trial.Amount || !(high > low) {
		low, high = tb.y[0], tb.y[0]
		for _, v := range tb.y {
			low, high = math.Min(low, v), math.Max(high, v)
		}
	}
	for _, step := range []float64{1, 0.5} {
		n := (high-low)/step + 1
		if n > mostMarks || n < 2 {
			continue
		}
		fits := true
		category = make([]int, len(tb.y))
		for i, v := range tb.y {
			x := (v - low) / step
			if math.Abs(x-math.Round(x)) > 1e-9 || x < 0 || x > n-1+1e-9 {
				fits = false
				break
			}
			category[i] = int(math.Round(x))
		}
		if fits {
			return category, int(math.Round(n)), true
		}
	}
	return nil, 0, false
}

// isLiking says whether a measure asks how much people like it.
func isLiking(m trial.Measure) bool {
	if m.Kind != trial.ScaleScore && m.Kind != trial.Amount {
		return false
	}
	return m.Role.Or("") == "liking" || (!m.Role.Known && m.Name == "liking")
}

// segments counts who likes which arm best, and whether people fall into two
// groups that want different things.
func (a *analysis) segments(tb *table, alias map[string]string) *Segments {
	s := &Segments{Shares: []ArmShare{}, P: absent("not tested")}
	var labels []string
	var code []int
	if tb.arms != nil {
		labels, code = tb.arms.Levels, tb.arms.Code
	} else {
		for _, m := range tb.methods {
			labels = append(labels, m.Label)
		}
		code = tb.method
	}
	g := tb.groups[byAssessor]
	k := len(labels)
	sum, count := make([]float64, len(g.Levels)*k), make([]float64, len(g.Levels)*k)
	for i, c := range code {
		if c >= 0 && g.Code[i] >= 0 {
			sum[g.Code[i]*k+c] += tb.y[i]
			count[g.Code[i]*k+c]++
		}
	}
	table := make([][]float64, len(g.Levels))
	for p := range table {
		table[p] = make([]float64, k)
		for c := range table[p] {
			table[p][c] = sum[p*k+c] / count[p*k+c] // NaN is how agree is told of a product not tasted
		}
	}
	pref, err := agree.Preferences(table)
	if err != nil {
		s.Note = plain(err)
		return s
	}
	for c, share := range pref.Shares {
		s.Shares = append(s.Shares, ArmShare{Arm: labels[c], Share: share})
	}
	seg, err := agree.Segments(table, agree.SegmentOptions{Seed: a.opt.Seed, Alpha: 1 - a.opt.Level})
	if err != nil {
		s.P = absent("two groups can be looked for among 10 people or more who tasted everything")
		s.Note = fmt.Sprintf("%d people are too few to look for groups, or all want the same", len(g.Levels))
		return s
	}
	s.P, s.Split = num(seg.P), seg.Claimed
	if seg.Claimed {
		s.Groups = make([][]string, 2)
		for p, in := range seg.Group {
			if in >= 0 {
				s.Groups[in] = append(s.Groups[in], alias[g.Levels[p]])
			}
		}
		if seg.SameFavourite {
			s.Note = "both groups like the same arm best; they differ in the rest"
		}
	}
	return s
}
