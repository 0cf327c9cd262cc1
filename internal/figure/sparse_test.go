package figure

import (
	"math"
	"slices"
	"testing"
)

func TestSparse(t *testing.T) {
	t.Parallel()
	var x, line, wave, bent []float64
	for i := range 161 {
		v := float64(i) / 10
		x, line, wave, bent = append(x, v), append(line, 2*v-1), append(wave, math.Sin(v)), append(bent, math.Abs(v-8))
	}
	for name, c := range map[string]struct {
		keep func(float64) bool
		ys   [][]float64
		want []int // nil: only the properties
	}{
		"a line is its ends":     {nil, [][]float64{line}, []int{0, 160}},
		"a corner stays":         {nil, [][]float64{bent}, []int{0, 80, 160}},
		"what must stay stays":   {func(v float64) bool { return v == 3 }, [][]float64{line}, []int{0, 30, 160}},
		"a wave":                 {nil, [][]float64{wave}, nil},
		"the corner of any":      {nil, [][]float64{line, bent}, []int{0, 80, 160}},
		"another length is none": {nil, [][]float64{line, {1, 2}}, []int{0, 160}},
		"no curve":               {nil, nil, []int{0, 160}},
	} {
		const tolerance = 0.01
		got := Sparse(tolerance, c.keep, x, c.ys...)
		if c.want != nil && !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
		if !slices.IsSorted(got) || got[0] != 0 || got[len(got)-1] != 160 {
			t.Errorf("%s: %v", name, got)
		}
		// Lines between what is left come as close as was promised.
		for _, y := range c.ys {
			if len(y) != len(x) {
				continue
			}
			var sx, sy []float64
			for _, i := range got {
				sx, sy = append(sx, x[i]), append(sy, y[i])
			}
			for i, v := range x {
				if d := math.Abs(at(sx, sy, v) - y[i]); d > tolerance+1e-12 {
					t.Errorf("%s: off by %v at %v", name, d, v)
				}
			}
		}
	}
	if n := len(Sparse(0.01, nil, x, wave)); n > 80 {
		t.Errorf("a wave takes %d points", n)
	}
	if got := Sparse(1, nil, nil); got != nil {
		t.Errorf("nothing gives %v", got)
	}
	if got := Sparse(1, nil, []float64{4}, []float64{1}); !slices.Equal(got, []int{0}) {
		t.Errorf("one point gives %v", got)
	}
}
