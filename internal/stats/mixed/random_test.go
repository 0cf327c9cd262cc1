package mixed

import (
	"fmt"
	"testing"

	"tamis/internal/stats/frame"
	"tamis/internal/stats/internal/reftest"
)

// Small unbalanced layouts with crossed and nested groupings, many of them with
// variances on the bound: the search must never end above the reference.
func TestRandomLayouts(t *testing.T) {
	t.Parallel()
	all, source := readJSON(t, "random.json")
	var sets []struct {
		Y         []float64 `json:"y"`
		P         []int     `json:"p"`
		A         []int     `json:"a"`
		AP        []int     `json:"ap"`
		S         []int     `json:"s"`
		Repeats   int       `json:"nr"`
		Criterion float64   `json:"crit"`
		F         float64   `json:"F"`
		DenDF     float64   `json:"df"`
	}
	decode(t, all["sets"], &sets)
	text := func(x []int) []string {
		out := make([]string, len(x))
		for i, v := range x {
			out[i] = fmt.Sprint(v)
		}
		return out
	}
	bound := 0
	for i, d := range sets {
		fr := must(frame.New(must(frame.Factor("p", text(d.P)))))
		mx := must(frame.Build(fr, frame.Model{Intercept: true, Terms: []frame.Term{frame.T("p")}}))
		gs := []Grouping{grouping("a", text(d.A)), grouping("s", text(d.S))}
		if d.Repeats > 1 {
			gs = append(gs, grouping("ap", text(d.AP)))
		}
		m := must(FitMatrix(d.Y, mx, gs, nil, Options{}))
		if !m.Status.Converged {
			t.Errorf("set %d: %+v", i, m.Status)
		}
		if m.Status.Boundary {
			bound++
		}
		f := must(m.Table(frame.TypeI, Satterthwaite))[0]
		name := fmt.Sprintf("set %d: ", i)
		reftest.WithinAbs(t, name+"criterion", m.Criterion, d.Criterion, 1e-9, 1e-7, source)
		reftest.Within(t, name+"F", f.F, d.F, 1e-4, source+"; its search ends some 1e-5 short in θ where the criterion is flat")
		reftest.Within(t, name+"den df", f.DenDF, d.DenDF, 1e-3, source+"; numerical second derivatives")
	}
	if bound == 0 || bound == len(sets) {
		t.Errorf("%d of %d on the bound: the sets do not test both sides", bound, len(sets))
	}
}
