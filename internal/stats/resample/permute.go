package resample

import (
	"fmt"
	"math"
	"slices"

	"tamis/internal/stats"
)

// MaxFull is the largest number of arrangements that is enumerated in full.
const MaxFull = 200_000

// Tail says which arrangements count as at least as extreme.
type Tail int

// The tails. Of TwoSided, the absolute value of the statistic counts, so the
// statistic must be centred at 0 under the null (a difference, not a ratio).
const (
	TwoSided Tail = iota
	Greater
	Less
)

// Options of a permutation test. The zero value is two-sided, 9 999 draws when
// sampling, seed 0, 5 %.
type Options struct {
	Tail  Tail
	Draws int
	Seed  uint64
	// Alpha is the level that the smallest possible p is held against.
	Alpha float64
}

func (o *Options) fill() error {
	if o.Draws == 0 {
		o.Draws = 9_999
	}
	if o.Alpha == 0 {
		o.Alpha = 0.05
	}
	switch {
	case o.Tail < TwoSided || o.Tail > Less:
		return fmt.Errorf("%w: tail %d", stats.ErrDomain, o.Tail)
	case o.Draws < 0:
		return fmt.Errorf("%w: %d draws", stats.ErrDomain, o.Draws)
	case o.Draws > 10_000_000:
		return fmt.Errorf("%w: %d draws", stats.ErrTooLarge, o.Draws)
	case !(o.Alpha > 0 && o.Alpha < 1):
		return fmt.Errorf("%w: alpha %v", stats.ErrDomain, o.Alpha)
	}
	return nil
}

// Permutation is the result of a permutation test.
type Permutation struct {
	Statistic float64 `json:"statistic"`
	P         float64 `json:"p"`
	// Arrangements is the number of distinct arrangements of the design; it is
	// exact up to 2^53 and the nearest float above.
	Arrangements float64 `json:"arrangements"`
	Full         bool    `json:"full"`  // enumerated, the p is exact
	Draws        int     `json:"draws"` // arrangements looked at
	Extreme      int     `json:"extreme"`
	// Smallest is the least p this design could give with these values (full),
	// or 1/(draws + 1).
	Smallest float64 `json:"smallest"`
}

// FewArrangements says that the design allows so few arrangements that no
// result could reach the level. It wraps stats.ErrTooFew.
type FewArrangements struct {
	Arrangements float64
	Smallest     float64 // the least p that any outcome could have
	Alpha        float64
}

// Error says it in one line.
func (e *FewArrangements) Error() string {
	return fmt.Sprintf("%v: %.0f arrangements, no result could have p below %.3g", stats.ErrTooFew, e.Arrangements, e.Smallest)
}

// Unwrap gives stats.ErrTooFew.
func (e *FewArrangements) Unwrap() error { return stats.ErrTooFew }

// Permute tests whether labels matter: labels[u] is the label of unit u, moved
// among the units of the same block. blocks nil means one block. statistic maps
// labels to a number; it must not keep or change its argument.
//
// Up to MaxFull arrangements, p = (number at least as extreme)/(number), the
// observed one among them. Above, p = (b + 1)/(m + 1) from m random
// arrangements (Phipson & Smyth 2010, Stat. Appl. Genet. Mol. Biol. 9:39).
// Values within 1e-10 of the observed, relative to the largest met, are ties
// and count as extreme.
//
// Errors: ErrEmpty; ErrLengths; ErrNoVariation when no block holds two labels;
// ErrNonFinite from the statistic; *FewArrangements.
func Permute(labels, blocks []int, statistic func(labels []int) float64, opt Options) (*Permutation, error) {
	if len(labels) == 0 || statistic == nil {
		return nil, fmt.Errorf("%w: no units or no statistic", stats.ErrEmpty)
	}
	if blocks != nil {
		if err := stats.CheckLengths("labels", len(labels), "blocks", len(blocks)); err != nil {
			return nil, err
		}
	}
	if err := opt.fill(); err != nil {
		return nil, err
	}
	d := newDesign(labels, blocks)
	total := d.count()
	if total <= 1 {
		return nil, fmt.Errorf("%w: all units of a block have one label", stats.ErrNoVariation)
	}
	return run(total, len(labels), statistic(slices.Clone(labels)), opt,
		func(out [][]int) int { return d.fill(out) },
		func(i int, out []int) { d.shuffle(opt.Seed, i, out) },
		statistic)
}

// SignFlip tests whether paired differences are centred at 0: each difference
// keeps its size, its sign is exchangeable. statistic maps the flipped
// differences to a number; nil means the mean. Differences of 0 are kept; they
// count as pairs whose flip changes nothing.
//
// Errors and counting: as Permute; ErrNoVariation when all differences are 0.
func SignFlip(differences []float64, statistic func(d []float64) float64, opt Options) (*Permutation, error) {
	if err := stats.CheckSample("differences", differences); err != nil {
		return nil, err
	}
	if err := opt.fill(); err != nil {
		return nil, err
	}
	if statistic == nil {
		statistic = mean
	}
	all := true
	for _, d := range differences {
		all = all && d == 0
	}
	if all {
		return nil, fmt.Errorf("%w: every difference is 0", stats.ErrNoVariation)
	}
	d := slices.Clone(differences)
	n := len(d)
	// Signs as labels 0 (keep) and 1 (flip), all 2ⁿ of them.
	stat := func(signs []int) float64 {
		f := make([]float64, n)
		for i, s := range signs {
			f[i] = d[i]
			if s == 1 {
				f[i] = -d[i]
			}
		}
		return statistic(f)
	}
	next := 0
	fill := func(out [][]int) int {
		k := 0
		for ; k < len(out) && next < 1<<n; k++ {
			for i := range n {
				out[k][i] = next >> i & 1
			}
			next++
		}
		return k
	}
	sample := func(i int, out []int) {
		rng := generator(opt.Seed, i)
		for j := range out {
			out[j] = rng.IntN(2)
		}
	}
	return run(math.Pow(2, float64(n)), n, stat(make([]int, n)), opt, fill, sample, stat)
}

func mean(x []float64) float64 {
	m := 0.0
	for i, v := range x {
		m += (v - m) / float64(i+1)
	}
	return m
}

// run evaluates arrangements, in full through fill or sampled through sample.
func run(total float64, n int, observed float64, opt Options, fill func([][]int) int, sample func(int, []int), statistic func([]int) float64) (*Permutation, error) {
	if math.IsNaN(observed) || math.IsInf(observed, 0) {
		return nil, fmt.Errorf("%w: the statistic of the data is %v", stats.ErrNonFinite, observed)
	}
	r := &Permutation{Statistic: observed, Arrangements: total, Full: total <= MaxFull}
	var values []float64
	if r.Full {
		values = make([]float64, 0, int(total))
		const chunk = 4096
		batch := make([][]int, min(chunk, int(total)))
		for i := range batch {
			batch[i] = make([]int, n)
		}
		for {
			k := fill(batch)
			if k == 0 {
				break
			}
			at := len(values)
			values = values[:at+k]
			parallel(k, func(i int) { values[at+i] = statistic(batch[i]) })
		}
	} else {
		values = make([]float64, opt.Draws)
		parallel(opt.Draws, func(i int) {
			labels := make([]int, n)
			sample(i, labels)
			values[i] = statistic(labels)
		})
	}
	r.Draws = len(values)

	// One scale on which larger is more extreme.
	key := func(v float64) float64 {
		switch opt.Tail {
		case TwoSided:
			return math.Abs(v)
		case Less:
			return -v
		}
		return v
	}
	top, size := math.Inf(-1), math.Abs(observed)
	for i, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("%w: the statistic of arrangement %d is %v", stats.ErrNonFinite, i, v)
		}
		size = math.Max(size, math.Abs(v))
		top = math.Max(top, key(v))
	}
	tol := 1e-10 * size
	tops := 0
	for _, v := range values {
		if key(v) >= key(observed)-tol {
			r.Extreme++
		}
		if key(v) >= top-tol {
			tops++
		}
	}
	if r.Full {
		r.P = float64(r.Extreme) / float64(len(values))
		r.Smallest = float64(tops) / float64(len(values))
		if r.Smallest > opt.Alpha {
			return nil, &FewArrangements{Arrangements: total, Smallest: r.Smallest, Alpha: opt.Alpha}
		}
		return r, nil
	}
	r.P = float64(r.Extreme+1) / float64(len(values)+1)
	r.Smallest = 1 / float64(len(values)+1)
	if r.Smallest > opt.Alpha {
		return nil, fmt.Errorf("%w: %d draws cannot show a p below %.3g", stats.ErrTooFew, len(values), r.Smallest)
	}
	return r, nil
}
