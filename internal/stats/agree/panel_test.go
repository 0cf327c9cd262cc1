package agree_test

import (
	"bufio"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"

	"tamis/internal/stats"
	"tamis/internal/stats/agree"
	"tamis/internal/stats/internal/reftest"
)

func wine(t *testing.T) []agree.Score {
	t.Helper()
	f, err := os.Open("testdata/wine.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var out []agree.Score
	for sc := bufio.NewScanner(f); sc.Scan(); {
		if strings.HasPrefix(sc.Text(), "#") || strings.HasPrefix(sc.Text(), "response") {
			continue
		}
		var s agree.Score
		if _, err := fmt.Sscanf(sc.Text(), "%f,%d,%d,%d", &s.Value, &s.Product, &s.Repeat, &s.Assessor); err != nil {
			t.Fatal(err)
		}
		out = append(out, s)
	}
	if len(out) != 72 {
		t.Fatalf("%d scores", len(out))
	}
	return out
}

func TestPanelWine(t *testing.T) {
	t.Parallel()
	scores := wine(t)
	before := slices.Clone(scores)
	r, err := agree.Panel(scores)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(before, scores) {
		t.Error("input altered")
	}
	const src = "Randall 1989, R 4.2.2 lm"
	reftest.Within(t, "SS product", r.ByProduct.SS, 12883.44444444444, 1e-12, src)
	reftest.Within(t, "SS judge", r.ByAssessor.SS, 5909.94444444445, 1e-12, src)
	reftest.Within(t, "SS product × judge", r.ProductAssessor.SS, 4100.05555555555, 1e-12, src)
	reftest.Within(t, "SS error", r.Error.SS, 5025, 1e-12, src)
	reftest.WithinAbs(t, "F", r.Product.F, 25.14, 0, 0.005, "worked panel example, two decimals")
	reftest.WithinAbs(t, "p", r.Product.P, 1.4e-7, 0, 0.05e-7, "worked panel example, two digits")
	reftest.WithinAbs(t, "crossover F", r.Crossover.F, 1.22, 0, 0.005, "worked panel example, two decimals")
	reftest.WithinAbs(t, "crossover p", r.Crossover.P, 0.286, 0, 5e-4, "worked panel example, three decimals")
	for i, want := range []float64{31.06, 40.56, 50.00, 67.28} {
		reftest.WithinAbs(t, "mean", r.Products[i].Mean, want, 0, 0.006, "worked panel example, two decimals")
		reftest.Within(t, "adjusted", r.Products[i].Adjusted, r.Products[i].Mean, 1e-12, "complete data need no adjustment")
	}
	if !r.Complete || !r.Balanced || r.Empty != 0 || len(r.Warnings) != 0 {
		t.Errorf("%+v", r)
	}
	// In complete data biases add up to 0 and slopes average near 1.
	sum := 0.0
	for _, a := range r.Assessors {
		sum += a.Bias.Value
	}
	reftest.WithinAbs(t, "sum of biases", sum, 0, 0, 1e-10, "each is against the mean of the others")
}

func TestPanelUnbalanced(t *testing.T) {
	t.Parallel()
	all := wine(t)
	var scores []agree.Score
	for i, s := range all {
		if !slices.Contains([]int{1, 2, 10, 19, 30, 31}, i+1) {
			scores = append(scores, s)
		}
	}
	r, err := agree.Panel(scores)
	if err != nil {
		t.Fatal(err)
	}
	const src = "R 4.2.2 lm, drop1 and predict on the same 66 rows"
	reftest.Within(t, "interaction", r.ProductAssessor.SS, 4182.39684666537, 1e-11, src)
	reftest.Within(t, "error", r.Error.SS, 4222.00000000001, 1e-11, src)
	reftest.Within(t, "product", r.ByProduct.SS, 10094.8769628585, 1e-11, src)
	reftest.Within(t, "assessor", r.ByAssessor.SS, 5748.82668274639, 1e-11, src)
	if r.ProductAssessor.DF != 23 || r.Error.DF != 31 || r.Complete || r.Empty != 1 || len(r.Warnings) != 1 {
		t.Errorf("%+v", r)
	}
	one, five := r.Assessors[0], r.Assessors[4]
	reftest.Within(t, "1 F", one.Discrimination.F, 3.594850948509487, 1e-11, src)
	reftest.Within(t, "1 p", one.Discrimination.P, 0.159749557526906, 1e-11, src)
	reftest.Within(t, "1 SD", one.RepeatSD.Value, 11.090536506409409, 1e-11, src)
	reftest.Within(t, "1 slope", one.Scale.Value, 1.19100836284465, 1e-10, src)
	reftest.Within(t, "1 bias", one.Bias.Value, (68.5+57+86.5-48.5927419354839-39.0380893300248-63.7927419354839)/3, 1e-11, src)
	reftest.Within(t, "5 F", five.Discrimination.F, 1.593406593406594, 1e-11, src)
	reftest.Within(t, "5 r", five.Agreement.Value, 0.781085670200411, 1e-11, src)
	reftest.Within(t, "5 slope", five.Scale.Value, 0.451694267129566, 1e-11, src)
	reftest.Within(t, "5 bias", five.Bias.Value, -0.823130796443259, 1e-10, src)
	if one.Common != 3 || one.Products != 3 {
		t.Errorf("%+v", one)
	}
}

func TestPanelProperties(t *testing.T) {
	t.Parallel()
	scores := wine(t)[:60] // not balanced
	base, err := agree.Panel(scores)
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(4, 4))
	moved := slices.Clone(scores)
	rng.Shuffle(len(moved), func(i, j int) { moved[i], moved[j] = moved[j], moved[i] })
	same, _ := agree.Panel(moved)
	if !reflect.DeepEqual(base, same) {
		t.Error("the order of rows matters")
	}
	for i := range moved {
		moved[i].Value = 7 - 3*moved[i].Value
		moved[i].Product = 100 - moved[i].Product
		moved[i].Assessor *= 10
	}
	got, err := agree.Panel(moved)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "F", got.Product.F, base.Product.F, 1e-11, "shift and scale")
	for i, a := range got.Assessors {
		b := base.Assessors[i]
		reftest.Within(t, "r", a.Agreement.Value, b.Agreement.Value, 1e-11, "turned scale keeps the correlation")
		reftest.Within(t, "slope", a.Scale.Value, b.Scale.Value, 1e-11, "same")
		reftest.WithinAbs(t, "bias", a.Bias.Value, -3*b.Bias.Value, 1e-9, 1e-11, "equivariance")
		reftest.Within(t, "SD", a.RepeatSD.Value, 3*b.RepeatSD.Value, 1e-11, "equivariance")
	}
}

func TestPanelAbsences(t *testing.T) {
	t.Parallel()
	// Two products, no repeats; assessor 3 saw one product only.
	r, err := agree.Panel([]agree.Score{{0, 1, 0, 2}, {1, 1, 0, 5}, {0, 2, 0, 3}, {1, 2, 0, 4}, {0, 3, 0, 9}})
	if err != nil {
		t.Fatal(err)
	}
	noNaN(t, reflect.ValueOf(r))
	if r.Crossover.Absent != agree.NoRepeats || !r.Product.OK() {
		t.Errorf("%+v", r)
	}
	a := r.Assessors[0]
	if a.RepeatSD.Absent != agree.NoRepeats || a.Discrimination.Absent != agree.NoRepeats || a.Agreement.Absent != agree.TwoProducts || !a.Scale.OK() || !a.Bias.OK() {
		t.Errorf("%+v", a)
	}
	c := r.Assessors[2]
	if c.Discrimination.Absent != agree.OneProduct || c.Scale.Absent != agree.OneProduct || !c.Bias.OK() {
		t.Errorf("%+v", c)
	}
	// Perfect repeats: no error to test against.
	r, err = agree.Panel([]agree.Score{{0, 1, 0, 2}, {0, 1, 1, 2}, {1, 1, 0, 5}, {1, 1, 1, 5}, {0, 2, 0, 3}, {1, 2, 0, 3}})
	if err != nil {
		t.Fatal(err)
	}
	if a := r.Assessors[0]; a.Discrimination.Absent != agree.NoError || a.RepeatSD.Value != 0 || a.Scale.Absent != agree.NoSpread {
		t.Errorf("%+v", a)
	}
	if r.Crossover.Absent != agree.NoError {
		t.Errorf("%+v", r.Crossover)
	}
	// Without assessor 2 the others never met: his own comparison is not possible.
	r, err = agree.Panel([]agree.Score{{0, 1, 0, 2}, {0, 2, 0, 3}, {1, 2, 0, 4}, {1, 3, 0, 5}})
	if err != nil {
		t.Fatal(err)
	}
	if a := r.Assessors[1]; a.Bias.Absent != agree.NotJoined {
		t.Errorf("%+v", a)
	}
	for _, c := range []struct {
		name   string
		scores []agree.Score
		want   error
	}{
		{"empty", nil, stats.ErrEmpty}, {"NaN", []agree.Score{{0, 0, 0, math.NaN()}}, stats.ErrNonFinite},
		{"one assessor", []agree.Score{{0, 1, 0, 1}, {1, 1, 0, 2}}, stats.ErrTooFew},
		{"twice", []agree.Score{{0, 1, 0, 1}, {0, 1, 0, 2}}, stats.ErrDomain},
		{"apart", []agree.Score{{0, 1, 0, 1}, {1, 2, 0, 2}}, stats.ErrSingular},
		{"huge", []agree.Score{{0, 1, 0, 1e200}}, stats.ErrDomain},
	} {
		if _, err := agree.Panel(c.scores); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	constant, err := agree.Panel([]agree.Score{{0, 1, 0, 3}, {1, 1, 0, 3}, {0, 2, 0, 3}, {1, 2, 0, 3}})
	if err != nil || constant.Product.Absent != agree.NoError {
		t.Errorf("constant: %+v %v", constant, err)
	}
}

func FuzzPanel(f *testing.F) {
	f.Add([]byte{0, 1, 0, 2, 1, 1, 0, 5, 0, 2, 0, 3, 1, 2, 0, 4})
	f.Fuzz(func(t *testing.T, data []byte) {
		var scores []agree.Score
		for ; len(data) >= 4 && len(scores) < 200; data = data[4:] {
			scores = append(scores, agree.Score{Product: int(data[0] % 5), Assessor: int(data[1] % 6), Repeat: int(data[2] % 4), Value: float64(data[3] % 12)})
		}
		if r, err := agree.Panel(scores); err == nil {
			noNaN(t, reflect.ValueOf(r))
		}
	})
}

func TestPenalty(t *testing.T) {
	t.Parallel()
	// 40 people: 12 too soft (5.5), 20 right (7.2), 8 too firm (6.4).
	var judged []int
	var liking []float64
	add := func(side, n int, scores ...float64) {
		for i := range n {
			judged = append(judged, side)
			liking = append(liking, scores[i%len(scores)])
		}
	}
	add(-1, 12, 5, 6)
	add(0, 20, 7, 7, 7, 7, 8)
	add(1, 8, 6, 7, 6, 7, 6, 7, 6, 6.2)
	r, err := agree.Penalty(judged, liking, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	const src = "worked example of 40 people"
	reftest.Within(t, "drop", r.TooLittle.Drop.Value, 1.7, 1e-12, src)
	reftest.Within(t, "drop", r.TooMuch.Drop.Value, 0.8, 1e-12, src)
	reftest.Within(t, "weighted", r.TooLittle.Weighted.Value, 0.51, 1e-12, src)
	reftest.Within(t, "weighted", r.TooMuch.Weighted.Value, 0.16, 1e-12, src)
	reftest.Within(t, "share", r.Right.Share, 0.5, 1e-15, src)
	reftest.Within(t, "total", r.WeightedTotal.Value, 0.67, 1e-12, src)
	reftest.Within(t, "what all lose", r.Right.Mean.Value-r.Liking, r.WeightedTotal.Value, 1e-12, "the weighted drops add up to the mean of the right less that of all")
	w, err := agree.Penalty([]int{0, 0, 0, 0, 0, 0, 1, 1, 1, 1}, []float64{5, 6, 7, 8, 9, 7, 4, 5, 6, 5}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	s := w.TooMuch
	reftest.Within(t, "low", s.Interval.Low, 0.3673040272551081, 1e-10, "R 4.2.2 t.test")
	reftest.Within(t, "high", s.Interval.High, 3.6326959727448913, 1e-10, "R 4.2.2 t.test")
	reftest.Within(t, "p", s.P, 0.0223693188349445, 1e-10, "R 4.2.2 t.test")
	reftest.Within(t, "df", s.DF, 7.9411764705882382, 1e-12, "R 4.2.2 t.test")
	if w.TooLittle.Why != agree.NobodyInIt || w.TooLittle.Drop.OK() || w.TooLittle.People != 0 {
		t.Errorf("%+v", w.TooLittle)
	}
	noNaN(t, reflect.ValueOf(w))
	one, _ := agree.Penalty([]int{0, 0, 5}, []float64{7, 8, 5}, 0.9)
	if one.TooMuch.Why != agree.TooFewInIt || one.TooMuch.Drop.Value != 2.5 {
		t.Errorf("%+v", one.TooMuch)
	}
	flat, _ := agree.Penalty([]int{0, 0, 5, 5}, []float64{7, 7, 5, 5}, 0.9)
	if flat.TooMuch.Why != agree.NoSpread || flat.TooMuch.HasInterval {
		t.Errorf("%+v", flat.TooMuch)
	}
	nobody, err := agree.Penalty([]int{1, -1}, []float64{7, 7}, 0.9)
	if err != nil || nobody.WeightedTotal.OK() || nobody.Right.Mean.OK() {
		t.Errorf("%+v %v", nobody, err)
	}
	for _, c := range []struct {
		j    []int
		l    []float64
		lv   float64
		want error
	}{
		{nil, nil, 0.9, stats.ErrEmpty}, {[]int{1}, nil, 0.9, stats.ErrLengths}, {[]int{1}, []float64{math.Inf(1)}, 0.9, stats.ErrNonFinite}, {[]int{1}, []float64{1}, 0, stats.ErrDomain},
	} {
		if _, err := agree.Penalty(c.j, c.l, c.lv); !errors.Is(err, c.want) {
			t.Errorf("%+v: %v", c, err)
		}
	}
}

func TestPreferences(t *testing.T) {
	t.Parallel()
	nan := math.NaN()
	r, err := agree.Preferences([][]float64{{7, 5, 3}, {6, 6, 2}, {nan, 4, 8}, {nan, nan, 9}, {5, 5, 5}})
	if err != nil {
		t.Fatal(err)
	}
	if r.People != 4 || r.Skipped != 1 || r.Undecided != 1 || len(r.Warnings) != 1 {
		t.Errorf("%+v", r)
	}
	for j, want := range []float64{(1 + 0.5 + 1./3) / 4, (0.5 + 1./3) / 4, (1 + 1./3) / 4} {
		reftest.Within(t, "share", r.Shares[j], want, 1e-14, "counted by hand")
	}
	reftest.Within(t, "mean", r.Means[2].Value, (3+2+8+9+5)/5., 1e-14, "counted by hand")
	for _, c := range []struct {
		l    [][]float64
		want error
	}{
		{nil, stats.ErrEmpty}, {[][]float64{{1, 2}, {1}}, stats.ErrLengths}, {[][]float64{{1}}, stats.ErrTooFew},
		{[][]float64{{1, nan}}, stats.ErrTooFew}, {[][]float64{{1, math.Inf(1)}}, stats.ErrNonFinite},
	} {
		if _, err := agree.Preferences(c.l); !errors.Is(err, c.want) {
			t.Errorf("%v: %v", c.l, err)
		}
	}
}

// crowd makes n people × k products: a share of them with the preferences turned
// round, and a common direction of individual strength when spread is above 0.
func crowd(rng *rand.Rand, n, k int, apart, spread float64) [][]float64 {
	out := make([][]float64, n)
	for i := range out {
		sign := apart
		if i%5 < 2 {
			sign = -apart
		}
		own := rng.NormFloat64() * 2
		s := sign + spread*rng.NormFloat64()
		out[i] = make([]float64, k)
		for j := range out[i] {
			out[i][j] = 6 + own + s*(float64(j)/float64(k-1)*2-1) + 0.7*rng.NormFloat64()
		}
	}
	return out
}

func TestSegmentsFoundAndRefused(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(6, 7))
	people := crowd(rng, 90, 5, 2, 0)
	before := clone(people)
	r, err := agree.Segments(people, agree.SegmentOptions{Seed: 1, Draws: 199})
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(before, people) {
		t.Error("input altered")
	}
	if !r.Claimed || r.SameFavourite || r.Size != [2]int{54, 36} || r.P > 0.01 || r.Silhouette < 0.4 {
		t.Errorf("two groups: %+v", r)
	}
	for i, g := range r.Group {
		if (i%5 < 2) != (g == 1) {
			t.Fatalf("person %d in group %d", i, g)
		}
	}
	again, _ := agree.Segments(people, agree.SegmentOptions{Seed: 1, Draws: 199})
	if !reflect.DeepEqual(r, again) {
		t.Error("not the same on the second run")
	}
	people[0][2] = math.NaN()
	gap, err := agree.Segments(people, agree.SegmentOptions{Seed: 1, Draws: 99})
	if err != nil || gap.Skipped != 1 || gap.Group[0] != -1 || !gap.Claimed {
		t.Errorf("with a gap: %+v %v", gap, err)
	}
	few := crowd(rng, 60, 4, 0, 0)
	for i := range 3 { // three odd people are no segment
		few[i] = []float64{30, 0, 30, 0}
	}
	odd, err := agree.Segments(few, agree.SegmentOptions{Draws: 99})
	if err != nil || odd.Claimed || odd.Warnings[0].ID != "segment-too-small" {
		t.Errorf("%+v %v", odd, err)
	}
}

func TestSegmentsFalseClaims(t *testing.T) {
	t.Parallel()
	draws := 200
	if testing.Short() {
		draws = 40
	}
	for name, spread := range map[string]float64{"homogeneous": 0, "a range of tastes": 1.5} {
		rng := rand.New(rand.NewPCG(8, 9))
		claims := 0
		for i := range draws {
			r, err := agree.Segments(crowd(rng, 60, 5, 0, spread), agree.SegmentOptions{Seed: uint64(i), Draws: 39})
			if err != nil {
				t.Fatal(err)
			}
			if r.Claimed {
				claims++
			}
		}
		// At most 5 % and three Monte Carlo SE.
		limit := 0.05 + 3*math.Sqrt(0.05*0.95/float64(draws))
		if share := float64(claims) / float64(draws); share > limit {
			t.Errorf("%s: segments claimed in %v of the draws", name, share)
		}
	}
}

func TestSegmentEdges(t *testing.T) {
	t.Parallel()
	nan := math.NaN()
	same := make([][]float64, 12)
	for i := range same {
		same[i] = []float64{float64(i), float64(i) + 1, float64(i) + 5}
	}
	for _, c := range []struct {
		name string
		l    [][]float64
		opt  agree.SegmentOptions
		want error
	}{
		{"empty", nil, agree.SegmentOptions{}, stats.ErrEmpty},
		{"few", same[:9], agree.SegmentOptions{}, stats.ErrTooFew},
		{"holes", [][]float64{{1, nan}, {1, nan}}, agree.SegmentOptions{}, stats.ErrTooFew},
		{"same preferences", same, agree.SegmentOptions{}, stats.ErrNoVariation},
		{"alpha", same, agree.SegmentOptions{Alpha: 2}, stats.ErrDomain},
		{"draws", same, agree.SegmentOptions{Draws: 3}, stats.ErrDomain},
		{"infinite", [][]float64{{1, math.Inf(-1)}}, agree.SegmentOptions{}, stats.ErrNonFinite},
		{"many", make5001(), agree.SegmentOptions{}, stats.ErrTooLarge},
	} {
		if _, err := agree.Segments(c.l, c.opt); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

func make5001() [][]float64 {
	out := make([][]float64, 5001)
	for i := range out {
		out[i] = []float64{float64(i % 3), 1}
	}
	return out
}

func FuzzSegments(f *testing.F) {
	f.Add([]byte("a table of liking with some letters as scores, long enough"), uint8(3))
	f.Fuzz(func(t *testing.T, data []byte, width uint8) {
		k := int(width%4) + 1
		var table [][]float64
		for ; len(data) >= k && len(table) < 40; data = data[k:] {
			row := make([]float64, k)
			for j := range row {
				row[j] = float64(data[j] % 10)
				if data[j] > 250 {
					row[j] = math.NaN()
				}
			}
			table = append(table, row)
		}
		if r, err := agree.Segments(table, agree.SegmentOptions{Draws: 19}); err == nil {
			noNaN(t, reflect.ValueOf(r))
			if r.Size[0]+r.Size[1] != r.People || r.Size[0] < r.Size[1] {
				t.Fatalf("%+v", r)
			}
		}
		if r, err := agree.Preferences(table); err == nil {
			noNaN(t, reflect.ValueOf(r))
		}
	})
}

// Not parallel: it changes the number of processors for the whole process.
func TestSegmentsDoNotDependOnCores(t *testing.T) {
	people := crowd(rand.New(rand.NewPCG(14, 15)), 40, 4, 0.6, 0.5)
	want, err := agree.Segments(people, agree.SegmentOptions{Seed: 3, Draws: 99})
	if err != nil {
		t.Fatal(err)
	}
	before := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(before)
	got, err := agree.Segments(people, agree.SegmentOptions{Seed: 3, Draws: 99})
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("one core: %+v, several: %+v (%v)", got, want, err)
	}
}
