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
	// Enough is a p above which nothing more is asked: looking ends as soon as P is
	// certain to be larger, and P is then the least that it would have become. A
	// decision "P > Enough" is the same as without it. 0 looks at everything.
	Enough float64
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
	case !(o.Enough >= 0):
		return fmt.Errorf("%w: enough at p %v", stats.ErrDomain, o.Enough)
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
	// Ended: the looking ended at Options.Enough, and P and Extreme are the least
	// that they can be; Smallest is not known.
	Ended bool `json:"ended,omitempty"`
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
		d.shuffled(opt.Seed),
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
	sample := func(rng *stream, i int, out []int) {
		rng.at(opt.Seed, i)
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

// scratch is what one goroutine draws with.
type scratch struct {
	rng    *stream
	labels []int
}

// run evaluates arrangements, in full through fill or sampled through sample.
func run(total float64, n int, observed float64, opt Options, fill func([][]int) int, sample func(*stream, int, []int), statistic func([]int) float64) (*Permutation, error) {
	if math.IsNaN(observed) || math.IsInf(observed, 0) {
		return nil, fmt.Errorf("%w: the statistic of the data is %v", stats.ErrNonFinite, observed)
	}
	r := &Permutation{Statistic: observed, Arrangements: total, Full: total <= MaxFull}
	var values []float64
	switch {
	case opt.Enough > 0:
		if values = r.inTurn(n, opt, fill, sample, statistic); r.Ended {
			return r, nil
		}
	case r.Full:
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
	default:
		values = make([]float64, opt.Draws)
		parallelWith(opt.Draws, func() scratch { return scratch{newStream(), make([]int, n)} }, func(s scratch, i int) {
			sample(s.rng, i, s.labels)
			values[i] = statistic(s.labels)
		})
	}
	return r.count(values, opt)
}

// key is the scale of a tail on which larger is more extreme.
func (t Tail) key(v float64) float64 {
	switch t {
	case TwoSided:
		return math.Abs(v)
	case Less:
		return -v
	}
	return v
}

// tie is how far apart, relative to the largest met, two values may lie and be one.
const tie = 1e-10

// p of so many extreme among so many looked at.
func (r *Permutation) p(extreme, looked int) float64 {
	if r.Full {
		return float64(extreme) / float64(looked)
	}
	return float64(extreme+1) / float64(looked+1)
}

// inTurn evaluates one arrangement after the other until P is certain to be above
// opt.Enough, which sets Ended and P, or all are done. The tolerance for ties only
// grows with what is met, so that what is extreme once stays so.
func (r *Permutation) inTurn(n int, opt Options, fill func([][]int) int, sample func(*stream, int, []int), statistic func([]int) float64) []float64 {
	all := opt.Draws
	if r.Full {
		all = int(r.Arrangements)
	}
	values := make([]float64, 0, min(all, 64))
	one := [][]int{make([]int, n)}
	rng := newStream()
	size, extreme := math.Abs(r.Statistic), 0
	for i := range all {
		if r.Full {
			fill(one)
		} else {
			sample(rng, i, one[0])
		}
		v := statistic(one[0])
		values = append(values, v)
		size = math.Max(size, math.Abs(v))
		if opt.Tail.key(v) >= opt.Tail.key(r.Statistic)-tie*size {
			extreme++
		}
		if p := r.p(extreme, all); p > opt.Enough && !math.IsInf(size, 1) && !math.IsNaN(size) {
			r.Ended, r.P, r.Extreme, r.Draws = true, p, extreme, len(values)
			break
		}
	}
	return values
}

// count fills in what all values together say.
func (r *Permutation) count(values []float64, opt Options) (*Permutation, error) {
	r.Draws = len(values)
	key := opt.Tail.key
	top, size := math.Inf(-1), math.Abs(r.Statistic)
	for i, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("%w: the statistic of arrangement %d is %v", stats.ErrNonFinite, i, v)
		}
		size = math.Max(size, math.Abs(v))
		top = math.Max(top, key(v))
	}
	tol := tie * size
	tops := 0
	for _, v := range values {
		if key(v) >= key(r.Statistic)-tol {
			r.Extreme++
		}
		if key(v) >= top-tol {
			tops++
		}
	}
	r.P = r.p(r.Extreme, len(values))
	if r.Full {
		r.Smallest = float64(tops) / float64(len(values))
		if r.Smallest > opt.Alpha {
			return nil, &FewArrangements{Arrangements: r.Arrangements, Smallest: r.Smallest, Alpha: opt.Alpha}
		}
		return r, nil
	}
	r.Smallest = 1 / float64(len(values)+1)
	if r.Smallest > opt.Alpha {
		return nil, fmt.Errorf("%w: %d draws cannot show a p below %.3g", stats.ErrTooFew, len(values), r.Smallest)
	}
	return r, nil
}
