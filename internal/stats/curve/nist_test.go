package curve

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"tamis/internal/stats/internal/reftest"
)

// nistModels are the published model functions by name of the set.
var nistModels = map[string]func(x float64, b []float64) float64{
	"Misra1a":  func(x float64, b []float64) float64 { return b[0] * (1 - math.Exp(-b[1]*x)) },
	"Misra1b":  func(x float64, b []float64) float64 { return b[0] * (1 - math.Pow(1+b[1]*x/2, -2)) },
	"Misra1c":  func(x float64, b []float64) float64 { return b[0] * (1 - math.Pow(1+2*b[1]*x, -0.5)) },
	"Misra1d":  func(x float64, b []float64) float64 { return b[0] * b[1] * x / (1 + b[1]*x) },
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

// TestNISTShapes: the remaining published models, on data made from their
// certified parameters with noise of the certified size (the original data are
// long). From both published starts the fit must be as good as from the
// parameters that made the data. Models, parameters and starts are from memory.
func TestNISTShapes(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("several seconds")
	}
	span := func(n int, lo, hi float64) []float64 {
		x := make([]float64, n)
		for i := range x {
			x[i] = lo + (hi-lo)*float64(i)/float64(n-1)
		}
		return x
	}
	rational := func(p int) func(x float64, b []float64) float64 {
		return func(x float64, b []float64) float64 {
			num, den := 0.0, 0.0
			for i := p; i >= 0; i-- {
				num = num*x + b[i]
			}
			for i := len(b) - 1; i > p; i-- {
				den = (den + b[i]) * x
			}
			return num / (1 + den)
		}
	}
	for _, c := range []struct {
		name   string
		x      []float64
		f      func(x float64, b []float64) float64
		truth  []float64
		sd     float64
		starts [][]float64
	}{
		{"Bennett5", span(154, 7.4472, 12.56), func(x float64, b []float64) float64 { return b[0] * math.Pow(b[1]+x, -1/b[2]) },
			[]float64{-2523.5058043, 46.736564644, 0.93218483193}, 0.00186,
			[][]float64{{-2000, 50, 0.8}, {-1500, 45, 0.85}}},
		{"Gauss1", span(250, 1, 250), func(x float64, b []float64) float64 {
			u, v := (x-b[3])/b[4], (x-b[6])/b[7]
			return b[0]*math.Exp(-b[1]*x) + b[2]*math.Exp(-u*u) + b[5]*math.Exp(-v*v)
		}, []float64{98.778210871, 0.010497276517, 100.48990633, 67.481111276, 23.12977336, 71.994503004, 178.99805021, 18.389389025}, 2.3,
			[][]float64{{97, 0.009, 100, 65, 20, 70, 178, 16.5}, {94, 0.0105, 99, 63, 25, 71, 180, 20}}},
		{"Roszman1", span(25, -4868.68, -8.9), func(x float64, b []float64) float64 {
			return b[0] - b[1]*x - math.Atan(b[2]/(x-b[3]))/math.Pi
		}, []float64{0.2019686639, -6.1953516256e-06, 1204.4556708, -181.34269537}, 0.005,
			[][]float64{{0.1, -1e-5, 1000, -100}, {0.2, -5e-6, 1200, -150}}},
		{"Chwirut2", span(54, 0.5, 6), func(x float64, b []float64) float64 { return math.Exp(-b[0]*x) / (b[1] + b[2]*x) },
			[]float64{0.16657666537, 5.1653291286e-3, 1.2150007096e-2}, 3.17,
			[][]float64{{0.1, 0.01, 0.02}, {0.15, 0.008, 0.010}}},
		{"Kirby2", span(151, 9.65, 371.3), rational(2),
			[]float64{1.6745063063, -0.13927397867, 2.5961181191e-3, -1.7241811870e-3, 2.1664802578e-5}, 0.164,
			[][]float64{{2, -0.1, 0.003, -0.001, 0.00001}, {1.5, -0.15, 0.0025, -0.0015, 0.00002}}},
		{"Hahn1", span(236, 14, 851), rational(3),
			[]float64{1.0776351733, -0.12269296921, 4.086375061e-3, -1.4262662514e-6, -5.7609940901e-3, 2.4053735503e-4, -1.2314450199e-7}, 0.082,
			[][]float64{{10, -1, 0.05, -1e-5, -0.05, 0.001, -1e-6}, {1, -0.1, 0.005, -1e-6, -0.005, 0.0001, -1e-7}}},
		{"ENSO", span(168, 1, 168), func(x float64, b []float64) float64 {
			y, p, q := 2*math.Pi*x/12, 2*math.Pi*x/b[3], 2*math.Pi*x/b[6]
			return b[0] + b[1]*math.Cos(y) + b[2]*math.Sin(y) + b[4]*math.Cos(p) + b[5]*math.Sin(p) + b[7]*math.Cos(q) + b[8]*math.Sin(q)
		}, []float64{10.510749193, 3.0762128085, 0.53280138227, 44.3110887, -1.6231428586, 0.52554493756, 26.88761444, 0.21232288488, 1.4966870418}, 2.27,
			[][]float64{{11, 3, 0.5, 40, -0.7, -1.3, 25, -0.3, 1.4}, {10, 3, 0.5, 44, -1.5, 0.5, 26, -0.1, 1.5}}},
		{"Nelson", span(128, 0, 127), func(x float64, b []float64) float64 {
			hours := []float64{1, 2, 4, 8, 16, 32, 48, 64}[int(x)/16]
			degrees := []float64{180, 225, 250, 275}[int(x)%16/4]
			return b[0] - b[1]*hours*math.Exp(-b[2]*degrees)
		}, []float64{2.5906836021, 5.6177717026e-9, -5.7701013174e-2}, 0.174,
			[][]float64{{2, 0.0001, -0.01}, {2.5, 5e-9, -0.05}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			rng := rand.New(rand.NewPCG(17, 17))
			y := make([]float64, len(c.x))
			for i, x := range c.x {
				y[i] = c.f(x, c.truth) + c.sd*rng.NormFloat64()
			}
			p := problemOf(c.x, y, c.f)
			want, err := Solve(p, c.truth, SolveOptions{})
			if err != nil || !want.Status.Converged {
				t.Fatalf("from the truth: %+v, %v", want, err)
			}
			for k, start := range c.starts {
				s, err := Solve(p, start, SolveOptions{})
				if err != nil {
					t.Fatalf("start %d: %v", k+1, err)
				}
				if !s.Status.Converged || s.RSS > want.RSS*(1+1e-9) {
					t.Errorf("start %d: RSS %.10g, want %.10g; %+v", k+1, s.RSS, want.RSS, s.Status)
				}
			}
		})
	}
}
