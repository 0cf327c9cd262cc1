package design

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"tamis/internal/design/code"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// twoPoints is a design of two set points with triangles, of pieces that are
// large enough.
func twoPoints(cold, warm float64, people, each, sets int) *trial.Trial {
	d := trial.Design{SetPoints: []quantity.Temperature{quantity.Celsius(warm), quantity.Celsius(cold)}, Times: []quantity.Duration{quantity.FromMinutes(90)},
		CooksEach: trial.Some(each), Baths: []string{"left", "right"}, Triangles: trial.Some(sets)}
	for i := range 2 * each {
		d.Sources = append(d.Sources, trial.DesignSource{ID: fmt.Sprintf("s%d", i), Pieces: []trial.DesignPiece{{Before: trial.Some(quantity.Grams(2000))}}})
	}
	for i := range people {
		d.Assessors = append(d.Assessors, fmt.Sprintf("P%d", i+1))
	}
	return &trial.Trial{Food: trial.Food{Name: trial.Some("carrot"), Kind: trial.Some("vegetable"), Thickness: trial.Some(quantity.Millimetres(20))},
		Panel: trial.Some(trial.Panel{Bite: trial.Some(quantity.Grams(10))}), Design: trial.Some(d)}
}

// Every set is two of one method and one of the other, by the key; the six orders
// come up equally often, give or take one; every portion has a code of its own
// that tells nothing; the alike ones come from one cook of the same session.
func TestTrianglesAreBalanced(t *testing.T) {
	t.Parallel()
	for seed := uint64(1); seed <= 12; seed++ {
		people, sets, each := 1+int(seed*5%13), 1+int(seed%4), 1+int(seed%3)
		in := twoPoints(64, 85, people, each, sets)
		if seed%4 == 0 { // two brines of one set point
			d := in.Design.V
			d.SetPoints = d.SetPoints[:1]
			d.Brine = []trial.Brine{{Kind: trial.NoBrine}, {Kind: trial.DryBrine, Salt: trial.Some(quantity.Percent(1))}}
			d.PiecesPerCook = trial.Some(2)
			in.Design = trial.Some(d)
		}
		p, err := Of(in, Options{Seed: seed})
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		panel := p.Trial.Panel.V
		if len(panel.Triangles) != people*sets || p.Triangles.Sets != people*sets || p.Serving != nil || len(panel.Scores) > 0 {
			t.Fatalf("seed %d: %d sets for %d people with %d each: %+v", seed, len(panel.Triangles), people, sets, p.Triangles)
		}
		pieces := map[string]string{}
		for i, k := range panel.Key {
			if code.Telling(k.Code, []string{"64", "85", "147", "185"}) || pieces[k.Code] != "" || i > 0 && panel.Key[i-1].Code > k.Code {
				t.Errorf("seed %d: the code %s", seed, k.Code)
			}
			pieces[k.Code] = k.Piece
		}
		cookOf := map[string]trial.Cook{}
		for _, c := range p.Trial.Cooks {
			for _, x := range c.Pieces {
				cookOf[x.ID] = c
			}
		}
		portions := p.Trial.Portions()
		orders, perPerson, used := map[string]int{}, map[string]int{}, map[string]bool{}
		for _, x := range panel.Triangles {
			odd, ok := portions.Odd(x)
			if !ok {
				t.Fatalf("seed %d: %v is no triangle", seed, x.Codes)
			}
			perPerson[x.Assessor]++
			// Which method a place has: that of the odd one is B where it is the
			// warmer, or the brined one.
			isB := func(i int) bool {
				c := cookOf[pieces[x.Codes[i]]]
				if seed%4 != 0 {
					return c.SetPoint.V.Celsius() > 70
				}
				for _, y := range c.Pieces {
					if y.ID == pieces[x.Codes[i]] {
						return y.Treatment.Brine.V.Kind == trial.DryBrine
					}
				}
				return false
			}
			var o strings.Builder
			for i, c := range x.Codes {
				if used[c] {
					t.Errorf("seed %d: %s is served twice", seed, c)
				}
				used[c] = true
				o.WriteByte("AB"[map[bool]int{true: 1}[isB(i)]])
				if s := cookOf[pieces[c]].Session; s.V != x.Session.V {
					t.Errorf("seed %d: %s is cooked in %q and tasted in %q", seed, c, s.V, x.Session.V)
				}
			}
			a, b := x.Codes[(odd+1)%3], x.Codes[(odd+2)%3]
			if cookOf[pieces[a]].ID != cookOf[pieces[b]].ID {
				t.Errorf("seed %d: the alike %s and %s come from two cooks", seed, a, b)
			}
			orders[o.String()]++
		}
		low, high := len(panel.Triangles), 0
		for _, o := range []string{"AAB", "ABA", "BAA", "BBA", "BAB", "ABB"} {
			low, high = min(low, orders[o]), max(high, orders[o])
		}
		if high-low > 1 || low != p.Triangles.OrderLow || high != p.Triangles.OrderHigh {
			t.Errorf("seed %d: %v, said to be %d to %d", seed, orders, p.Triangles.OrderLow, p.Triangles.OrderHigh)
		}
		for who, n := range perPerson {
			if n != sets {
				t.Errorf("seed %d: %s gets %d sets of %d", seed, who, n, sets)
			}
		}
		again, err := Of(in, Options{Seed: seed})
		if err != nil || !reflect.DeepEqual(again.Trial, p.Trial) {
			t.Errorf("seed %d: drawn again it is another plan (%v)", seed, err)
		}
	}
}

func TestTrianglesRefused(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		in   *trial.Trial
		want error
	}{
		"three set points": {func() *trial.Trial {
			x := twoPoints(64, 85, 6, 1, 1)
			x.Design.V.SetPoints = append(slices.Clone(x.Design.V.SetPoints), quantity.Celsius(75))
			x.Design.V.Sources = append(x.Design.V.Sources, trial.DesignSource{ID: "more"})
			return x
		}(), ErrDesign},
		"nobody tastes": {twoPoints(64, 85, 0, 1, 1), ErrDesign},
		"one each day": {func() *trial.Trial {
			x := twoPoints(64, 85, 6, 1, 1)
			x.Design.V.Sessions = trial.Some(2)
			return x
		}(), ErrDesign},
		"too many codes": {twoPoints(64, 85, 100, 1, 4), ErrCodes},
		"too small pieces": {func() *trial.Trial {
			x := twoPoints(64, 85, 6, 1, 1)
			for i := range x.Design.V.Sources {
				x.Design.V.Sources[i].Pieces[0].Before = trial.Some(quantity.Grams(40))
			}
			return x
		}(), ErrHungry},
		"not to be eaten": {func() *trial.Trial {
			x := twoPoints(50, 62, 6, 1, 1)
			x.Food = trial.Food{Name: trial.Some("chicken breast"), Kind: trial.Some("poultry"), Thickness: trial.Some(quantity.Millimetres(40))}
			return x
		}(), ErrUnsafe},
	} {
		if _, err := Of(c.in, Options{Seed: 1}); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
}

// A trial in which a triangle was answered is not laid out again.
func TestAnsweredTrianglesStay(t *testing.T) {
	t.Parallel()
	p, err := Of(twoPoints(64, 85, 6, 1, 1), Options{Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Of(p.Trial, Options{Seed: 2, Again: true}); err != nil {
		t.Errorf("before anything was tasted: %v", err)
	}
	x := &p.Trial.Panel.V.Triangles[0]
	x.Odd = trial.Some(x.Codes[1])
	if _, err := Of(p.Trial, Options{Seed: 2, Again: true}); !errors.Is(err, ErrPlanned) {
		t.Error(err)
	}
}
