package curve

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"tamis/internal/stats/internal/reftest"
)

// nistModels are the published model functions by name of the set.
var nistModels = map[string]func(x float64, b []float64) float64{
	"Misra1a":  func(x float64, b []float64) float64 { return b[0] * (1 - math.Exp(-b[1]*x)) },
	"BoxBOD":   func(x float64, b []float64) float64 { return b[0] * (1 - math.Exp(-b[1]*x)) },
	"DanWood":  func(x float64, b []float64) float64 { return b[0] * math.Pow(x, b[1]) },
	"MGH09":    func(x float64, b []float64) float64 { return b[0] * (x*x + x*b[1]) / (x*x + x*b[2] + b[3]) },
	"MGH10":    func(x float64, b []float64) float64 { return b[0] * math.Exp(b[1]/(x+b[2])) },
	"MGH17":    func(x float64, b []float64) float64 { return b[0] + b[1]*math.Exp(-x*b[3]) + b[2]*math.Exp(-x*b[4]) },
	"Rat42":    func(x float64, b []float64) float64 { return b[0] / (1 + math.Exp(b[1]-b[2]*x)) },
	"Rat43":    func(x float64, b []float64) float64 { return b[0] / math.Pow(1+math.Exp(b[1]-b[2]*x), 1/b[3]) },
	"Eckerle4": func(x float64, b []float64) float64 { d := (x - b[2]) / b[1]; return b[0] / b[1] * math.Exp(-0.5*d*d) },
	"Thurber": func(x float64, b []float64) float64 {
		return (b[0] + x*(b[1]+x*(b[2]+x*b[3]))) / (1 + x*(b[4]+x*(b[5]+x*b[6])))
	},
	"Lanczos1": lanczos, "Lanczos2": lanczos, "Lanczos3": lanczos,
}

func lanczos(x float64, b []float64) float64 {
	return b[0]*math.Exp(-b[1]*x) + b[2]*math.Exp(-b[3]*x) + b[4]*math.Exp(-b[5]*x)
}

func problemOf(x, y []float64, f func(x float64, b []float64) float64) Problem {
	return Problem{Y: y, Mean: func(b, out []float64) {
		for i, v := range x {
			out[i] = f(v, b)
		}
	}}
}

// TestNIST fits the certified sets from both of their published starts and from
// a worse one, ten times the first.
func TestNIST(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile("testdata/nist_nonlinear.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Source string `json:"source"`
		Sets   map[string]struct {
			Starts    [][]float64
			Certified []float64
			SD        []float64
			RSS       float64
			X, Y      []float64
		}
	}
	if err := json.Unmarshal(raw, &file); err != nil {
		t.Fatal(err)
	}
	if len(file.Sets) != len(nistModels) {
		t.Fatalf("%d sets for %d models", len(file.Sets), len(nistModels))
	}
	for name, set := range file.Sets {
		// Eleven digits are certified. The residuals of the Lanczos data are at
		// the rounding of the data: fewer digits of the parameters are left.
		rel := 1e-8
		switch name {
		case "Lanczos1", "Lanczos2", "Lanczos3":
			rel = 1e-6
		}
		far := make([]float64, len(set.Certified))
		for i, v := range set.Starts[0] {
			far[i] = 10 * v
		}
		for k, start := range append(set.Starts, far) {
			t.Run(name, func(t *testing.T) {
				t.Parallel()
				s, err := Solve(problemOf(set.X, set.Y, nistModels[name]), start, SolveOptions{})
				if err != nil {
					t.Fatalf("start %d: %v", k+1, err)
				}
				t.Logf("start %d: offset %.2g, %d iterations, converged %v %s", k+1, s.Offset, s.Status.Iterations, s.Status.Converged, s.Status.Message)
				if k == 2 && math.Abs(s.RSS/set.RSS-1) > 1e-6 && name != "Lanczos1" {
					// Ten times a bad start may lie out of reach; then it must be
					// told apart from a minimum or be a true local one.
					t.Logf("another valley: RSS %.6g for %.6g, converged %v", s.RSS, set.RSS, s.Status.Converged)
					return
				}
				if !s.Status.Converged {
					t.Errorf("start %d did not converge: %s", k+1, s.Status.Message)
				}
				if name == "Lanczos1" {
					// Sums of exponentials may come in any order; the residual
					// is rounding (certified 1.4e-25).
					if s.RSS > 1e-24 {
						t.Errorf("start %d: RSS = %g", k+1, s.RSS)
					}
				} else {
					reftest.Within(t, "RSS", s.RSS, set.RSS, rel, file.Source)
				}
				order := matching(s.Coef, set.Certified, name)
				for i, want := range set.Certified {
					reftest.Within(t, "coef", s.Coef[order[i]], want, rel, file.Source)
					if set.SD != nil {
						reftest.Within(t, "SD", s.SE[order[i]], set.SD[i], 10*rel, file.Source)
					}
				}
			})
		}
	}
}

// matching pairs the terms of a sum of exponentials, whose order is free.
func matching(got, want []float64, name string) []int {
	order := make([]int, len(want))
	for i := range order {
		order[i] = i
	}
	pair := func(amp, rate []int) {
		for i := range rate {
			for j := range rate {
				if math.Abs(got[rate[j]]-want[rate[i]]) < 0.05*math.Abs(want[rate[i]]) {
					order[rate[i]], order[amp[i]] = rate[j], amp[j]
				}
			}
		}
	}
	switch name {
	case "Lanczos1", "Lanczos2", "Lanczos3":
		pair([]int{0, 2, 4}, []int{1, 3, 5})
	case "MGH17":
		pair([]int{1, 2}, []int{3, 4})
	}
	return order
}
