package diag

import (
	"strings"
	"testing"
	"unicode"
)

func TestWrap(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		text string
		wide int
		want string
	}{
		{"", 10, ""},
		{"   ", 10, ""},
		{"one two three", 7, "one two|three"},
		{"one two three", 80, "one two three"},
		{"abcdefghij", 4, "abcd|efgh|ij"},
		{"a abcdefghij b", 4, "a|abcd|efgh|ij b"},
		{"at 54\u00a0°C now", 6, "at|54 °C|now"},
		{"鱈鱈鱈", 4, "鱈鱈|鱈"},
		{"line\nbreak\ttab", 80, "line break tab"},
	} {
		if got := strings.Join(Wrap(c.text, c.wide), "|"); got != c.want {
			t.Errorf("Wrap(%q, %d) = %q, want %q", c.text, c.wide, got, c.want)
		}
	}
}

func FuzzWrap(f *testing.F) {
	f.Add("Hold the bath within 1.3 °C.", 10)
	f.Add("鱈 a\u0301 🐟🐟🐟 \u00a0 x", 3)
	f.Add(strings.Repeat("long", 100), 80)
	f.Fuzz(func(t *testing.T, text string, wide int) {
		text = strings.ToValidUTF8(text, "?") // halves of a character would join when compared
		wide = 2 + abs(wide)%100
		lines := Wrap(text, wide)
		for _, l := range lines {
			if Width(l) > wide {
				t.Fatalf("%q has %d cells, more than %d", l, Width(l), wide)
			}
		}
		bare := func(s string) string {
			return strings.Map(func(r rune) rune {
				if unicode.IsSpace(r) {
					return -1
				}
				return r
			}, s)
		}
		if bare(text) != bare(strings.Join(lines, "")) {
			t.Fatalf("%q became %q", text, lines)
		}
	})
}

func abs(n int) int {
	if n < 0 {
		return -(n + 1) // also for the least int
	}
	return n
}

func TestKeepUnits(t *testing.T) {
	t.Parallel()
	for in, want := range map[string]string{
		"at 54 °C.":        "at 54~°C.",
		"50 °C to 52 °C":   "50~°C to 52~°C",
		"(60 min, plain)":  "(60~min, plain)",
		"6 h and 30 min":   "6~h and 30~min",
		"level 9 in a row": "level 9~in a row", // an inch as well: harmless
		"step C":           "step C",
	} {
		if got := strings.ReplaceAll(KeepUnits(in), "\u00a0", "~"); got != want {
			t.Errorf("KeepUnits(%q) = %q, want %q", in, got, want)
		}
	}
}
