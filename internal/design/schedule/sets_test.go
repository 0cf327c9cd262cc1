package schedule

import (
	"fmt"
	"strings"
	"testing"

	"tamis/internal/design"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// carrots is a design of two set points with triangles.
func carrots(people, each, sets, sessions, baths int) *trial.Trial {
	d := trial.Design{SetPoints: []quantity.Temperature{quantity.Celsius(83), quantity.Celsius(88)}, Times: []quantity.Duration{quantity.FromMinutes(45)},
		CooksEach: trial.Some(each), Sessions: trial.Some(sessions), Triangles: trial.Some(sets), ServeAt: clock(19, 30)}
	for i := range baths {
		d.Baths = append(d.Baths, fmt.Sprintf("b%d", i+1))
	}
	for i := range 2 * each {
		d.Sources = append(d.Sources, trial.DesignSource{ID: fmt.Sprintf("s%d", i), Pieces: []trial.DesignPiece{{Before: trial.Some(quantity.Grams(2000))}}})
	}
	for i := range people {
		d.Assessors = append(d.Assessors, fmt.Sprintf("P%d", i+1))
	}
	return &trial.Trial{Title: trial.Some("Carrot"), Food: trial.Food{Name: trial.Some("carrot"), Kind: trial.Some("vegetable"), Thickness: trial.Some(quantity.Millimetres(15)), Start: trial.Some(quantity.Celsius(4))},
		Panel: trial.Some(trial.Panel{Bite: trial.Some(quantity.Grams(10))}), Design: trial.Some(d)}
}

// The portions of a triangle are served together, however many flights there are;
// each cook has as many portions as the key gives it, the time to cut them is
// somebody's, and each taster's sets are numbered in the order of the flights.
func TestTrianglesAreServedTogether(t *testing.T) {
	t.Parallel()
	flights := map[int]int{}
	for seed := uint64(1); seed <= 40; seed++ {
		people, each, sets, sessions, baths := 1+int(seed*5%12), 1+int(seed%4), 1+int(seed%3), 1+int(seed/3%2), 1+int(seed/2%3)
		sessions = min(sessions, each)
		p, err := design.Of(carrots(people, each, sets, sessions, baths), design.Options{Seed: seed})
		if err != nil {
			continue // one method a day
		}
		s, conflicts := Of(p.Trial, Options{})
		if s == nil {
			t.Logf("seed %d: %s", seed, conflicts[0].Text.Text(quantity.Metric))
			continue
		}
		if why := unsound(p.Trial, s, Options{Within: Within, Wait: Wait}); why != "" {
			t.Errorf("seed %d: %s", seed, why)
		}
		times := map[string]Times{}
		portions := 0
		for _, d := range s.Days {
			flights[len(d.Flights)]++
			for _, c := range d.Cooks {
				times[c.Cook] = c
			}
			for _, f := range d.Flights {
				portions += f.Portions
				if least := 60 * 2 * 3 * f.Sets; f.Sets > 0 && int(f.Ends-f.Served) < least {
					t.Errorf("seed %d: %d sets are tasted in %d s", seed, f.Sets, f.Ends-f.Served)
				}
			}
			for _, x := range d.Steps {
				if n := times[x.Cook].Portions; x.What == Plating && n > 0 && (x.Hand == 0 || float64(x.To-x.From) < 6*float64(n) || !strings.Contains(x.Text.Text(quantity.Metric), fmt.Sprintf("%d portion", n))) {
					t.Errorf("seed %d: %d portions: %+v", seed, n, x)
				}
			}
		}
		if len(s.Conflicts) > 0 {
			continue // a day is left out
		}
		if portions != 3*people*sets {
			t.Errorf("seed %d: %d portions for %d sets of %d people", seed, portions, sets, people)
		}
		cookOf := p.Trial.CookOfCode()
		need := map[string]int{}
		for _, x := range p.Trial.Panel.V.Triangles {
			for _, c := range x.Codes {
				need[cookOf[c]]++
				if a, b := times[cookOf[c]], times[cookOf[x.Codes[0]]]; a.Flight != b.Flight || a.LastBite == nil || *a.LastBite < a.Plated {
					t.Errorf("seed %d: set %d of %s is in flights %d and %d", seed, x.Set, x.Assessor, a.Flight, b.Flight)
				}
			}
		}
		for id, x := range times {
			if x.Portions != need[id] {
				t.Errorf("seed %d: %s has %d portions, and %d by the key", seed, id, x.Portions, need[id])
			}
		}
		served, moved := s.Sets(p.Trial)
		last, codes, same := map[string]int{}, map[string]bool{}, true
		for i, x := range served {
			f := times[cookOf[x.Codes[0]]].Flight
			k := x.Assessor + x.Session.V
			if f < last[k] {
				t.Errorf("seed %d: set %d of %s comes after one that is served later", seed, x.Set, x.Assessor)
			}
			last[k] = f
			codes[x.Codes[0]] = true
			was := p.Trial.Panel.V.Triangles[i]
			same = same && was.Codes == x.Codes
			if was.Set != x.Set || was.Assessor != x.Assessor || was.Session != x.Session {
				t.Errorf("seed %d: %+v became %+v", seed, was, x)
			}
		}
		if len(codes) != people*sets || moved == same {
			t.Errorf("seed %d: %d sets after the flights, moved %v", seed, len(codes), moved)
		}
	}
	if flights[1] == 0 || flights[2] == 0 {
		t.Errorf("days by their flights: %v", flights)
	}
}

// A set whose portions are cooked on two days has no table.
func TestTriangleApart(t *testing.T) {
	t.Parallel()
	p, err := design.Of(carrots(4, 2, 1, 2, 2), design.Options{Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	x := &p.Trial.Panel.V.Triangles[0]
	for _, y := range p.Trial.Panel.V.Triangles {
		if y.Session.V != x.Session.V {
			x.Codes[2] = y.Codes[2]
		}
	}
	s, conflicts := Of(p.Trial, Options{})
	if s != nil || len(conflicts) != 1 || conflicts[0].Slug != SetApart || !strings.Contains(conflicts[0].Text.Text(quantity.Metric), "two sessions") {
		t.Errorf("%v %+v", s, conflicts)
	}
}

// Who tastes triangles only tastes: what must not be eaten is not scheduled.
func TestTrianglesAreTasted(t *testing.T) {
	t.Parallel()
	x := fish([]float64{46, 60}, 60, 2)
	x.Food.Kind, x.Sources = trial.Some("poultry"), nil
	x.Measures = []trial.Measure{{Name: "shear", Kind: trial.Amount, Unit: trial.Some("N")}}
	x.Panel = trial.Some(trial.Panel{Key: []trial.KeyEntry{{Code: "274", Piece: "C1"}, {Code: "618", Piece: "C1"}, {Code: "935", Piece: "C2"}},
		Triangles: []trial.TriangleSet{{Assessor: "anna", Set: 1, Codes: [3]string{"274", "618", "935"}}}})
	if s, conflicts := Of(x, Options{ServeAt: clock(19, 0)}); s != nil || conflicts[0].Slug != DoNotEat {
		t.Errorf("%+v", conflicts)
	}
}

// A plan with triangles runs what is compared one right after the other, so that
// no bath is used in another order than the file says.
func TestTrianglesKeepTheRunOrder(t *testing.T) {
	t.Parallel()
	for seed := uint64(1); seed <= 30; seed++ {
		p, err := design.Of(carrots(3, 2+int(seed%3), 1, 1+int(seed%2), 2), design.Options{Seed: seed})
		if err != nil {
			t.Fatal(err)
		}
		s, conflicts := Of(p.Trial, Options{})
		if s == nil || len(conflicts) > 0 {
			continue
		}
		order := map[string]int{}
		for _, c := range p.Trial.Cooks {
			order[c.ID] = c.Order.V
		}
		for _, d := range s.Days {
			last := map[string]int{}
			for _, c := range d.Cooks {
				if order[c.Cook] < last[c.Bath] {
					t.Errorf("seed %d: cook %s, no. %d, goes into %s after no. %d", seed, c.Cook, order[c.Cook], c.Bath, last[c.Bath])
				}
				last[c.Bath] = order[c.Cook]
			}
		}
		if p.OrderWithin > 0.5 || p.R > 0.5 || p.R < -0.5 {
			t.Errorf("seed %d: the order follows the set point: %v", seed, p.R)
		}
	}
}
