package agree

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"

	"tamis/internal/stats"
)

// Score is one score of a product by an assessor. The three labels are any whole
// numbers; Repeat only has to differ between scores of one product by one assessor.
type Score struct {
	Product, Assessor, Repeat int
	Value                     float64
}

// AssessorResult describes one assessor against the panel.
type AssessorResult struct {
	Assessor         int
	Scores, Products int
	// Discrimination is the F of products within this assessor's own scores
	// against his own repeats: can he tell the products apart?
	Discrimination Ratio
	// RepeatSD is the SD of his repeats about his own product means, on RepeatDF.
	RepeatSD Number
	RepeatDF int
	// Common counts the products that he and at least one other scored. The three
	// numbers below compare his means of these with those of the rest of the panel.
	Common int
	// Agreement is the correlation, Scale the least-squares slope of his means on
	// theirs (above 1: uses more of the scale), Bias his level less theirs.
	Agreement, Scale, Bias Number
}

// Line is one line of an analysis of variance.
type Line struct {
	SS, DF, MS float64
}

// ProductMean is a product's mean over the scores given (Mean) and adjusted for
// who gave them (Adjusted, as if every assessor had scored it).
type ProductMean struct {
	Product  int
	Scores   int
	Mean     float64
	Adjusted float64
}

// PanelResult is the answer of Panel.
type PanelResult struct {
	Assessors []AssessorResult // by ascending label
	Products  []ProductMean    // by ascending label
	// Each line adjusted for the other main effect. With equal cells they are the
	// classical lines.
	ByProduct, ByAssessor, ProductAssessor, Error Line
	// Product is the test of products against product × assessor: assessors are
	// taken as random, so it asks whether another panel would see them too.
	Product Ratio
	// Crossover is product × assessor against the error of repeats: do assessors
	// differ in what they find?
	Crossover Ratio
	// Complete: every assessor scored every product; Balanced: equally often.
	Complete, Balanced bool
	// Empty counts the product × assessor cells without a score.
	Empty    int
	Warnings []stats.Warning
}

// Panel describes how an attribute was scored: definitions follow common practice
// for panel monitoring (as in ISO 11132, from memory). Assessors may lack products
// or repeats. What an assessor's data cannot give is absent with its reason, and
// nothing is filled in; the rest of the panel is then represented by additive
// least-squares product means, so that who happened to be absent does not count as
// disagreement.
//
// Errors: ErrEmpty, ErrNonFinite, ErrDomain (a score given twice), ErrTooFew (fewer
// than two products or assessors), ErrSingular when products fall into parts that
// no assessor joins, ErrTooLarge above 1000 products.
func Panel(scores []Score) (PanelResult, error) {
	cells, err := gather(scores)
	if err != nil {
		return PanelResult{}, err
	}
	np, na := len(cells.products), len(cells.assessors)
	if np < 2 || na < 2 {
		return PanelResult{}, fmt.Errorf("%w: %d products and %d assessors, 2 of each needed", stats.ErrTooFew, np, na)
	}
	fit, ok := additive(cells.n, cells.mean, -1)
	if !ok {
		return PanelResult{}, fmt.Errorf("%w: the products fall into parts that no assessor scored together", stats.ErrSingular)
	}
	res := PanelResult{Complete: true, Balanced: true}
	res.anova(cells, fit)
	for a, label := range cells.assessors {
		res.Assessors = append(res.Assessors, cells.assessor(a, label))
	}
	for p, label := range cells.products {
		pm := ProductMean{Product: label, Adjusted: fit.adjusted(p)}
		sum := 0.0
		for a := range na {
			pm.Scores += int(cells.n[p][a])
			sum += cells.n[p][a] * (cells.mean[p][a] - cells.mean0)
		}
		pm.Mean = cells.mean0 + sum/float64(pm.Scores)
		res.Products = append(res.Products, pm)
	}
	if !res.Balanced {
		res.Warnings = append(res.Warnings, stats.Warning{
			ID:   "panel-unbalanced",
			Text: "Not every assessor scored every product equally often. Sums of squares are adjusted, and the F of products is approximate.",
		})
	}
	return res, nil
}

// cellTable holds means, counts and within sums of squares by product × assessor.
type cellTable struct {
	products, assessors []int
	n, mean, ss         [][]float64
	mean0               float64 // a value near all of them, taken off sums
	scores              int
}

const maxProducts = 1000

func gather(scores []Score) (*cellTable, error) {
	if len(scores) == 0 {
		return nil, fmt.Errorf("%w: scores", stats.ErrEmpty)
	}
	for i, s := range scores {
		if err := checkValues(fmt.Sprintf("score %d", i), []float64{s.Value}); err != nil {
			return nil, err
		}
	}
	sorted := slices.Clone(scores)
	// One order of summation, whatever the order of rows.
	slices.SortFunc(sorted, func(a, b Score) int {
		return cmp.Or(cmp.Compare(a.Product, b.Product), cmp.Compare(a.Assessor, b.Assessor), cmp.Compare(a.Repeat, b.Repeat))
	})
	products, assessors := map[int]int{}, map[int]int{}
	for i, s := range sorted {
		if i > 0 && s.Product == sorted[i-1].Product && s.Assessor == sorted[i-1].Assessor && s.Repeat == sorted[i-1].Repeat {
			return nil, fmt.Errorf("%w: assessor %d scored product %d twice in repeat %d", stats.ErrDomain, s.Assessor, s.Product, s.Repeat)
		}
		products[s.Product], assessors[s.Assessor] = 0, 0
	}
	if len(products) > maxProducts {
		return nil, fmt.Errorf("%w: %d products, at most %d", stats.ErrTooLarge, len(products), maxProducts)
	}
	t := &cellTable{
		products: slices.Sorted(maps.Keys(products)), assessors: slices.Sorted(maps.Keys(assessors)),
		mean0: sorted[0].Value, scores: len(sorted),
	}
	for i, p := range t.products {
		products[p] = i
	}
	for i, a := range t.assessors {
		assessors[a] = i
	}
	grid := func() [][]float64 {
		g := make([][]float64, len(t.products))
		for i := range g {
			g[i] = make([]float64, len(t.assessors))
		}
		return g
	}
	t.n, t.mean, t.ss = grid(), grid(), grid()
	for lo := 0; lo < len(sorted); {
		hi := lo
		var xs []float64
		for hi < len(sorted) && sorted[hi].Product == sorted[lo].Product && sorted[hi].Assessor == sorted[lo].Assessor {
			xs = append(xs, sorted[hi].Value)
			hi++
		}
		p, a := products[sorted[lo].Product], assessors[sorted[lo].Assessor]
		t.n[p][a], t.mean[p][a], t.ss[p][a] = float64(len(xs)), mean(xs), sumSquares(xs)
		lo = hi
	}
	return t, nil
}

// anova fills the lines from cell means and the additive fit.
func (res *PanelResult) anova(t *cellTable, fit *additiveFit) {
	np, na := len(t.products), len(t.assessors)
	cellsUsed := 0
	var all, byProduct, total, grand float64
	first := t.n[0][0]
	for p := range np {
		for a := range na {
			n := t.n[p][a]
			res.Balanced = res.Balanced && n == first
			if n == 0 {
				res.Empty++
				continue
			}
			cellsUsed++
			total += n
			grand += n * (t.mean[p][a] - t.mean0)
			res.Error.SS += t.ss[p][a]
			e := t.mean[p][a] - fit.value(p, a)
			res.ProductAssessor.SS += n * e * e
		}
	}
	res.Complete = res.Empty == 0
	res.Balanced = res.Balanced && res.Complete
	grand /= total
	for p := range np {
		var n, s float64
		for a := range na {
			d := t.mean[p][a] - t.mean0 - grand
			n += t.n[p][a]
			s += t.n[p][a] * d
			all += t.n[p][a] * d * d
		}
		byProduct += s * s / n
	}
	res.ByProduct.SS = fit.reduction
	// Assessors after products: what both explain less what products do.
	res.ByAssessor.SS = max(0, all-res.ProductAssessor.SS-byProduct)
	res.ByProduct.DF, res.ByAssessor.DF = float64(np-1), float64(na-1)
	res.ProductAssessor.DF = float64(cellsUsed - np - na + 1)
	res.Error.DF = float64(t.scores - cellsUsed)
	floor := 1e-24 * (all + res.Error.SS) // rounding, not variation
	for _, l := range []*Line{&res.ByProduct, &res.ByAssessor, &res.ProductAssessor, &res.Error} {
		if l.SS <= floor {
			l.SS = 0
		}
		if l.DF > 0 {
			l.MS = l.SS / l.DF
		}
	}
	res.Product = ratio(res.ByProduct.MS, res.ByProduct.DF, res.ProductAssessor.MS, res.ProductAssessor.DF)
	res.Crossover = ratio(res.ProductAssessor.MS, res.ProductAssessor.DF, res.Error.MS, res.Error.DF)
	if res.Error.DF == 0 {
		res.Crossover = Ratio{Absent: NoRepeats}
	}
}

// assessor describes assessor a.
func (t *cellTable) assessor(a, label int) AssessorResult {
	r := AssessorResult{Assessor: label}
	var n, sum, ssWithin, ssBetween float64
	for p := range t.products {
		if t.n[p][a] == 0 {
			continue
		}
		r.Products++
		n += t.n[p][a]
		sum += t.n[p][a] * (t.mean[p][a] - t.mean0)
		ssWithin += t.ss[p][a]
	}
	r.Scores = int(n)
	r.RepeatDF = r.Scores - r.Products
	centre := t.mean0 + sum/n
	for p := range t.products {
		d := t.mean[p][a] - centre
		ssBetween += t.n[p][a] * d * d
	}
	if ssWithin <= 1e-24*ssBetween {
		ssWithin = 0
	}
	switch {
	case r.RepeatDF == 0:
		r.RepeatSD = none(NoRepeats)
		r.Discrimination = Ratio{Absent: NoRepeats}
	default:
		ms := ssWithin / float64(r.RepeatDF)
		r.RepeatSD = some(math.Sqrt(ms))
		r.Discrimination = ratio(ssBetween/float64(max(1, r.Products-1)), float64(r.Products-1), ms, float64(r.RepeatDF))
	}
	if r.Products < 2 {
		r.Discrimination = Ratio{Absent: OneProduct}
	}
	r.compare(t, a)
	return r
}

// compare sets the assessor against the rest of the panel.
func (r *AssessorResult) compare(t *cellTable, a int) {
	rest, ok := additive(t.n, t.mean, a)
	var mine, theirs []float64
	for p := range t.products {
		seen := false
		for b := range t.assessors {
			seen = seen || (b != a && t.n[p][b] > 0)
		}
		if t.n[p][a] > 0 && seen {
			mine = append(mine, t.mean[p][a])
			if ok {
				theirs = append(theirs, rest.adjusted(p))
			}
		}
	}
	r.Common = len(mine)
	why := Absence("")
	switch {
	case r.Common == 0:
		why = NoOthers
	case !ok:
		why = NotJoined
	}
	if why != "" {
		r.Agreement, r.Scale, r.Bias = none(why), none(why), none(why)
		return
	}
	r.Bias = some(mean(mine) - mean(theirs))
	if r.Common < 2 {
		r.Agreement, r.Scale = none(OneProduct), none(OneProduct)
		return
	}
	r.Scale, r.Agreement = line(theirs, mine)
	if r.Common < 3 { // two points always lie on a line
		r.Agreement = none(TwoProducts)
	}
}
