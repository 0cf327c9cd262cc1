package demo

import (
	"image/png"
	"math"
	"os"
	"path"
	"path/filepath"
	"strings"
	"testing"
)

// The files in trials/ are what the generator writes, byte for byte.
func TestTrialsAreWhatTheGeneratorWrites(t *testing.T) {
	t.Parallel()
	for _, f := range Files() {
		path := filepath.Join("..", "..", "trials", filepath.FromSlash(f.Path))
		have, err := os.ReadFile(path)
		if err != nil {
			t.Error(err)
			continue
		}
		if string(have) != f.Text {
			t.Errorf("%s differs: run go generate ./internal/demo", f.Path)
		}
	}
}

func TestFilesAreTheSameTwice(t *testing.T) {
	t.Parallel()
	a, b := Files(), Files()
	if len(a) != len(b) {
		t.Fatalf("%d and %d files", len(a), len(b))
	}
	for i := range a {
		if a[i] != b[i] {
			t.Errorf("%s differs between two calls", a[i].Path)
		}
	}
}

// The stated truth respects what is common practice (no source).
func TestTruth(t *testing.T) {
	t.Parallel()
	step := func(c Curve, x float64) float64 { return c.At(x+0.5) - c.At(x-0.5) }
	for x := 44.0; x < 60; x++ {
		if step(PollackFirmness, x) <= 0 || step(PollackProtein, x) <= 0 {
			t.Errorf("firmness and surface protein must rise at %v °C", x)
		}
		if step(CarrotBite, x+35) >= 0 {
			t.Errorf("a carrot must soften at %v °C", x+35)
		}
	}
	steepest := 44.0
	for x := 44.0; x <= 60; x += 0.5 {
		if step(PollackFirmness, x) > step(PollackFirmness, steepest) {
			steepest = x
		}
	}
	if steepest < 45 || steepest > 50 {
		t.Errorf("firmness of fish is steepest at %v °C, not around 45 to 50", steepest)
	}
	if !(BrineProteinFactor > 0 && BrineProteinFactor < 1) {
		t.Error("a brine must lessen surface protein without removing it")
	}
}

func TestWindowOfTheTruth(t *testing.T) {
	t.Parallel()
	for _, brined := range []bool{false, true} {
		low, high := PollackWindow(brined)
		if !(low > 44 && low < high && high < 60) {
			t.Errorf("brined %v: the true window is %v to %v", brined, low, high)
		}
		shift := 0.0
		if brined {
			shift = BrineFirmnessShift
		}
		if got := PollackFirmness.At(low) + shift; math.Abs(got-5) > 1e-9 {
			t.Errorf("brined %v: firmness at the low end is %v, not 5", brined, got)
		}
	}
}

// Every sample stands equally often after every other in a Williams square of
// an even size (Williams 1949).
func TestWilliams(t *testing.T) {
	t.Parallel()
	for _, p := range []int{4, 6, 8, 12} {
		after := map[[2]int]int{}
		place := map[[2]int]int{}
		for r := range p {
			row := williams(p, r)
			for i, s := range row {
				place[[2]int{i, s}]++
				if i > 0 {
					after[[2]int{row[i-1], s}]++
				}
			}
		}
		if len(place) != p*p || len(after) != p*(p-1) {
			t.Errorf("p = %d: %d places and %d followers, want %d and %d", p, len(place), len(after), p*p, p*(p-1))
		}
	}
}

// The probe logs of the demos are plausible: the core rises, never above the
// bath, and comes within half a degree of it in about the time that a series
// solution gives for 25 mm from 5 to 55 °C in well-stirred water (65 to 75 min,
// computed).
func TestCore(t *testing.T) {
	t.Parallel()
	c := core(25, 5, 55, 120)
	arrived := 0
	for m := 1; m < len(c); m++ {
		if c[m] < c[m-1] || c[m] > 55 {
			t.Fatalf("minute %d: %v after %v", m, c[m], c[m-1])
		}
		if arrived == 0 && c[m] >= 54.5 {
			arrived = m
		}
	}
	if arrived < 65 || arrived > 75 {
		t.Errorf("the core arrives after %d min", arrived)
	}
}

// The drawings are small, and whoever cannot see one is told what it shows.
func TestPictures(t *testing.T) {
	t.Parallel()
	n := 0
	for _, f := range Files() {
		switch path.Ext(f.Path) {
		case ".png":
			n++
			m, err := png.Decode(strings.NewReader(f.Text))
			if err != nil {
				t.Errorf("%s: %v", f.Path, err)
				continue
			}
			if len(f.Text) > 40<<10 || m.Bounds().Dx() < 300 {
				t.Errorf("%s: %d bytes, %v", f.Path, len(f.Text), m.Bounds())
			}
		case ".yaml":
			for line := range strings.Lines(f.Text) {
				if !strings.HasPrefix(line, "  - {file: photos/") {
					continue
				}
				for _, part := range []string{`caption: "`, `alt: "Drawing of `, `credit: "Drawing: `, "licence: CC0"} {
					if !strings.Contains(line, part) {
						t.Errorf("%s lacks %s: %s", f.Path, part, line)
					}
				}
			}
			if !strings.Contains(f.Text, "All data of this trial are invented") {
				t.Errorf("%s does not say that it is invented", f.Path)
			}
		}
	}
	if n < 10 {
		t.Errorf("%d pictures", n)
	}
}
