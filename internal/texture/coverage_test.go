package texture

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"strings"
	"sync"
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/stats"
	"tamis/internal/trial"
)

var (
	simFlag   = flag.Bool("sim", false, "run the long simulations")
	updateSim = flag.Bool("update-sim", false, "write the tables of the long simulations")
)

// world is a stated truth from which trials like the pollack demo are drawn.
type world struct {
	name      string
	setPoints []float64
	sessions  int // each set point once a session: cooks per set point
	middle    float64
	proteinAt float64
	low, high float64 // least and largest coverage in percent
}

// logistic on 0 to top, steepest at middle.
func logisticOf(top, middle, width, x float64) float64 {
	return top / (1 + math.Exp(-(x-middle)/width))
}

const worldWidth = 4.2

// truth is the window of the aims firmness 5 to 6.5 and protein at most 2, for
// a plain or brined piece, cut at the set points that were cooked.
func (w world) truth(brined bool) (low, high float64) {
	shift, factor := 0.0, 1.0
	if brined {
		shift, factor = -0.25, 0.6
	}
	inv := func(top, middle, v float64) float64 { return middle + worldWidth*math.Log(v/top/(1-v/top)) }
	low = inv(10, w.middle, 5-shift)
	high = inv(10, w.middle, 6.5-shift)
	if v := 2 / factor; v < 5 {
		high = math.Min(high, inv(5, w.proteinAt, v))
	}
	return math.Max(low, w.setPoints[0]), math.Min(high, w.setPoints[len(w.setPoints)-1])
}

// draw makes one trial: cooks with a plain and a brined piece of each of two
// fish, eight assessors.
func (w world) draw(r *rand.Rand) *trial.Trial {
	t := &trial.Trial{
		Measures: []trial.Measure{
			{Name: "firmness", Kind: trial.ScaleScore, Scale: trial.Range{Low: 0, High: 10}},
			{Name: "protein", Kind: trial.ScaleScore, Scale: trial.Range{Low: 0, High: 5}},
		},
		Aims: []trial.Aim{{Measure: "firmness", Target: trial.Some(trial.Range{Low: 5, High: 6.5})}, {Measure: "protein", AtMost: trial.Some(2.0)}},
	}
	// Panel and sessions are fixed in the claim ("as our panel scores, on days
	// like these"), so the truth is that of their average: effects sum to 0.
	people := centred(r, 8, 0.6)
	daysF, daysP := centred(r, w.sessions, 0.25), centred(r, w.sessions, 0.1)
	var p trial.Panel
	for s := 0; s < w.sessions; s++ {
		sessionF, sessionP := daysF[s], daysP[s]
		for k, x := range w.setPoints {
			id := fmt.Sprintf("s%dk%d", s, k)
			c := trial.Cook{ID: id, SetPoint: trial.Some(quantity.Celsius(x)), Session: trial.Some(fmt.Sprint("s", s))}
			cookF, cookP := sessionF+0.35*r.NormFloat64(), sessionP+0.2*r.NormFloat64()
			for j := 0; j < 4; j++ {
				brined := j%2 == 1
				f := logisticOf(10, w.middle, worldWidth, x) + cookF + 0.25*r.NormFloat64()
				g := logisticOf(5, w.proteinAt, worldWidth, x)
				kind := trial.NoBrine
				if brined {
					f, g, kind = f-0.25, 0.6*g, trial.DryBrine
				}
				g += cookP + 0.25*r.NormFloat64()
				pid := fmt.Sprint("p", j)
				piece := trial.Piece{ID: pid, Source: trial.Some(fmt.Sprintf("f%d-%d", s, (k+j/2)%3)),
					Values: trial.ReadingOf("protein", trial.Reading{V: math.Round(2*math.Min(5, math.Max(0, g))) / 2})}
				piece.Brine = trial.Some(trial.Brine{Kind: kind})
				c.Pieces = append(c.Pieces, piece)
				for a := range people {
					if (a+k)%2 != j/2 {
						continue
					}
					v := math.Round(2*(f+people[a]+0.7*r.NormFloat64())) / 2
					p.Scores = append(p.Scores, trial.Score{Assessor: fmt.Sprint("a", a), Cook: id, Piece: trial.Some(pid),
						Values: trial.ReadingOf("firmness", trial.Reading{V: math.Min(10, math.Max(0, v))})})
				}
			}
			t.Cooks = append(t.Cooks, c)
		}
	}
	t.Panel = trial.Some(p)
	return t
}

// centred draws n effects and takes away their mean.
func centred(r *rand.Rand, n int, sd float64) []float64 {
	out := make([]float64, n)
	var mean float64
	for i := range out {
		out[i] = sd * r.NormFloat64()
		mean += out[i] / float64(n)
	}
	for i := range out {
		out[i] -= mean
	}
	return out
}

// windowsOf analyses only what the windows need, by method.
func windowsOf(t *trial.Trial, draws int, seed uint64) map[string]Window {
	a := &analysis{t: t, opt: Options{Draws: draws, Seed: seed}.withDefaults(), out: &Result{Windows: []Window{}, Warnings: []stats.Warning{}}}
	for _, m := range t.Measures {
		tb := newTable(t, m)
		out := &Measure{Name: m.Name}
		a.out.Measures = append(a.out.Measures, out)
		a.tables = append(a.tables, tb)
		a.curves(tb, out)
	}
	a.windows()
	out := map[string]Window{}
	for _, w := range a.out.Windows {
		if w.Cannot == "" {
			out[w.Method] = w
		}
	}
	return out
}

// The interval of the best set point must cover the middle of the true window:
// in 93 to 98 % of redraws with three cooks a set point, and never in less than
// 93 % with two. Bands are three Monte Carlo standard errors wide. The small
// version, without -sim, only guards against gross faults.
func TestSimCoverageOfTheBestSetPoint(t *testing.T) {
	if testing.Short() && !*simFlag {
		t.Skip("a simulation: run without -short, or make sim")
	}
	redraws, draws := 40, 300
	if *simFlag {
		redraws, draws = 1000, 500
	}
	six := []float64{44, 47, 50, 53, 56, 60}
	var table strings.Builder
	for _, w := range []world{
		{"inside, three cooks", six, 3, 49, 55, 93, 98},
		{"low edge, three cooks", six, 3, 42.5, 55, 93, 98},
		{"high edge, three cooks", six, 3, 58.5, 68, 93, 98},
		{"inside, two cooks", six, 2, 49, 55, 93, 100},
		{"low edge, two cooks", six, 2, 42.5, 55, 93, 100},
	} {
		hits, nones := w.coverage(redraws, draws)
		for i, method := range worldMethods {
			hit, none := hits[i], nones[i]
			n := float64(redraws - none)
			share := 100 * float64(hit) / n
			se := 100 * math.Sqrt(0.95*0.05/n)
			fmt.Fprintf(&table, "%-24s %-12s %5.1f %%  (%d redraws, %d without an interval)\n", w.name, method, share, redraws, none)
			if share < w.low-3*se || share > w.high+3*se {
				t.Errorf("%s, %s: the interval covers in %.1f %%, outside %g to %g", w.name, method, share, w.low, w.high)
			}
			if none > redraws/10 {
				t.Errorf("%s, %s: %d of %d redraws have no interval", w.name, method, none, redraws)
			}
		}
	}
	t.Logf("\n%s", table.String())
	if !*simFlag {
		return
	}
	const path = "testdata/coverage.txt"
	if *updateSim {
		if err := os.WriteFile(path, []byte(coverageHead+table.String()), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if string(want) != coverageHead+table.String() {
		t.Errorf("the table differs from %s: look at it, then run with -sim -update-sim", path)
	}
}

const coverageHead = `How often the 95 % interval of the best set point covers the middle of the true window.
Six set points 44 to 60 °C, each once a session, a plain and a dry-brined piece of two
fish in each cook, eight assessors. Written by go test -run SimCoverage -sim -update-sim.

`

var worldMethods = []string{"plain", "dry-brined"}

// coverage counts, for each method, the redraws whose interval holds the middle
// of the truth, and those without an interval.
func (w world) coverage(redraws, draws int) (hit, none [2]int) {
	var middle [2]float64
	for m, method := range worldMethods {
		low, high := w.truth(method == "dry-brined")
		middle[m] = (low + high) / 2
	}
	const miss, in, absent = 0, 1, 2
	result := make([][2]int, redraws)
	var wg sync.WaitGroup
	next := make(chan int)
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for i := range next {
				windows := windowsOf(w.draw(rand.New(rand.NewPCG(7, uint64(i)))), draws, uint64(i)+1)
				for m, method := range worldMethods {
					win, ok := windows[method]
					lo, ok1 := win.Low.Get()
					hi, ok2 := win.High.Get()
					switch {
					case !ok || !ok1 || !ok2:
						result[i][m] = absent
					case lo-1e-9 <= middle[m] && middle[m] <= hi+1e-9:
						result[i][m] = in
					default:
						result[i][m] = miss
					}
				}
			}
		})
	}
	for i := range redraws {
		next <- i
	}
	close(next)
	wg.Wait()
	for _, r := range result {
		for m := range worldMethods {
			switch r[m] {
			case in:
				hit[m]++
			case absent:
				none[m]++
			}
		}
	}
	return hit, none
}
