package resample

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"reflect"
	"runtime"
	"slices"
	"testing"

	"tamis/internal/stats"
	"tamis/internal/stats/internal/reftest"
)

type perm struct {
	Diff    float64 `json:"diff"`
	N       float64 `json:"n_perm"`
	Greater float64 `json:"p_greater"`
	Less    float64 `json:"p_less"`
	Two     float64 `json:"p_two_sided_abs"`
}

type references struct {
	Source      string
	Ctrl, Trt2  []float64
	Plantgrowth perm
	Small       struct {
		A, B []float64
		Perm perm
	}
	Sleep struct {
		D []float64
		N float64 `json:"n_perm"`
		P float64 `json:"p_two_sided_abs_mean"`
	} `json:"sleep_paired_signflip"`
	Blocked struct {
		Rows      [][]float64 `json:"rows_blocks"`
		F         float64     `json:"F_obs"`
		P         float64     `json:"p_F_exact"`
		Friedman  float64     `json:"friedman_Q"`
		PFriedman float64     `json:"p_friedman_exact"`
		N         float64     `json:"n_perm"`
	}
	Oneway struct {
		Values []float64
		Groups []int
		F      float64
		N      float64 `json:"n_perm"`
		P      float64 `json:"p_exact"`
	} `json:"oneway_3x3"`
	Bootstrap struct {
		X          []float64
		Mean       float64
		BootMean   float64   `json:"boot_mean"`
		SE         float64   `json:"se_boot_sd"`
		Percentile []float64 `json:"percentile_type7"`
		Z0         float64   `json:"z0"`
		Accel      float64   `json:"accel_jackknife"`
		Levels     []float64 `json:"bca_levels_jackknife"`
		BCa        []float64 `json:"bca_type7_jackknife"`
	} `json:"bootstrap_mean"`
	Indices [][]int
}

func load(t *testing.T) *references {
	t.Helper()
	raw, err := os.ReadFile("testdata/resampling.json")
	if err != nil {
		t.Fatal(err)
	}
	var r references
	if err := json.Unmarshal(raw, &r); err != nil {
		t.Fatal(err)
	}
	return &r
}

// difference is the mean of label 0 minus the mean of label 1, the order of
// the reference.
func difference(y []float64) func([]int) float64 {
	return func(labels []int) float64 {
		var sum, n [2]float64
		for i, l := range labels {
			sum[l] += y[i]
			n[l]++
		}
		return sum[0]/n[0] - sum[1]/n[1]
	}
}

func twoGroups(a, b []float64) (y []float64, labels []int) {
	y = append(slices.Clone(a), b...)
	labels = make([]int, len(y))
	for i := range b {
		labels[len(a)+i] = 1
	}
	return y, labels
}

// oneway is the F ratio of a one-way layout, or of a layout with blocks when
// block is not nil (balanced).
func oneway(y []float64, groups int, block []int) func([]int) float64 {
	return func(labels []int) float64 {
		blocks := 1
		b := func(i int) int { return 0 }
		if block != nil {
			blocks = slices.Max(block) + 1
			b = func(i int) int { return block[i] }
		}
		g, nb := make([]float64, groups), make([]float64, blocks)
		gn, bn := make([]float64, groups), make([]float64, blocks)
		m := mean(y)
		for i, v := range y {
			g[labels[i]] += v
			gn[labels[i]]++
			nb[b(i)] += v
			bn[b(i)]++
		}
		ssg, sse := 0.0, 0.0
		for i := range g {
			g[i] /= gn[i]
			ssg += gn[i] * (g[i] - m) * (g[i] - m)
		}
		for i := range nb {
			nb[i] /= bn[i]
		}
		for i, v := range y {
			e := v - g[labels[i]] - nb[b(i)] + m
			sse += e * e
		}
		d1 := float64(groups - 1)
		d2 := float64(len(y)-1) - d1 - float64(blocks-1)
		return ssg / d1 / (sse / d2)
	}
}

func TestTwoGroupsExact(t *testing.T) {
	t.Parallel()
	r := load(t)
	for name, c := range map[string]struct {
		a, b []float64
		want perm
	}{
		"plant growth": {r.Ctrl, r.Trt2, r.Plantgrowth},
		"hand vectors": {r.Small.A, r.Small.B, r.Small.Perm},
	} {
		y, labels := twoGroups(c.a, c.b)
		for tail, want := range map[Tail]float64{TwoSided: c.want.Two, Greater: c.want.Greater, Less: c.want.Less} {
			p, err := Permute(labels, nil, difference(y), Options{Tail: tail})
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			reftest.Within(t, name+" p", p.P, want, 1e-12, r.Source)
			reftest.Within(t, name+" difference", p.Statistic, c.want.Diff, 1e-12, r.Source)
			if p.Arrangements != c.want.N || float64(p.Draws) != c.want.N || !p.Full {
				t.Errorf("%s: %v arrangements, %d drawn, full %v", name, p.Arrangements, p.Draws, p.Full)
			}
		}
	}
}

func TestLayoutsExact(t *testing.T) {
	t.Parallel()
	r := load(t)
	o := r.Oneway
	labels := make([]int, len(o.Groups))
	for i, g := range o.Groups {
		labels[i] = g - 1
	}
	p, err := Permute(labels, nil, oneway(o.Values, 3, nil), Options{Tail: Greater})
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "one-way F", p.Statistic, o.F, 1e-12, r.Source)
	reftest.Within(t, "one-way p", p.P, o.P, 1e-12, r.Source)
	if p.Arrangements != o.N {
		t.Errorf("%v arrangements", p.Arrangements)
	}

	var y []float64
	var block, treat []int
	for b, row := range r.Blocked.Rows {
		for k, v := range row {
			y, block, treat = append(y, v), append(block, b), append(treat, k)
		}
	}
	p, err = Permute(treat, block, oneway(y, 3, block), Options{Tail: Greater})
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "blocked F", p.Statistic, r.Blocked.F, 1e-12, r.Source)
	reftest.Within(t, "blocked p", p.P, r.Blocked.P, 1e-12, r.Source)
	if p.Arrangements != r.Blocked.N {
		t.Errorf("%v arrangements", p.Arrangements)
	}
	friedman := func(labels []int) float64 {
		sums := make([]float64, 3)
		for b := range r.Blocked.Rows {
			for i := range 3 {
				rank := 1.0
				for j := range 3 {
					if y[b*3+j] < y[b*3+i] {
						rank++
					}
				}
				sums[labels[b*3+i]] += rank
			}
		}
		q := 0.0
		for _, s := range sums {
			q += (s - 8) * (s - 8)
		}
		return 12 * q / (4 * 3 * 4)
	}
	p, err = Permute(treat, block, friedman, Options{Tail: Greater})
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "Friedman", p.Statistic, r.Blocked.Friedman, 1e-12, r.Source)
	reftest.Within(t, "Friedman p", p.P, r.Blocked.PFriedman, 1e-12, r.Source)
}

func TestSignFlipExact(t *testing.T) {
	t.Parallel()
	r := load(t)
	p, err := SignFlip(r.Sleep.D, nil, Options{})
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "p", p.P, r.Sleep.P, 1e-12, r.Source)
	if p.Arrangements != r.Sleep.N {
		t.Errorf("%v arrangements", p.Arrangements)
	}
}

func TestFewArrangements(t *testing.T) {
	t.Parallel()
	// Two against two: 6 arrangements, and the mirrored one is as extreme.
	y := []float64{1, 2, 8, 9}
	_, err := Permute([]int{0, 0, 1, 1}, nil, difference(y), Options{})
	var few *FewArrangements
	if !errors.As(err, &few) || !errors.Is(err, stats.ErrTooFew) {
		t.Fatalf("err = %v", err)
	}
	if few.Arrangements != 6 || math.Abs(few.Smallest-1.0/3) > 1e-15 {
		t.Errorf("%+v", few)
	}
	// Pairs: 2^4 = 16 flips, two-sided 2/16; 2^6 gives 2/64 and can reach 5 %.
	if _, err = SignFlip([]float64{1, 2, 3, 4}, nil, Options{}); !errors.As(err, &few) || few.Smallest != 0.125 {
		t.Errorf("4 pairs: %v", err)
	}
	p, err := SignFlip([]float64{1, 2, 3, 4, 5, 6}, nil, Options{})
	if err != nil || p.P != 2.0/64 || p.Smallest != 2.0/64 {
		t.Errorf("6 pairs: %+v, %v", p, err)
	}
	// One-sided, three against three: 1/20 just reaches 5 %.
	if p, err = Permute([]int{0, 0, 0, 1, 1, 1}, nil, difference([]float64{1, 2, 3, 7, 8, 9}), Options{Tail: Less}); err != nil || p.P != 0.05 {
		t.Errorf("3 against 3: %+v, %v", p, err)
	}
}

// TestSampled: above the limit a seeded sample is close to the exact p, follows
// the (b+1)/(m+1) rule, repeats itself, and does not depend on the cores.
func TestSampled(t *testing.T) {
	r := load(t)
	y, labels := twoGroups(append(slices.Clone(r.Ctrl), 5.0), append(slices.Clone(r.Trt2), 5.5))
	run := func(seed uint64) *Permutation {
		p, err := Permute(labels, nil, difference(y), Options{Seed: seed, Draws: 4999})
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	a := run(1)
	if a.Full || a.Arrangements != 705432 || a.Draws != 4999 {
		t.Errorf("%+v", a)
	}
	if want := float64(a.Extreme+1) / 5000; a.P != want {
		t.Errorf("p = %v, want %v", a.P, want)
	}
	old := runtime.GOMAXPROCS(1)
	b := run(1)
	runtime.GOMAXPROCS(old)
	if !reflect.DeepEqual(a, b) {
		t.Errorf("one core: %+v, several: %+v", b, a)
	}
	if c := run(2); c.Extreme == a.Extreme {
		t.Logf("seeds 1 and 2 agree in %d", c.Extreme)
	}
	// The exact p from full enumeration of 705 432 arrangements, here by hand.
	d := newDesign(labels, nil)
	buf := [][]int{make([]int, len(labels))}
	stat := difference(y)
	count, n, obs := 0, 0, math.Abs(stat(labels))
	for d.fill(buf) == 1 {
		n++
		if math.Abs(stat(buf[0])) >= obs-1e-12 {
			count++
		}
	}
	if n != 705432 {
		t.Fatalf("%d arrangements", n)
	}
	exact := float64(count) / float64(n)
	if se := math.Sqrt(exact * (1 - exact) / 5000); math.Abs(a.P-exact) > 4*se {
		t.Errorf("sampled p %v, exact %v ± %v", a.P, exact, se)
	}
}

func TestPermuteProperties(t *testing.T) {
	t.Parallel()
	y := []float64{3, 1, 4, 1.5, 5, 9, 2, 6}
	labels := []int{0, 0, 0, 0, 1, 1, 1, 1}
	keepY, keepL := slices.Clone(y), slices.Clone(labels)
	base, err := Permute(labels, nil, difference(y), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(y, keepY) || !slices.Equal(labels, keepL) {
		t.Error("inputs were altered")
	}
	// Shift and scale of the data, permutation of the units, other names of the
	// labels and blocks leave p alone.
	scaled := make([]float64, len(y))
	for i, v := range y {
		scaled[i] = -3*v + 1e6
	}
	order := []int{5, 2, 7, 0, 1, 6, 3, 4}
	py, pl := make([]float64, len(y)), make([]int, len(y))
	for i, o := range order {
		py[i], pl[i] = y[o], labels[o]
	}
	swapped := []int{1, 1, 1, 1, 0, 0, 0, 0}
	for name, c := range map[string]struct {
		y      []float64
		labels []int
		blocks []int
	}{
		"scaled": {scaled, labels, nil}, "reordered": {py, pl, nil}, "relabelled": {y, swapped, nil},
		"one block": {y, labels, []int{9, 9, 9, 9, 9, 9, 9, 9}},
	} {
		p, err := Permute(c.labels, c.blocks, difference(c.y), Options{})
		if err != nil || p.P != base.P {
			t.Errorf("%s: p = %v, want %v (%v)", name, p, base.P, err)
		}
	}
}

func TestEdges(t *testing.T) {
	t.Parallel()
	one := func([]int) float64 { return 1 }
	bad := func([]int) float64 { return math.NaN() }
	for name, c := range map[string]struct {
		run  func() error
		want error
	}{
		"no units":       {func() error { _, err := Permute(nil, nil, one, Options{}); return err }, stats.ErrEmpty},
		"no statistic":   {func() error { _, err := Permute([]int{0, 1}, nil, nil, Options{}); return err }, stats.ErrEmpty},
		"one label":      {func() error { _, err := Permute([]int{1, 1, 1}, nil, one, Options{}); return err }, stats.ErrNoVariation},
		"aliased blocks": {func() error { _, err := Permute([]int{0, 1}, []int{0, 1}, one, Options{}); return err }, stats.ErrNoVariation},
		"lengths":        {func() error { _, err := Permute([]int{0, 1}, []int{0}, one, Options{}); return err }, stats.ErrLengths},
		"NaN":            {func() error { _, err := Permute([]int{0, 1}, nil, bad, Options{}); return err }, stats.ErrNonFinite},
		"constant":       {func() error { _, err := Permute([]int{0, 0, 1, 1}, nil, one, Options{}); return err }, stats.ErrTooFew},
		"tail":           {func() error { _, err := Permute([]int{0, 1}, nil, one, Options{Tail: 7}); return err }, stats.ErrDomain},
		"alpha":          {func() error { _, err := Permute([]int{0, 1}, nil, one, Options{Alpha: 2}); return err }, stats.ErrDomain},
		"draws":          {func() error { _, err := Permute([]int{0, 1}, nil, one, Options{Draws: -1}); return err }, stats.ErrDomain},
		"no differences": {func() error { _, err := SignFlip(nil, nil, Options{}); return err }, stats.ErrEmpty},
		"zeros":          {func() error { _, err := SignFlip([]float64{0, 0}, nil, Options{}); return err }, stats.ErrNoVariation},
		"infinite":       {func() error { _, err := SignFlip([]float64{1, math.Inf(1)}, nil, Options{}); return err }, stats.ErrNonFinite},
		"one difference": {func() error { _, err := SignFlip([]float64{1}, nil, Options{}); return err }, stats.ErrTooFew},
		"seven units":    {func() error { _, err := Bootstrap(7, nil, one, BootOptions{}); return err }, stats.ErrTooFew},
		"no units boot":  {func() error { _, err := Bootstrap(-1, nil, one, BootOptions{}); return err }, stats.ErrTooFew},
		"block of one":   {func() error { _, err := Bootstrap(8, []int{0, 1, 1, 1, 1, 1, 1, 1}, one, BootOptions{}); return err }, stats.ErrTooFew},
		"blocks short":   {func() error { _, err := Bootstrap(8, []int{0}, one, BootOptions{}); return err }, stats.ErrLengths},
		"constant boot":  {func() error { _, err := Bootstrap(8, nil, one, BootOptions{}); return err }, stats.ErrNoVariation},
		"NaN boot":       {func() error { _, err := Bootstrap(8, nil, bad, BootOptions{}); return err }, stats.ErrNonFinite},
		"level":          {func() error { _, err := Bootstrap(8, nil, one, BootOptions{Level: 1}); return err }, stats.ErrDomain},
		"no draws":       {func() error { _, err := BootstrapFrom(nil, 8, one, BootOptions{}); return err }, stats.ErrEmpty},
		"empty draw":     {func() error { _, err := BootstrapFrom([][]int{{}}, 8, one, BootOptions{}); return err }, stats.ErrEmpty},
		"unit number":    {func() error { _, err := BootstrapFrom([][]int{{8}}, 8, one, BootOptions{}); return err }, stats.ErrDomain},
	} {
		if err := c.run(); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
}

func TestBootstrapRecorded(t *testing.T) {
	t.Parallel()
	r := load(t)
	b := r.Bootstrap
	draws := make([][]int, len(r.Indices))
	for i, row := range r.Indices {
		for _, v := range row {
			draws[i] = append(draws[i], v-1)
		}
	}
	stat := func(units []int) float64 {
		s := 0.0
		for _, u := range units {
			s += b.X[u]
		}
		return s / float64(len(units))
	}
	got, err := BootstrapFrom(draws, len(b.X), stat, BootOptions{})
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "estimate", got.Estimate, b.Mean, 1e-12, r.Source)
	reftest.Within(t, "mean", got.Mean, b.BootMean, 1e-12, r.Source)
	reftest.Within(t, "SE", got.SE, b.SE, 1e-12, r.Source)
	reftest.Within(t, "percentile low", got.Percentile.Low, b.Percentile[0], 1e-12, r.Source)
	reftest.Within(t, "percentile high", got.Percentile.High, b.Percentile[1], 1e-12, r.Source)
	reftest.Within(t, "z0", got.Z0, b.Z0, 1e-9, r.Source)
	reftest.Within(t, "acceleration", got.Acceleration, b.Accel, 1e-12, r.Source)
	reftest.Within(t, "level low", got.Levels[0], b.Levels[0], 1e-9, r.Source)
	reftest.Within(t, "level high", got.Levels[1], b.Levels[1], 1e-9, r.Source)
	reftest.Within(t, "BCa low", got.BCa.Low, b.BCa[0], 1e-9, r.Source)
	reftest.Within(t, "BCa high", got.BCa.High, b.BCa[1], 1e-9, r.Source)
}

// TestBootstrapBlocks: draws stay within blocks, repeat themselves for a seed
// whatever the cores, and a statistic that only blocks move does not vary.
func TestBootstrapBlocks(t *testing.T) {
	blocks := []int{0, 0, 0, 0, 5, 5, 5, 5}
	x := []float64{1, 2, 3, 4, 10, 12, 14, 17}
	stat := func(units []int) float64 {
		s := 0.0
		for _, u := range units {
			s += x[u]
		}
		return s / float64(len(units))
	}
	a, err := Bootstrap(8, blocks, stat, BootOptions{Seed: 3, Draws: 4000})
	if err != nil {
		t.Fatal(err)
	}
	old := runtime.GOMAXPROCS(1)
	b, err := Bootstrap(8, blocks, stat, BootOptions{Seed: 3, Draws: 4000})
	runtime.GOMAXPROCS(old)
	if err != nil || !reflect.DeepEqual(a, b) {
		t.Errorf("one core differs: %v", err)
	}
	// The variance of a stratified mean: Σ (n_b/n)² σ_b²/n_b with divisor n_b.
	want := math.Sqrt(0.25*1.25/4 + 0.25*6.6875/4)
	if math.Abs(a.SE/want-1) > 0.05 { // 4 000 draws: 1.1 % is one Monte Carlo SE
		t.Errorf("SE = %v, want about %v", a.SE, want)
	}
	if a.BCa == nil || a.BCa.Low >= a.Estimate || a.BCa.High <= a.Estimate {
		t.Errorf("BCa %+v about %v", a.BCa, a.Estimate)
	}
	block := func(units []int) float64 {
		n := 0.0
		for _, u := range units {
			if blocks[u] == 0 {
				n++
			}
		}
		return n / 4
	}
	if _, err := Bootstrap(8, blocks, block, BootOptions{}); !errors.Is(err, stats.ErrNoVariation) {
		t.Errorf("a block lost units: %v", err)
	}
}

func FuzzPermute(f *testing.F) {
	f.Add([]byte{0, 1, 0, 1}, []byte{0, 0, 1, 1})
	f.Add([]byte{0, 0, 0, 1, 1, 2}, []byte{})
	f.Fuzz(func(t *testing.T, l, b []byte) {
		if len(l) > 9 {
			return
		}
		labels := make([]int, len(l))
		for i, v := range l {
			labels[i] = int(v)
		}
		var blocks []int
		for _, v := range b {
			blocks = append(blocks, int(v))
		}
		stat := func(labels []int) float64 {
			s := 0.0
			for i, v := range labels {
				s += float64((i + 1) * v)
			}
			return s
		}
		p, err := Permute(labels, blocks, stat, Options{Alpha: 0.999, Tail: Greater, Draws: 2000})
		if err != nil {
			return
		}
		if !(p.P > 0 && p.P <= 1) || p.Smallest > p.P+1e-15 || p.Full && float64(p.Draws) != p.Arrangements {
			t.Errorf("%+v", p)
		}
	})
}

func BenchmarkBootstrap(b *testing.B) {
	x := make([]float64, 40)
	for i := range x {
		x[i] = math.Sin(float64(i))
	}
	stat := func(units []int) float64 {
		s := 0.0
		for _, u := range units {
			s += x[u]
		}
		return s
	}
	for b.Loop() {
		if _, err := Bootstrap(40, nil, stat, BootOptions{Draws: 10_000}); err != nil {
			b.Fatal(err)
		}
	}
}
