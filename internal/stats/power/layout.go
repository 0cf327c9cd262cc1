package power

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

// Layout is how many units of each arm lie in each block. It is made by New and
// never changes.
type Layout struct {
	arms, blocks, units int
	lost                int // degrees of freedom taken by something else
	// inverse is the inverse of C + c·J, with C the information on the arms once
	// the blocks are removed and J all ones. On differences of arms, which sum to
	// 0, it acts as a generalised inverse of C.
	inverse *mat.SymDense
	info    *mat.SymDense // C
}

// MostArms bounds the arms of a layout: matrices are arms × arms.
const MostArms = 200

// New takes counts[arm][block], all rows of one length. Blocks without units are
// passed over; one block is the completely randomised layout.
//
// With N = (n_ij), r the row sums and k the column sums, the information on the
// arms after the blocks is C = diag(r) − N·diag(k)⁻¹·N′, the reduced normal
// equations of the additive model arm + block (intra-block analysis; Yates 1936,
// from memory; John 1971, Statistical Design and Analysis of Experiments, from
// memory). Complete blocks give C = R(I − J/arms) for R units an arm.
//
// Errors: stats.ErrTooFew below two arms or for an arm without units,
// stats.ErrTooLarge above MostArms, stats.ErrLengths, stats.ErrDomain for a count
// below 0, stats.ErrSingular when some arms never meet others within blocks, even
// indirectly, so that blocks and arms cannot be told apart.
func New(counts [][]int) (*Layout, error) {
	a := len(counts)
	switch {
	case a < 2:
		return nil, fmt.Errorf("%w: %d arms, 2 needed", stats.ErrTooFew, a)
	case a > MostArms:
		return nil, fmt.Errorf("%w: %d arms, at most %d", stats.ErrTooLarge, a, MostArms)
	}
	b := len(counts[0])
	rows, cols := make([]float64, a), make([]float64, b)
	l := &Layout{arms: a}
	for i, row := range counts {
		if err := stats.CheckLengths("first arm", b, fmt.Sprintf("arm %d", i+1), len(row)); err != nil {
			return nil, err
		}
		for j, n := range row {
			if n < 0 {
				return nil, fmt.Errorf("%w: %d units of arm %d in block %d", stats.ErrDomain, n, i+1, j+1)
			}
			rows[i] += float64(n)
			cols[j] += float64(n)
			l.units += n
		}
		if rows[i] == 0 {
			return nil, fmt.Errorf("%w: arm %d has no unit", stats.ErrTooFew, i+1)
		}
	}
	l.info = mat.NewSymDense(a, nil)
	for i := range a {
		for j := i; j < a; j++ {
			v := 0.0
			if i == j {
				v = rows[i]
			}
			for c, k := range cols {
				if k > 0 {
					v -= float64(counts[i][c]) * float64(counts[j][c]) / k
				}
			}
			l.info.SetSym(i, j, v)
		}
	}
	for _, k := range cols {
		if k > 0 {
			l.blocks++
		}
	}
	return l, l.invert()
}

// invert adds the missing direction to C, which has the vector of ones in its
// null space, and inverts. A second missing direction means that arms and blocks
// are confounded.
func (l *Layout) invert() error {
	a := l.arms
	// The added eigenvalue is of the size of the others, for the condition.
	c := float64(l.units) / float64(a) / float64(a)
	full := mat.NewSymDense(a, nil)
	for i := range a {
		for j := i; j < a; j++ {
			full.SetSym(i, j, l.info.At(i, j)+c)
		}
	}
	var ch mat.Cholesky
	// The eigenvalues of C are rational functions of small whole numbers: a
	// condition above 1e10 is a confounded layout, not a weak one.
	if ok := ch.Factorize(full); !ok || ch.Cond() > 1e10 {
		return fmt.Errorf("%w: the blocks take up a difference between arms", stats.ErrSingular)
	}
	l.inverse = mat.NewSymDense(a, nil)
	if err := ch.InverseTo(l.inverse); err != nil {
		return fmt.Errorf("%w: the blocks take up a difference between arms", stats.ErrSingular)
	}
	return nil
}

// Arms is the number of arms.
func (l *Layout) Arms() int { return l.arms }

// Units is the number of units.
func (l *Layout) Units() int { return l.units }

// DF are the degrees of freedom of the F test of the arms: arms − 1 above, and
// below what units leave after arms and blocks, units − arms − blocks + 1. The
// latter may be 0 or less; there is then no test.
func (l *Layout) DF() (above, below int) {
	return l.arms - 1, l.units - l.arms - l.blocks + 1 - l.lost
}

// Less is the same layout with df residual degrees of freedom fewer: other factors,
// orthogonal to the arms, take them. A df below 0 counts as 0.
func (l *Layout) Less(df int) *Layout {
	out := *l
	out.lost += max(0, df)
	return &out
}

// Noncentrality is λ = τ′Cτ/sd², the noncentrality of the F test when the means
// of the arms are effects (a constant added to all changes nothing) and sd is the
// standard deviation of one unit. With R units an arm in complete blocks it is
// R·Σ(τᵢ − τ̄)²/sd². Errors: stats.ErrLengths, stats.ErrNonFinite,
// stats.ErrDomain for an sd not above 0.
func (l *Layout) Noncentrality(effects []float64, sd float64) (float64, error) {
	if err := stats.CheckLengths("effects", len(effects), "the arms", l.arms); err != nil {
		return 0, err
	}
	if err := stats.CheckFinite("effects", effects); err != nil {
		return 0, err
	}
	if err := checkSD(sd); err != nil {
		return 0, err
	}
	// Centred and divided first: large means and tiny deviations keep their digits.
	mean := 0.0
	for _, e := range effects {
		mean += e / float64(l.arms)
	}
	tau := mat.NewVecDense(l.arms, nil)
	for i, e := range effects {
		tau.SetVec(i, (e-mean)/sd)
	}
	ncp := mat.Inner(tau, l.info, tau)
	if math.IsInf(ncp, 0) || math.IsNaN(ncp) {
		return 0, fmt.Errorf("%w: effects of this size over an sd of %v", stats.ErrTooLarge, sd)
	}
	return max(0, ncp), nil
}

// PairVariance is the variance of the estimated difference of arms i and j for
// units of variance 1: 2/R in complete blocks of R units an arm. Errors:
// stats.ErrDomain for arms that are not two of the layout.
func (l *Layout) PairVariance(i, j int) (float64, error) {
	if i < 0 || j < 0 || i >= l.arms || j >= l.arms || i == j {
		return 0, fmt.Errorf("%w: arms %d and %d of %d", stats.ErrDomain, i, j, l.arms)
	}
	return l.inverse.At(i, i) + l.inverse.At(j, j) - 2*l.inverse.At(i, j), nil
}

// WorstPair are the two arms whose difference is known least, the first such
// pair in order: what can be seen between them can be seen between any two.
func (l *Layout) WorstPair() (i, j int) {
	worst := -1.0
	for a := range l.arms {
		for b := a + 1; b < l.arms; b++ {
			// A margin, so that rounding does not choose among equals.
			if v, err := l.PairVariance(a, b); err == nil && v > worst*(1+1e-9) {
				worst, i, j = v, a, b
			}
		}
	}
	return i, j
}

func checkSD(sd float64) error {
	if err := stats.CheckFinite("sd", []float64{sd}); err != nil {
		return err
	}
	if !(sd > 0) {
		return fmt.Errorf("%w: sd = %v, must be above 0", stats.ErrDomain, sd)
	}
	return nil
}
