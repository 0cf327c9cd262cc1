package safety

import (
	"fmt"
	"math"
	"os"
	"testing"

	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// The model of the tables against the series solutions, at the shape exponents
// of a slab, a long cylinder and a sphere.
func TestExponentBodyAgainstTheSeries(t *testing.T) {
	t.Parallel()
	for beta, shape := range []heat.Shape{heat.Slab, heat.Cylinder, heat.Sphere} {
		for _, bi := range []float64{0.1, 1, 5, 20} {
			// One metre of half thickness, diffusivity and conductivity make
			// seconds the Fourier number and the coefficient the Biot number.
			exact, err := heat.New(shape, 1, heat.Material{Diffusivity: 1, Conductivity: 1, Transfer: bi})
			if err != nil {
				t.Fatal(err)
			}
			b := newExponentBody(float64(beta), bi)
			for fo := 0.0; fo < 1.5; {
				fo += b.step()
				if fo > 0.05 {
					// Cells of 1/80: second order, (1/80)² of a θ of order one.
					near(t, fmt.Sprintf("%v Bi %v Fo %v", shape, bi, fo), b.core(), exact.Centre(fo), 2e-4)
				}
			}
		}
	}
}

var tables = []struct {
	kind         string
	cells, least int
}{{"lean fish", 84, 80}, {"oily fish", 84, 78}, {"beef pork lamb", 168, 160}}

// Each printed time is the computed one, within one printed step, in nearly all
// cells. The parameters of the fish are from memory, and the tables
// bear them out.
func TestPublishedTablesAreReproduced(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile("testdata/handbook-computed.csv")
	if err != nil {
		t.Fatal(err)
	}
	computed := readCells(string(raw))
	for _, tab := range tables {
		n, within := 0, 0
		for c := range handbook() {
			if c.kind != tab.kind {
				continue
			}
			n++
			p, ok := FromHandbook(c.kind, c.mm, c.celsius)
			if ok {
				within++
			}
			// The same sum by another program, printed to one decimal.
			near(t, fmt.Sprint(c), p.Computed, computed[c], 0.06+5e-4*computed[c])
		}
		t.Logf("%s: %d of %d cells within one printed step", tab.kind, within, n)
		if n != tab.cells || within < tab.least {
			t.Errorf("%s: %d of %d cells within one printed step, want %d of %d", tab.kind, within, n, tab.least, tab.cells)
		}
	}
	for _, c := range []cell{{"lean fish", 26, 55}, {"lean fish", 25, 55.5}, {"poultry", 25, 60}, {"", 0, 0}, {"lean fish", math.NaN(), 55}} {
		if p, ok := FromHandbook(c.kind, c.mm, c.celsius); ok {
			t.Errorf("%v: %+v", c, p)
		}
	}
}

// fromFridge is a cook of the tables: from 5 °C in a bath that is known to be true.
func fromFridge(kind string) *trial.Trial {
	tr := cooked(kind, 55, 60)
	tr.Food.Start.V = quantity.Celsius(5)
	return tr
}

// The verdict is never before the printed time less one step, in any cell, even
// with a bath that is known to be true.
func TestVerdictIsNeverBeforeTheTables(t *testing.T) {
	t.Parallel()
	for _, tab := range tables {
		p := NewPlanner(fromFridge(tab.kind), Override{})
		closest, reached := math.Inf(1), 0
		for c, printed := range handbook() {
			if c.kind != tab.kind {
				continue
			}
			after := p.PasteurisedAfter(0, c.celsius, c.mm)
			if after.Never != nil {
				continue
			}
			reached++
			closest = math.Min(closest, (after.Exact-printed)/printedStep(printed))
			if after.Exact < printed-printedStep(printed) || after.Minutes < after.Exact {
				t.Errorf("%s %v mm at %v °C: %v min (%v), printed %v", c.kind, c.mm, c.celsius, after.Exact, after.Minutes, printed)
			}
		}
		t.Logf("%s: %d cells are reached, the closest %.2f steps after the printed time", tab.kind, reached, closest)
		if reached < tab.cells/2 {
			t.Errorf("%s: only %d cells are ever reached", tab.kind, reached)
		}
	}
}

// Oily fish of 25 mm at 55 °C from the fridge: four and a half hours or so
// (common practice, no source); the published table says five. The likely side
// lies between 4 h and 5 h 15, and the verdict is not before the table.
func TestOilyFishFromTheFridge(t *testing.T) {
	t.Parallel()
	p := NewPlanner(fromFridge("oily fish"), Override{})
	after := p.PasteurisedAfter(0, 55, 25)
	if after.Never != nil || after.Exact < 300 || after.Minutes > 345 {
		t.Errorf("oily fish: %+v", after)
	}
	likely := p.LikelyAfter(55, 25, 5)
	if likely < 240 || likely > 315 {
		t.Errorf("the likely side: %v min, want between 4 h and 5 h 15", likely)
	}
}
