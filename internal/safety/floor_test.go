package safety

import (
	"math"
	"strings"
	"testing"
)

func TestFloor(t *testing.T) {
	t.Parallel()
	tr := cooked("poultry", 62, 120)
	floor, ok := Floor(tr, 55, 64, nil)
	if !ok || floor <= 58 || floor >= 62 {
		t.Fatalf("floor %v, %v", floor, ok)
	}
	if up, down := For(tr, floor, nil).Verdict, For(tr, floor-0.5, nil).Verdict; up != Pasteurised || down != DoNotEat {
		t.Errorf("at the floor %v, half a degree below %v", up, down)
	}
	for _, c := range [][2]float64{{floor, 64}, {64, 55}, {60, 60}, {math.Inf(1), 64}, {math.NaN(), 64}, {55, math.NaN()}, {math.Inf(-1), 64}} {
		if f, ok := Floor(tr, c[0], c[1], nil); ok {
			t.Errorf("from %v to %v there is a floor at %v", c[0], c[1], f)
		}
	}
	if got, want := plain(FloorCaution(60.5, Pasteurised, DoNotEat).Text), "This holds from 60.5 °C up. Below, the verdict is: do not eat, do not taste."; got != want {
		t.Errorf("%q, want %q", got, want)
	}

	// Fish is pasteurised on both sides of 63 °C, but cleared for vulnerable
	// people only above.
	fish := cooked("lean fish", 66, 200)
	floor, ok = Floor(fish, 61, 66, nil)
	if !ok || floor != 63.5 || For(fish, floor-0.5, nil).Verdict != Pasteurised || For(fish, floor-0.5, nil).Vulnerable || !For(fish, floor, nil).Vulnerable {
		t.Errorf("fish: floor %v, %v", floor, ok)
	}
	if got := plain(FloorCaution(63.5, Pasteurised, Pasteurised).Text); !strings.Contains(got, "from 63.5 °C up. Below, it is not for young children") {
		t.Errorf("%q", got)
	}
}
