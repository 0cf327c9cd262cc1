package design

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tamis/internal/design/code"
	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/trial"
)

// kitchen is a trial with a design for which the resources suffice: fish that
// was frozen against parasites, sizes known.
func kitchen(points, brines, sources, parts int, change func(t *trial.Trial, d *trial.Design)) *trial.Trial {
	t := &trial.Trial{Title: trial.Some("T"), Measures: []trial.Measure{{Name: "firmness", Kind: trial.ScaleScore, Scale: trial.Range{High: 10}}}}
	t.Food = trial.Food{Name: trial.Some("cod"), Kind: trial.Some("lean fish"), Form: trial.Some(trial.Whole), Shape: trial.Some(trial.Slab),
		Thickness: trial.Some(quantity.Millimetres(24)), Start: trial.Some(quantity.Celsius(4))}
	var d trial.Design
	for i := range points {
		d.SetPoints = append(d.SetPoints, quantity.Celsius(46+4*float64(i)))
	}
	d.Times = []quantity.Duration{quantity.FromMinutes(60)}
	d.Brine = []trial.Brine{{Kind: trial.NoBrine}, {Kind: trial.DryBrine, Salt: trial.Some(quantity.Percent(1)), For: trial.Some(quantity.FromMinutes(20))},
		{Kind: trial.DryBrine, Salt: trial.Some(quantity.Percent(2)), For: trial.Some(quantity.FromMinutes(20))}}[:brines]
	rng := rand.New(rand.NewPCG(uint64(sources), uint64(parts)))
	for i := range sources {
		id := fmt.Sprintf("fish-%d", i+1)
		t.Sources = append(t.Sources, trial.Source{ID: id, Lot: trial.Some(fmt.Sprintf("L%d", 1+i/3)),
			Frozen:    trial.Some(trial.Frozen{Is: true, Tmp: trial.Some(quantity.Celsius(-20)), For: trial.Some(quantity.FromDays(7)), By: trial.Some("supplier")}),
			Parasites: trial.Some(trial.Parasites{Control: trial.Some(trial.ByFreezing), Record: trial.Some("delivery note")})})
		s := trial.DesignSource{ID: id}
		big := rng.NormFloat64()
		for k := range parts {
			s.Pieces = append(s.Pieces, trial.DesignPiece{Part: []string{"head", "shoulder", "middle", "tail", "end", "flap"}[k],
				Thickness: trial.Some(quantity.Millimetres(math.Round(math.Min(24, 22-float64(k)+big+0.6*rng.NormFloat64())))),
				Before:    trial.Some(quantity.Grams(math.Round(124 - 6*float64(k) + 6*big + 5*rng.NormFloat64())))})
		}
		d.Sources = append(d.Sources, s)
	}
	t.Panel = trial.Some(trial.Panel{Bite: trial.Some(quantity.Grams(12))})
	if change != nil {
		change(t, &d)
	}
	t.Design = trial.Some(d)
	return t
}

func people(n int) []string {
	var out []string
	for i := range n {
		out = append(out, fmt.Sprintf("p%02d", i+1))
	}
	return out
}

// published is the design of the contract: 5 set points × 2 brines, 3 baths, 10
// sources of 4 pieces, 12 assessors, 2 sessions.
func published() *trial.Trial {
	return kitchen(5, 2, 10, 4, func(_ *trial.Trial, d *trial.Design) {
		d.CooksEach, d.Sessions, d.PiecesPerCook = trial.Some(2), trial.Some(2), trial.Some(4)
		d.Baths, d.Assessors = []string{"north", "south", "east"}, people(12)
	})
}

func plan(t *testing.T, tr *trial.Trial, seed uint64) *Plan {
	t.Helper()
	p, err := Of(tr, Options{Seed: seed})
	if err != nil {
		t.Fatal(err)
	}
	sound(t, tr, p)
	return p
}

// sound holds for every plan that is made, whatever the design.
func sound(t *testing.T, tr *trial.Trial, p *Plan) {
	t.Helper()
	d := tr.Design.V
	out := p.Trial
	type fill struct {
		session, bath string
		order         int
	}
	runs := map[string]int{}
	orders := map[fill]bool{}
	pieces, ids := map[string]int{}, map[string]bool{}
	type key struct{ source, part string }
	used, have := map[key]int{}, map[key]int{}
	for _, s := range d.Sources {
		for _, x := range s.Pieces {
			have[key{s.ID, x.Part}]++
		}
		if len(s.Pieces) == 0 {
			have[key{s.ID, ""}]++
		}
	}
	for i := range out.Cooks {
		c := &out.Cooks[i]
		label := c.SetPoint.V.String() + fmt.Sprint(c.With, c.Time.V, c.Hold.V)
		runs[label]++
		k := fill{c.Session.V, "", c.Order.V}
		if orders[k] {
			t.Errorf("two cooks are number %d of %s", k.order, k.session)
		}
		orders[k] = true
		if ids[c.ID] {
			t.Errorf("two things are called %s", c.ID)
		}
		ids[c.ID] = true
		if n := d.PiecesPerCook; n.Known && len(c.Pieces) != n.V {
			t.Errorf("%s has %d pieces, not %d", c.ID, len(c.Pieces), n.V)
		}
		for j := range c.Pieces {
			x := &c.Pieces[j]
			if ids[x.ID] {
				t.Errorf("two things are called %s", x.ID)
			}
			ids[x.ID] = true
			pieces[x.ID]++
			if x.Source.Known {
				used[key{x.Source.V, x.Part.V}]++
			}
		}
	}
	for k, n := range used {
		if n > have[k] {
			t.Errorf("%v is used %d times, and there are %d", k, n, have[k])
		}
	}
	for label, n := range runs {
		if e := d.CooksEach; e.Known && n != e.V {
			t.Errorf("%s is cooked %d times, not %d", label, n, e.V)
		}
	}
	for _, f := range d.Fixed {
		for i := range out.Cooks {
			c := &out.Cooks[i]
			same := func() bool {
				return (!f.SetPoint.Known || math.Abs(f.SetPoint.V.Celsius()-c.SetPoint.V.Celsius()) < trial.ArmTolerance) &&
					(!f.Session.Known || f.Session.V == c.Session.V) && (!f.Bath.Known || f.Bath.V == c.Bath.V) && (!f.Cook.Known || f.Cook.V == c.ID)
			}
			if f.Source.Known || f.Part.Known {
				for _, x := range c.Pieces {
					if (!f.Source.Known || x.Source.V == f.Source.V) && (!f.Part.Known || x.Part.V == f.Part.V) && !same() {
						t.Errorf("%s of %s breaks %+v", x.ID, c.ID, f)
					}
				}
			} else if (!f.Cook.Known || f.Cook.V == c.ID) && (!f.SetPoint.Known || f.SetPoint.V.Celsius() == c.SetPoint.V.Celsius()) && !same() {
				t.Errorf("%s breaks %+v", c.ID, f)
			}
		}
	}
	if p.OrderWithin < 1 && (math.Abs(p.R) > p.OrderWithin+1e-9 || math.Abs(p.Rho) > p.OrderWithin+1e-9) {
		t.Errorf("the order follows by %v and %v, allowed %v", p.R, p.Rho, p.OrderWithin)
	}
	if out.Drawn.V.OrderWithin.V != p.OrderWithin || out.Drawn.V.Seed.V != p.Seed {
		t.Errorf("the lot is written down as %+v", out.Drawn.V)
	}
	if Cooked(out) {
		t.Error("a plan looks cooked")
	}
	for _, a := range p.Arms {
		if a.Verdict.Verdict == safety.DoNotEat && !p.NotTasted {
			t.Errorf("%v is laid out and must not be eaten", a.SetPoint)
		}
	}
	panel(t, p, pieces)
}

// panel holds codes, key and serving orders.
func panel(t *testing.T, p *Plan, pieces map[string]int) {
	t.Helper()
	out := p.Trial
	codes := map[string]string{}
	for _, k := range out.Panel.V.Key {
		if code.Telling(k.Code, nil) || codes[k.Code] != "" || pieces[k.Piece] != 1 {
			t.Errorf("code %s of %s", k.Code, k.Piece)
		}
		codes[k.Code] = k.Piece
	}
	most := out.Design.V.SamplesPerSitting.Or(MostInSitting)
	where := map[string]string{}
	for i := range out.Cooks {
		for j := range out.Cooks[i].Pieces {
			where[out.Cooks[i].Pieces[j].ID] = out.Cooks[i].ID
		}
	}
	sliced := map[string]map[int]bool{}
	of := map[string]int{}
	for _, s := range Sittings(out) {
		if len(s.Tastes) > most {
			t.Errorf("%s tastes %d in a row", s.Assessor, len(s.Tastes))
		}
		seen := map[string]bool{}
		for i, x := range s.Tastes {
			if x.Position != i+1 || codes[x.Code] != x.Piece || where[x.Piece] != x.Cook || seen[x.Piece] {
				t.Errorf("%s, %s: %+v", s.Assessor, s.Session, x)
			}
			seen[x.Piece] = true
			if sliced[x.Piece] == nil {
				sliced[x.Piece] = map[int]bool{}
			}
			if sliced[x.Piece][x.Slice] || x.Slice < 1 || x.Slice > x.Of {
				t.Errorf("slice %d of %d of %s goes to two", x.Slice, x.Of, x.Piece)
			}
			sliced[x.Piece][x.Slice] = true
			of[x.Piece] = x.Of
		}
	}
	for piece, s := range sliced {
		if len(s) != of[piece] {
			t.Errorf("%s: %d of %d slices are eaten", piece, len(s), of[piece])
		}
	}
}

func TestPublishedDesign(t *testing.T) {
	t.Parallel()
	last := uint64(8)
	if testing.Short() {
		last = 3
	}
	for seed := uint64(1); seed <= last; seed++ {
		p := plan(t, published(), seed)
		if p.OrderWithin != 0.5 {
			t.Errorf("seed %d: bound %v", seed, p.OrderWithin)
		}
		for _, b := range p.Balance {
			if d, ok := b.D.Get(); !ok || d > Balanced {
				t.Errorf("seed %d: %s between %s differs by %v SD", seed, b.Size, b.Factor, b.D)
			}
		}
		for _, m := range p.Meetings {
			if m.Lost > 0 || m.V > 0.3 || m.High-m.Low > 1 {
				t.Errorf("seed %d: %+v", seed, m)
			}
		}
		v := p.Serving
		if v.PlaceSpread > 1 || v.AfterSpread > 1 || v.TasteLow != v.TasteHigh || v.MeetHigh-v.MeetLow > 1 {
			t.Errorf("seed %d: %+v", seed, v)
		}
	}
}

func TestSameSeedSamePlan(t *testing.T) {
	t.Parallel()
	a, b, c := plan(t, published(), 1), plan(t, published(), 1), plan(t, published(), 2)
	if d := cmp.Diff(a, b, cmp.Exporter(all)); d != "" {
		t.Error(d)
	}
	if cmp.Equal(a.Trial.Cooks, c.Trial.Cooks, cmp.Exporter(all)) || slices.Equal(a.Trial.Panel.V.Key, c.Trial.Panel.V.Key) {
		t.Error("two seeds give one plan")
	}
	before, after := published(), published()
	plan(t, after, 3)
	if d := cmp.Diff(before, after, cmp.Exporter(all)); d != "" {
		t.Error("the input was altered:", d)
	}
}

func TestMeeting(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name            string
		arm, label      []int
		arms            int
		lost, low, high int
		v               float64
	}{
		{"crossed", []int{0, 0, 1, 1}, []int{0, 1, 0, 1}, 2, 0, 1, 1, 0},
		{"each its own", []int{0, 1}, []int{0, 1}, 2, 1, 0, 1, 0}, // V is 1 here, and 0 once its bias is off
		{"fully tied", []int{0, 0, 0, 1, 1, 1}, []int{0, 0, 0, 1, 1, 1}, 2, 1, 0, 3, 1},
		{"partly tied", []int{0, 1, 2}, []int{0, 0, 1}, 3, 1, 0, 1, 0},
		{"a chain", []int{0, 1, 1, 2}, []int{0, 0, 1, 1}, 3, 0, 0, 1, 0},
		{"one level", []int{0, 1}, []int{0, 0}, 2, 0, 1, 1, 0},
	} {
		m := meeting("bath", c.arm, c.label, c.arms)
		if m.Lost != c.lost || m.Low != c.low || m.High != c.high || math.Abs(m.V-c.v) > 1e-9 {
			t.Errorf("%s: %+v", c.name, m)
		}
	}
}

// Sittings reads any trial: without a panel, without pieces, without positions.
func TestSittingsOfLittle(t *testing.T) {
	t.Parallel()
	if s := Sittings(&trial.Trial{}); s != nil {
		t.Error(s)
	}
	tr := &trial.Trial{Cooks: []trial.Cook{{ID: "A"}}, Panel: trial.Some(trial.Panel{Scores: []trial.Score{
		{Assessor: "anna", Cook: "A", Position: trial.Some(2)}, {Assessor: "anna", Cook: "B", Position: trial.Some(1)}, {Assessor: "ben", Cook: "A"}}})}
	got := Sittings(tr)
	want := []Sitting{{Assessor: "anna", Tastes: []Taste{{Position: 1, Cook: "B"}, {Position: 2, Cook: "A"}}}, {Assessor: "ben", Tastes: []Taste{{Cook: "A"}}}}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}
