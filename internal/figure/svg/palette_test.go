package svg

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"tamis/internal/figure"
)

func contrast(a, b string) float64 {
	x, y := luminance(a), luminance(b)
	return (math.Max(x, y) + 0.05) / (math.Min(x, y) + 0.05)
}

// Reference pairs: black on white is 21 : 1 by definition; #767676 on white is
// the well-known 4.54 : 1 (WCAG 2.2, technique G18, from memory).
func TestContrast(t *testing.T) {
	t.Parallel()
	if c := contrast("#000000", "#ffffff"); math.Abs(c-21) > 1e-9 {
		t.Errorf("black on white %v", c)
	}
	if c := contrast("#767676", "#ffffff"); math.Abs(c-4.54) > 0.005 { // published with two decimals
		t.Errorf("#767676 on white %v", c)
	}
}

func TestEveryRoleHasColours(t *testing.T) {
	t.Parallel()
	for _, s := range []Scheme{Light, Dark} {
		vars := Variables(s)
		for _, r := range figure.Roles() {
			if _, ok := colours[s][r]; !ok {
				t.Errorf("scheme %d: no colour for %s", s, r)
			}
			if !strings.Contains(vars, "--fig-"+string(r)+":#") {
				t.Errorf("scheme %d: no variable for %s", s, r)
			}
		}
	}
}

// WCAG 2.2: 4.5 : 1 for text (1.4.3), 3 : 1 for graphical objects (1.4.11).
func TestContrastToGround(t *testing.T) {
	t.Parallel()
	for _, s := range []Scheme{Light, Dark} {
		ground := hex(s, paper)
		for _, r := range figure.Roles() {
			least := 4.5
			if _, tone := r.Tone(); tone {
				least = 3
			}
			if r == figure.Rule {
				continue // grid lines carry nothing
			}
			if c := contrast(hex(s, r), ground); c < least {
				t.Errorf("scheme %d: %s has %.2f : 1, wants %v", s, r, c, least)
			}
		}
		for i := range figure.Tones {
			tone := hex(s, figure.SetPoint(float64(i)/(figure.Tones-1)))
			if c := contrast(hex(s, figure.Ink), mixed(tone, ground, FieldTint)); c < 4.5 {
				t.Errorf("scheme %d: a number in a field of tone %d has %.2f : 1", s, i, c)
			}
		}
	}
}

// The set-point scale reads in grey: its lightness goes one way, by steps of at
// least 2 in CIE L*.
func TestTonesReadInGrey(t *testing.T) {
	t.Parallel()
	for _, s := range []Scheme{Light, Dark} {
		sign := map[Scheme]float64{Light: -1, Dark: 1}[s]
		for i := 1; i < figure.Tones; i++ {
			a := lightness(hex(s, figure.SetPoint(float64(i-1)/(figure.Tones-1))))
			b := lightness(hex(s, figure.SetPoint(float64(i)/(figure.Tones-1))))
			if sign*(b-a) < 2 {
				t.Errorf("scheme %d: L* goes from %.1f to %.1f between tones %d and %d", s, a, b, i-1, i)
			}
		}
	}
}

// lightness is CIE 1976 L* for white at luminance 1.
func lightness(h string) float64 {
	y := luminance(h)
	if y <= 216.0/24389 {
		return y * 24389 / 27
	}
	return 116*math.Cbrt(y) - 16
}

// Treatments are told apart without red-green vision by lightness or hue, and
// in any case by dash and mark; here: no two of the four are closer than 10 in
// the simulated Lab space of either red-green deficiency.
func TestTreatmentsForColourBlind(t *testing.T) {
	t.Parallel()
	// Viénot, Brettel and Mollon 1999, linear RGB; matrices from memory.
	sims := map[string][3][3]float64{
		"protan": {{0.11238, 0.88762, 0}, {0.11238, 0.88762, 0}, {0.00401, -0.00401, 1}},
		"deutan": {{0.29275, 0.70725, 0}, {0.29275, 0.70725, 0}, {-0.02234, 0.02234, 1}},
	}
	for name, m := range sims {
		for _, s := range []Scheme{Light, Dark} {
			for i := range 4 {
				for j := range i {
					a, b := lab(hex(s, figure.Treatment(i).Role), m), lab(hex(s, figure.Treatment(j).Role), m)
					if d := math.Sqrt(sq(a[0]-b[0]) + sq(a[1]-b[1]) + sq(a[2]-b[2])); d < 10 {
						t.Errorf("%s, scheme %d: treatments %d and %d are %.1f apart", name, s, j, i, d)
					}
				}
			}
		}
	}
}

func sq(v float64) float64 { return v * v }

// lab is CIE Lab (D65) of a hex colour seen through m.
func lab(h string, m [3][3]float64) [3]float64 {
	c := rgb(h)
	in := [3]float64{linear(c.R), linear(c.G), linear(c.B)}
	var v [3]float64
	for i := range m {
		for j := range in {
			v[i] += m[i][j] * in[j]
		}
	}
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	x := f((0.4124*v[0] + 0.3576*v[1] + 0.1805*v[2]) / 0.9505)
	y := f(0.2126*v[0] + 0.7152*v[1] + 0.0722*v[2])
	z := f((0.0193*v[0] + 0.1192*v[1] + 0.9505*v[2]) / 1.0890)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// mixed is a colour laid over another with the given share, as a browser blends it.
func mixed(over, under string, share float64) string {
	a, b := rgb(over), rgb(under)
	mix := func(x, y uint8) uint8 { return uint8(math.Round(share*float64(x) + (1-share)*float64(y))) }
	return fmt.Sprintf("#%02x%02x%02x", mix(a.R, b.R), mix(a.G, b.G), mix(a.B, b.B))
}
