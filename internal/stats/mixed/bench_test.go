package mixed

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats/frame"
	"tamis/internal/stats/multiple"
)

// BenchmarkCake is the whole chain on 270 rows: fit, F table, marginal means of
// temperature, their differences and Tukey's p-values.
func BenchmarkCake(b *testing.B) {
	f, d := cakeFrame(b, "cake.csv")
	y, groups := floats(b, d["angle"]), cakeGroups(d, false)
	for b.Loop() {
		mx := must(frame.Build(f, frame.Model{Intercept: true, Terms: frame.Crossed(frame.T("recipe"), frame.T("tempU"))}))
		m := must(FitMatrix(y, mx, groups, nil, Options{}))
		must(m.Table(frame.TypeIII, Satterthwaite))
		ms := must(m.Means(frame.MeansSpec{By: []string{"tempU"}}, Satterthwaite))
		must(ms.Adjust(must(ms.Pairs()), multiple.Tukey, multiple.Options{}))
	}
}

// panel is a made-up trained panel: people × samples × repeats, with a share of
// the scores missing.
func panel(people, samples, repeats int, missing float64) (*frame.Frame, []float64, []Grouping) {
	rng := rand.New(rand.NewPCG(20, 26))
	var who, what []int
	var y []float64
	for p := range people {
		level := 1.5 * rng.NormFloat64()
		for s := range samples {
			own := 0.8 * rng.NormFloat64()
			for range repeats {
				score := level + own + 0.1*float64(s) + rng.NormFloat64()
				if rng.Float64() >= missing {
					who, what, y = append(who, p), append(what, s), append(y, score)
				}
			}
		}
	}
	names := func(prefix string, n int) []string {
		out := make([]string, n)
		for i := range out {
			out[i] = fmt.Sprint(prefix, i+1)
		}
		return out
	}
	fr := must(frame.New(must(frame.FactorCodes("sample", what, names("s", samples)))))
	a := Grouping{Name: "assessor", Codes: who, Levels: names("p", people)}
	s := Grouping{Name: "sample", Codes: what, Levels: names("s", samples)}
	return fr, y, []Grouping{a, must(Interaction(a, s))}
}

func benchmarkPanel(b *testing.B, missing float64, crossed bool) {
	f, y, groups := panel(300, 12, 2, missing)
	if crossed {
		s := groups[1]
		s.Name = "sample"
		s.Codes, s.Levels = must(f.Column("sample")).Codes(), must(f.Column("sample")).Levels()
		groups = append(groups, s)
	}
	for b.Loop() {
		model := frame.Model{Intercept: true}
		if !crossed {
			model.Terms = []frame.Term{frame.T("sample")}
		}
		mx := must(frame.Build(f, model))
		m := must(FitMatrix(y, mx, groups, nil, Options{}))
		if !crossed {
			must(m.Table(frame.TypeIII, Satterthwaite))
		}
	}
}

func BenchmarkPanel300(b *testing.B)        { benchmarkPanel(b, 0, false) }
func BenchmarkPanel300Missing(b *testing.B) { benchmarkPanel(b, 0.1, false) }
func BenchmarkPanel300Crossed(b *testing.B) { benchmarkPanel(b, 0, true) }

// BenchmarkCrossed has two large crossed groupings, the hard case.
func BenchmarkCrossed(b *testing.B) {
	rng := rand.New(rand.NewPCG(3, 4))
	const n, qa, qb = 20000, 1500, 250
	y, x := make([]float64, n), mat.NewDense(n, 2, nil)
	a, c := Grouping{Name: "a", Codes: make([]int, n), Levels: make([]string, qa)}, Grouping{Name: "b", Codes: make([]int, n), Levels: make([]string, qb)}
	ea, eb := make([]float64, qa), make([]float64, qb)
	for i := range ea {
		ea[i] = rng.NormFloat64()
	}
	for i := range eb {
		eb[i] = rng.NormFloat64()
	}
	for i := range y {
		a.Codes[i], c.Codes[i] = rng.IntN(qa), rng.IntN(qb)
		x.SetRow(i, []float64{1, rng.Float64()})
		y[i] = ea[a.Codes[i]] + eb[c.Codes[i]] + rng.NormFloat64()
	}
	for b.Loop() {
		must(Fit(Data{Y: y, X: x, Groups: []Grouping{a, c}}, Options{}))
	}
}
