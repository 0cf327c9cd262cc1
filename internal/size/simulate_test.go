package size

import (
	"context"
	"errors"
	"math"
	"testing"
)

// simulated are designs whose closed form the simulation must cover: with and
// without sessions, pieces, tasters, incomplete sessions, partial tasting; F, t
// and one-sided.
func simulated() []struct {
	d      Design
	s      Spread
	q      Question
	effect float64
} {
	all := Spread{Cooks: 0.6, Pieces: 0.5, Scores: 1.2, AssessorArm: 0.8, Assessors: 0.9, Sessions: 2}
	f := Question{Alpha: 0.05, Power: 0.8}
	pair := Question{Alpha: 0.05, Power: 0.8, Pair: true}
	oneSided := Question{Alpha: 0.05, Power: 0.8, Pair: true, OneSided: true}
	type row = struct {
		d      Design
		s      Spread
		q      Question
		effect float64
	}
	return []row{
		{Design{SetPoints: 2, Cooks: 4, Sessions: 1, Pieces: 1}, Spread{Cooks: 1}, f, 2},
		{Design{SetPoints: 2, Cooks: 4, Sessions: 1, Pieces: 1}, Spread{Cooks: 1}, oneSided, 1.5},
		{Design{SetPoints: 3, Cooks: 3, Sessions: 3, Pieces: 2, Assessors: 4}, all, f, 2},
		{Design{SetPoints: 3, Cooks: 3, Sessions: 3, Pieces: 2, Assessors: 4}, all, pair, 2},
		{Design{SetPoints: 4, Cooks: 2, Sessions: 2, Pieces: 3, Assessors: 4, Tastes: 2}, all, f, 2.5},
		{Design{SetPoints: 4, Cooks: 3, Sessions: 2, Pieces: 2}, all, f, 2},               // sessions cut a run
		{Design{SetPoints: 5, Cooks: 4, Sessions: 7, Pieces: 1, Assessors: 3}, all, f, 3}, // sessions shorter than a run
		{Design{SetPoints: 4, Cooks: 3, Sessions: 1, Pieces: 2, Assessors: 5, Tastes: 1}, Spread{Cooks: 0.1, Pieces: 1, Scores: 1}, pair, 1.5},
		{Design{SetPoints: 3, Cooks: 3, Sessions: 1, Pieces: 1}, Spread{Cooks: 1}, Question{Alpha: 0.1, Power: 0.8, Means: []float64{4, 5, 7}}, 3},
	}
}

// The share of invented trials in which the analysis finds the difference lies
// within three Monte Carlo errors of the closed form, and so does the rate of
// false alarms. A wrong degree of freedom, or a variance that forgets a level,
// does not pass with the draws of the long version.
func TestSimulationCoversTheClosedForm(t *testing.T) {
	t.Parallel()
	draws := 1200
	if testing.Short() {
		draws = 300
	}
	for _, c := range simulated() {
		for _, effect := range []float64{c.effect, 0} {
			s, err := simulate(t.Context(), c.d, c.s, c.q, effect, 11, draws)
			if err != nil {
				t.Fatalf("%+v: %v", c.d, err)
			}
			if s.NoTest > 0 {
				t.Errorf("%+v: %d draws had no test", c.d, s.NoTest)
			}
			if !s.Within {
				t.Errorf("%+v, %+v, effect %v: found in %.4f of %d draws, formula %.4f", c.d, c.q, effect, s.Share, s.Draws, s.Formula)
			}
			if effect == 0 && math.Abs(s.Formula-c.q.Alpha) > 1e-9 {
				t.Errorf("%+v: without a difference the formula gives %v, not the level", c.d, s.Formula)
			}
		}
	}
}

// The check above can fail: a closed form with the pieces counted as cooks lies
// far outside.
func TestSimulationSeesAWrongUnit(t *testing.T) {
	t.Parallel()
	d := Design{SetPoints: 2, Cooks: 3, Sessions: 1, Pieces: 4}
	s := Spread{Cooks: 1, Pieces: 0.2}
	q := Question{Alpha: 0.05, Power: 0.8}
	got, err := simulate(t.Context(), d, s, q, 2, 3, 600)
	if err != nil {
		t.Fatal(err)
	}
	wrong := point(Design{SetPoints: 2, Cooks: 12, Sessions: 1, Pieces: 1}, s, Question{Effect: 2, Alpha: 0.05, Power: 0.8}).Power.Or(0)
	if z := (wrong - got.Share) / math.Sqrt(wrong*(1-wrong)/600); z < 10 {
		t.Errorf("pieces as cooks give %v, the simulation %v: only %.1f errors apart", wrong, got.Share, z)
	}
}

func TestSameCountsOnAnyNumberOfCores(t *testing.T) {
	t.Parallel()
	c := simulated()[2]
	one, err := simulateOn(t.Context(), 1, c.d, c.s, c.q, c.effect, 5, 200)
	if err != nil {
		t.Fatal(err)
	}
	for _, cores := range []int{2, 3, 7, 500} {
		more, err := simulateOn(t.Context(), cores, c.d, c.s, c.q, c.effect, 5, 200)
		if err != nil || more != one {
			t.Errorf("%d cores: %+v, one core: %+v (%v)", cores, more, one, err)
		}
	}
	other, err := simulateOn(t.Context(), 2, c.d, c.s, c.q, c.effect, 6, 200)
	if err != nil || other == one {
		t.Errorf("another seed gives the same counts: %+v (%v)", other, err)
	}
}

func TestInterruptedSimulation(t *testing.T) {
	t.Parallel()
	ctx, stop := context.WithCancel(t.Context())
	stop()
	c := simulated()[0]
	if _, err := simulate(ctx, c.d, c.s, c.q, c.effect, 1, 200); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
}

// Drawn values have the spread that was asked for.
func TestDrawnSpread(t *testing.T) {
	t.Parallel()
	d := Design{SetPoints: 2, Cooks: 200, Sessions: 1, Pieces: 3, Assessors: 4, Tastes: 2}
	s := Spread{Cooks: 0.7, Pieces: 0.9, Scores: 1.1, AssessorArm: 3, Assessors: 2, Sessions: 4}
	g := newGenerator(d, s, []float64{0, 0})
	n := len(d.visits())
	ss, count := 0.0, 0.0
	for index := range 20 {
		values := make([]float64, len(g.observed.Rows))
		g.draw(1, index, values)
		means := make([][]float64, 2)
		for q := range d.TotalCooks() {
			m := 0.0
			for _, v := range values[q*n : (q+1)*n] {
				m += v / float64(n)
			}
			means[g.arm[q]] = append(means[g.arm[q]], m)
		}
		for _, ms := range means {
			mean := 0.0
			for _, m := range ms {
				mean += m / float64(len(ms))
			}
			for _, m := range ms {
				ss += (m - mean) * (m - mean)
			}
			count += float64(len(ms) - 1)
		}
	}
	// 8000 means: the relative error of a standard deviation is 1/√16000 = 0.8 %,
	// and 3 % are nearly four of them.
	if got, want := math.Sqrt(ss/count), d.CookMeanSD(s); math.Abs(got/want-1) > 0.03 {
		t.Errorf("the means of cooks spread by %v, formula %v", got, want)
	}
}
