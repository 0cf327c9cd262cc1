package conduct

import (
	"fmt"
	"testing"
)

// Phases: what a piece does after the bath.
func TestAfterTheBath(t *testing.T) {
	t.Parallel()
	p := plain(t, Slab, 25, 3600)
	p.Phases = append(p.Phases,
		Phase{Seconds: 300, Outer: Bath(22, 10)}, // rest
		Phase{Seconds: 120, Outer: Bath(1, 400)}, // ice bath
		Phase{Seconds: 60, Outer: Pan(200)},      // sear
		Phase{Seconds: 600, Outer: Bath(22, 10)}) // plate
	c := solved(t, p, Options{Times: []float64{3600, 3900, 4020, 4080, 4680}})
	if len(c.Profiles) != 5 {
		t.Fatalf("%d profiles", len(c.Profiles))
	}
	at := func(s float64) Point { return c.At(s - 1e-6) }
	near(t, "core after the bath", at(3600).Core, 55-50*body(t, Slab, 25, practical).Centre(3600), 0.01)
	if !(at(3900).Surface < at(3600).Surface-1 && at(3900).Core < 54.5) {
		t.Errorf("rest: %+v", at(3900))
	}
	if !(at(4020).Surface < 12 && at(4020).Core > 40) {
		t.Errorf("ice bath: %+v", at(4020))
	}
	if !(at(4080).Surface == 200 && at(4080).Core > 38) {
		t.Errorf("sear: %+v", at(4080))
	}
	end := at(4680)
	if !(end.Surface < end.Core && end.Coldest <= end.Core && end.Coldest <= end.Surface) {
		t.Errorf("plate: %+v", end)
	}
	for _, pr := range c.Profiles {
		if pr.Place[0] != 0 || pr.Place[len(pr.Place)-1] != 1 || len(pr.Place) != len(pr.Celsius) {
			t.Errorf("profile: %+v", pr.Place)
		}
	}
	// The same seen as one cooling problem: after long in the bath, a quench is the
	// series upside down.
	q := plain(t, Slab, 25, 6*3600)
	q.Phases = append(q.Phases, Phase{Seconds: 3600, Outer: Bath(5, 95)})
	course := solved(t, q, Options{})
	near(t, "quench", course.At(6*3600+1200).Core, 5+50*body(t, Slab, 25, practical).Centre(1200), 0.01)
}

// A slab with one face insulated is half of one that is twice as thick, and with
// both faces named alike it is the plain one.
func TestUnlikeFaces(t *testing.T) {
	t.Parallel()
	p := plain(t, Slab, 25, 9000)
	none := Insulated()
	p.Phases[0].Inner = &none
	c := solved(t, p, Options{Times: []float64{3000}})
	thick := body(t, Slab, 50, practical)
	for i, place := range c.Profiles[0].Place {
		want := 55 - 50*thick.At((1+place)/2, 3000)
		near(t, fmt.Sprint("at ", place), c.Profiles[0].Celsius[i], want, 0.01)
	}
	x := c.At(3000)
	near(t, "coldest", x.Coldest, x.Inner, 1e-9)
	near(t, "middle", x.Core, 55-50*thick.At(0.5, 3000), 0.01)

	both := plain(t, Slab, 25, 4000)
	same := both.Phases[0].Outer
	both.Phases[0].Inner = &same
	a, b := solved(t, both, Options{}), solved(t, plain(t, Slab, 25, 4000), Options{})
	for _, s := range []float64{60, 600, 1800, 4000} {
		near(t, "core", a.At(s).Core, b.At(s).Core, 1e-3) // of another formula for the centre
		near(t, "mean", a.At(s).Mean, b.At(s).Mean, 1e-9)
		near(t, "faces", a.At(s).Surface, a.At(s).Inner, 1e-9)
	}
	near(t, "heat", a.HeatIn/b.HeatIn, 1, 1e-9)

	// Seared on one face: that half is hotter, and the other feels little of it.
	sear := plain(t, Slab, 25, 4000)
	air := Bath(22, 10)
	sear.Phases = append(sear.Phases, Phase{Seconds: 60, Outer: Pan(200), Inner: &air})
	end := solved(t, sear, Options{}).At(4060)
	if !(end.Surface == 200 && end.Inner < 55 && end.Core < 56) {
		t.Errorf("seared: %+v", end)
	}
}

// A coefficient that steps within a phase is two phases.
func TestTransferThatChanges(t *testing.T) {
	t.Parallel()
	p := plain(t, Cylinder, 30, 2000)
	h, err := Steps([]float64{0, 600}, []float64{95, 400})
	if err != nil {
		t.Fatal(err)
	}
	p.Phases[0].Outer.Transfer = h
	q := plain(t, Cylinder, 30, 600)
	q.Phases = append(q.Phases, Phase{Seconds: 1400, Outer: Bath(55, 400)})
	a, b := solved(t, p, Options{}), solved(t, q, Options{})
	for _, s := range []float64{300, 601, 900, 2000} {
		// The steps of the two are laid differently.
		near(t, fmt.Sprint("core at ", s), a.At(s).Core, b.At(s).Core, 0.02)
		near(t, fmt.Sprint("surface at ", s), a.At(s).Surface, b.At(s).Surface, 0.3)
	}
}
