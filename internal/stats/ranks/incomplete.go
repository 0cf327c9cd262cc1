package ranks

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

// maxIncompleteTreatments bounds the square matrix of Incomplete.
const maxIncompleteTreatments = 1000

// Rated is one value of a table with holes: what block (person) gave treatment
// (product). Blocks and treatments are any whole numbers used as labels.
type Rated struct {
	Block, Treatment int
	Value            float64
}

// IncompleteResult is the answer of Incomplete.
type IncompleteResult struct {
	// Treatments are the labels, ascending; Scores their standardised rank sums,
	// above 0 for a treatment ranked higher than the others it met; Seen how
	// often each was ranked in a block that tells something.
	Treatments []int
	Scores     []float64
	Seen       []int
	// ChiSquare, DF and its upper tail P.
	ChiSquare, DF, P float64
	// Used blocks; Unused had fewer than two values, or one single tie.
	Used, Unused int
	Warnings     []stats.Warning
}

// Incomplete tests whether treatments rank alike when not every block saw every
// treatment. Within each block of k_i values the mid-ranks r are centred and
// weighted by √(12/(k_i + 1)) (Skillings & Mack 1981, Technometrics 23:171); the
// statistic is A'Σ⁻A with Σ the exact covariance of the weighted sums A when the
// ranks seen are dealt at random within blocks, so ties are allowed for. It
// equals Durbin's test in a balanced incomplete design and Friedman's in a
// complete table, both corrected for ties. P is the χ² approximation.
//
// Errors: ErrEmpty, ErrNonFinite, ErrDomain (a cell given twice), ErrTooFew (fewer
// than two treatments met in a block), ErrNoVariation (only ties), ErrSingular
// when treatments fall into groups that never met, with the groups named,
// ErrTooLarge above 1000 treatments.
func Incomplete(values []Rated) (IncompleteResult, error) {
	if len(values) == 0 {
		return IncompleteResult{}, fmt.Errorf("%w: values", stats.ErrEmpty)
	}
	byBlock := map[int][]Rated{}
	var treatments []int
	for i, v := range values {
		if math.IsNaN(v.Value) || math.IsInf(v.Value, 0) {
			return IncompleteResult{}, fmt.Errorf("%w: value %d = %v", stats.ErrNonFinite, i, v.Value)
		}
		byBlock[v.Block] = append(byBlock[v.Block], v)
		treatments = append(treatments, v.Treatment)
	}
	slices.Sort(treatments)
	treatments = slices.Compact(treatments)
	k := len(treatments)
	if k > maxIncompleteTreatments {
		return IncompleteResult{}, fmt.Errorf("%w: %d treatments, at most %d", stats.ErrTooLarge, k, maxIncompleteTreatments)
	}
	if k < 2 {
		return IncompleteResult{}, fmt.Errorf("%w: 1 treatment, 2 needed", stats.ErrTooFew)
	}
	res := IncompleteResult{Treatments: treatments, Scores: make([]float64, k), Seen: make([]int, k)}
	cov := mat.NewSymDense(k, nil)
	group := newGroups(k)
	shared := false
	for _, b := range slices.Sorted(maps.Keys(byBlock)) {
		cells := byBlock[b]
		// Sums are made in the order of treatments, whatever the order of rows.
		slices.SortStableFunc(cells, func(a, c Rated) int { return cmp.Compare(a.Treatment, c.Treatment) })
		xs := make([]float64, len(cells))
		at := make([]int, len(cells))
		for i, c := range cells {
			if i > 0 && c.Treatment == cells[i-1].Treatment {
				return IncompleteResult{}, fmt.Errorf("%w: block %d has treatment %d twice", stats.ErrDomain, b, c.Treatment)
			}
			xs[i] = c.Value
			at[i], _ = slices.BinarySearch(treatments, c.Treatment)
		}
		m := float64(len(cells))
		shared = shared || m >= 2
		twice, _ := twiceMidranks(xs)
		weight2 := 12 / (m + 1)
		ss := 0.0
		for _, r := range twice {
			d := (float64(r) - (m + 1)) / 2
			ss += d * d
		}
		if ss == 0 { // one value, or one tie
			res.Unused++
			continue
		}
		res.Used++
		variance := weight2 * ss / (m - 1) // of one dealt rank, times m/(m−1) for the covariance
		for i, r := range twice {
			res.Scores[at[i]] += math.Sqrt(weight2) * (float64(r) - (m + 1)) / 2
			res.Seen[at[i]]++
			group.join(at[0], at[i])
			for j := i; j < len(at); j++ {
				c := -variance / m
				if i == j {
					c += variance
				}
				cov.SetSym(at[i], at[j], cov.At(at[i], at[j])+c)
			}
		}
	}
	switch {
	case !shared:
		return IncompleteResult{}, fmt.Errorf("%w: no block has two treatments", stats.ErrTooFew)
	case res.Used == 0:
		return IncompleteResult{}, fmt.Errorf("%w: every block is one tie", stats.ErrNoVariation)
	}
	if groups := group.members(treatments); len(groups) > 1 {
		return IncompleteResult{}, fmt.Errorf("%w: treatments %v never met in one block that tells them apart", stats.ErrSingular, groups)
	}
	q, err := quadraticWithoutLast(cov, res.Scores)
	if err != nil {
		return IncompleteResult{}, err
	}
	res.ChiSquare, res.DF = q, float64(k-1)
	res.P = chiSquareUpper(res.ChiSquare, res.DF)
	if res.Used < 10 {
		res.Warnings = append(res.Warnings, stats.Warning{
			ID:   "incomplete-few-blocks",
			Text: "Fewer than 10 blocks tell something, so the χ² p is rough.",
			Need: 10,
		})
	}
	return res, nil
}

// quadraticWithoutLast is a'Σ⁻a for a singular Σ whose rows sum to 0 and whose
// graph is connected: leaving out one treatment makes it positive definite and
// does not change the value.
func quadraticWithoutLast(cov *mat.SymDense, a []float64) (float64, error) {
	m := len(a) - 1
	sub := mat.NewSymDense(m, nil)
	for i := range m {
		for j := i; j < m; j++ {
			sub.SetSym(i, j, cov.At(i, j))
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(sub) {
		return 0, fmt.Errorf("%w: the treatments are hardly connected", stats.ErrSingular)
	}
	v := mat.NewVecDense(m, slices.Clone(a[:m]))
	var x mat.VecDense
	if err := chol.SolveVecTo(&x, v); err != nil {
		return 0, fmt.Errorf("%w: %v", stats.ErrSingular, err)
	}
	return max(0, mat.Dot(v, &x)), nil
}

// groups joins things into connected groups (union by smallest index).
type groups []int

func newGroups(n int) groups {
	g := make(groups, n)
	for i := range g {
		g[i] = i
	}
	return g
}

func (g groups) root(i int) int {
	for g[i] != i {
		g[i] = g[g[i]]
		i = g[i]
	}
	return i
}

func (g groups) join(i, j int) {
	a, b := g.root(i), g.root(j)
	g[max(a, b)] = min(a, b)
}

func (g groups) members(labels []int) [][]int {
	at := map[int]int{}
	var out [][]int
	for i := range g {
		r := g.root(i)
		if _, ok := at[r]; !ok {
			at[r] = len(out)
			out = append(out, nil)
		}
		out[at[r]] = append(out[at[r]], labels[i])
	}
	return out
}
