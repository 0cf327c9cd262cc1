package agree

import (
	"slices"

	"gonum.org/v1/gonum/mat"
)

// additiveFit is product + assessor fitted to cell means by weighted least squares.
type additiveFit struct {
	product   []float64 // effects, sum 0 over the products seen
	assessor  []float64 // levels of the assessors taken in
	level     float64   // mean of these levels
	reduction float64   // sum of squares of products after assessors
}

// adjusted is the mean of product p as if all assessors had scored it.
func (f *additiveFit) adjusted(p int) float64 { return f.level + f.product[p] }

func (f *additiveFit) value(p, a int) float64 { return f.product[p] + f.assessor[a] }

// additive fits product + assessor to the cell means, with the counts as weights,
// leaving assessor skip out (−1 for none). ok is false when the products seen fall
// into parts that no assessor joins, or none is seen.
//
// Assessors are eliminated first: for one assessor with weights w over products,
// his level is a weighted mean, and what he says about products is
// diag(w) − w·wᵀ/Σw times the effects. Only a matrix of products is solved, so any
// number of people costs little.
func additive(n, means [][]float64, skip int) (*additiveFit, bool) {
	np, na := len(n), len(n[0])
	var seen []int // products seen by those taken in
	for p := range np {
		for a := range na {
			if a != skip && n[p][a] > 0 {
				seen = append(seen, p)
				break
			}
		}
	}
	if len(seen) == 0 {
		return nil, false
	}
	m := len(seen)
	info := mat.NewSymDense(m, nil)
	right := make([]float64, m)
	centre := make([]float64, na) // weighted mean of the assessor's cells
	joined := newParts(m)
	for a := range na {
		if a == skip {
			continue
		}
		total, first, pilot := 0.0, -1, 0.0
		for i, p := range seen {
			if n[p][a] == 0 {
				continue
			}
			if first < 0 {
				first, pilot = i, means[p][a]
			}
			joined.join(first, i)
			total += n[p][a]
			centre[a] += n[p][a] * (means[p][a] - pilot)
		}
		if total == 0 {
			continue
		}
		centre[a] = pilot + centre[a]/total
		for i, p := range seen {
			w := n[p][a]
			if w == 0 {
				continue
			}
			right[i] += w * (means[p][a] - centre[a])
			info.SetSym(i, i, info.At(i, i)+w)
			for j := i; j < m; j++ {
				if v := n[seen[j]][a]; v > 0 {
					info.SetSym(i, j, info.At(i, j)-w*v/total)
				}
			}
		}
	}
	if !joined.whole() {
		return nil, false
	}
	effects, ok := solveWithoutLast(info, right)
	if !ok {
		return nil, false
	}
	fit := &additiveFit{product: make([]float64, np), assessor: make([]float64, na)}
	shift := 0.0
	for _, e := range effects {
		shift += e / float64(m)
	}
	for i, p := range seen {
		fit.product[p] = effects[i] - shift
		fit.reduction += effects[i] * right[i]
	}
	fit.reduction = max(0, fit.reduction)
	var levels []float64
	for a := range na {
		total, off := 0.0, 0.0
		for _, p := range seen {
			if a != skip {
				total += n[p][a]
				off += n[p][a] * fit.product[p]
			}
		}
		if total > 0 {
			fit.assessor[a] = centre[a] - off/total
			levels = append(levels, fit.assessor[a])
		}
	}
	fit.level = mean(levels)
	return fit, true
}

// solveWithoutLast solves a singular system whose rows sum to 0 by setting the last
// unknown to 0.
func solveWithoutLast(info *mat.SymDense, right []float64) ([]float64, bool) {
	m := len(right) - 1
	out := make([]float64, m+1)
	if m == 0 {
		return out, true
	}
	var chol mat.Cholesky
	if !chol.Factorize(info.SliceSym(0, m)) {
		return nil, false
	}
	var x mat.VecDense
	if err := chol.SolveVecTo(&x, mat.NewVecDense(m, slices.Clone(right[:m]))); err != nil {
		return nil, false
	}
	for i := range m {
		out[i] = x.AtVec(i)
	}
	return out, true
}

// parts joins things into connected groups.
type parts []int

func newParts(n int) parts {
	p := make(parts, n)
	for i := range p {
		p[i] = i
	}
	return p
}

func (p parts) root(i int) int {
	for p[i] != i {
		p[i] = p[p[i]]
		i = p[i]
	}
	return i
}

func (p parts) join(i, j int) { p[p.root(i)] = p.root(j) }

func (p parts) whole() bool {
	for i := range p {
		if p.root(i) != p.root(0) {
			return false
		}
	}
	return true
}
