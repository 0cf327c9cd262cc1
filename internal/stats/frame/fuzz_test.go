package frame

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// FuzzBuild builds models from bytes: whatever the columns, terms and codings,
// the builder returns an error or a matrix that keeps its promises.
func FuzzBuild(f *testing.F) {
	f.Add([]byte{1, 2, 3, 1, 2, 3, 3, 2, 1}, []byte{0, 1, 2, 3}, uint8(3), uint8(1), 1.5)
	f.Add([]byte{0, 0, 0, 1, 1, 1}, []byte{4, 5, 6, 250}, uint8(2), uint8(4), -1e300)
	f.Add([]byte{}, []byte{}, uint8(0), uint8(0), math.Inf(1))
	f.Add([]byte{9, 8, 7, 6, 5, 4, 3, 2, 1, 0}, []byte{7, 7, 12, 129, 33}, uint8(5), uint8(3), 1e-310)
	f.Fuzz(func(t *testing.T, data, terms []byte, levels, coding uint8, scale float64) {
		if len(data) > 60 || len(terms) > 12 {
			return
		}
		n := len(data) / 3
		k := int(levels%6) + 1
		names := []string{"l0", "l1", "l2", "l3", "l4", "l5"}[:k]
		codes := [2][]int{make([]int, n), make([]int, n)}
		x := make([]float64, n)
		for i := range n {
			codes[0][i] = int(data[i]) % (k + 1) // sometimes outside
			codes[1][i] = int(data[n+i]) % k
			x[i] = float64(data[2*n+i]) * scale
		}
		var cols []Column
		for i, name := range []string{"a", "b"} {
			if c, err := FactorCodes(name, codes[i], names); err == nil {
				cols = append(cols, c)
			}
		}
		if c, err := Numeric("x", x); err == nil {
			cols = append(cols, c)
		}
		fr, err := New(cols...)
		if err != nil {
			return
		}
		m := Model{Intercept: coding&128 == 0, Coding: map[string]Coding{"b": {
			Contrast: Contrast(coding % 6),
			Matrix:   mat.NewDense(k, 1, nil),
		}}}
		for _, b := range terms {
			var term Term
			for bit, name := range []string{"a", "b", "x"} {
				if b&(1<<bit) != 0 {
					v := Variable{Name: name}
					if name == "x" {
						v.Degree, v.Basis = int(b>>5), Basis(b>>3&3)
					}
					term = append(term, v)
				}
			}
			m.Terms = append(m.Terms, term)
		}
		built, err := Build(fr, m)
		if err != nil {
			if built != nil && built.X != nil {
				t.Fatal("an error together with a matrix")
			}
			return
		}
		r, p := built.X.Dims()
		if r != fr.Rows() || p != len(built.Names) || p != len(built.Assign) {
			t.Fatalf("%d × %d with %d names and %d assigned", r, p, len(built.Names), len(built.Assign))
		}
		seen := map[string]bool{}
		for j, name := range built.Names {
			if seen[name] {
				t.Fatalf("two columns are called %q", name)
			}
			seen[name] = true
			for i := range r {
				if v := built.X.At(i, j); math.IsNaN(v) || math.IsInf(v, 0) {
					t.Fatalf("%s, row %d: %v", name, i, v)
				}
			}
		}
		for _, kind := range []SumsOfSquares{TypeI, TypeII, TypeIIByCovariates, TypeIII} {
			hs, err := built.Hypotheses(kind, nil)
			if err != nil {
				t.Fatal(err)
			}
			if len(hs) != len(built.Terms) {
				t.Fatalf("%d hypotheses for %d terms", len(hs), len(built.Terms))
			}
		}
		for _, w := range []Weighting{Equal, Proportional} {
			_, _ = built.Means(MeansSpec{By: []string{"a"}, Weighting: w})
		}
	})
}
