package cli

import (
	"strings"
	"testing"
	"unicode"
)

func TestCells(t *testing.T) {
	t.Parallel()
	for s, want := range map[string]int{
		"": 0, "54 °C": 5, "é": 1, "e\u0301": 1, "鱈": 2, "サケ": 4, "ｱ": 1, "Ａ": 2, "a\u200bb": 2, "🐟": 2, "▁▂": 2,
	} {
		if got := cells(s); got != want {
			t.Errorf("cells(%q) = %d, want %d", s, got, want)
		}
	}
}

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
		if got := strings.Join(wrap(c.text, c.wide), "|"); got != c.want {
			t.Errorf("wrap(%q, %d) = %q, want %q", c.text, c.wide, got, c.want)
		}
	}
}

func FuzzWrap(f *testing.F) {
	f.Add("Hold the bath within 1.3 °C.", 10)
	f.Add("鱈 a\u0301 🐟🐟🐟 \u00a0 x", 3)
	f.Add(strings.Repeat("long", 100), 80)
	f.Fuzz(func(t *testing.T, text string, wide int) {
		wide = 2 + abs(wide)%100
		lines := wrap(text, wide)
		for _, l := range lines {
			if cells(l) > wide {
				t.Fatalf("%q has %d cells, more than %d", l, cells(l), wide)
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
		if strings.ToValidUTF8(bare(text), "") != strings.ToValidUTF8(bare(strings.Join(lines, "")), "") {
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
		if got := strings.ReplaceAll(keepUnits(in), "\u00a0", "~"); got != want {
			t.Errorf("keepUnits(%q) = %q, want %q", in, got, want)
		}
	}
}

func TestGrid(t *testing.T) {
	t.Parallel()
	g := &grid{right: []bool{false, true}}
	g.add("set point", "n", "letters")
	g.add("44 °C", "3", "a")
	g.add()
	g.add("brine", "pieces")
	g.add("plain", "36", "b")
	want := `  set point       n  letters
  44 °C           3  a

  brine      pieces
  plain          36  b`
	if got := strings.Join(g.lines("  "), "\n"); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// Too wide a table wraps its first column, or stacks its cells. It loses
// nothing and never passes the edge.
func TestGridFits(t *testing.T) {
	t.Parallel()
	long := strings.Repeat("a factor with a name beyond all measure ", 4)
	for _, row := range [][]string{
		{long, "1.25", "0.001"},
		{strings.Repeat("x", 300), "1.25", "0.001"},
		{"short", long, "0.001"},
		{long, long, strings.Repeat("鱈", 90)},
	} {
		g := &grid{right: []bool{false, true, true}}
		g.add("test of", "statistic", "p")
		g.add(row...)
		lines := g.lines("  ")
		for _, l := range lines {
			if cells(l) > columns {
				t.Errorf("%d cells: %s", cells(l), l)
			}
		}
		all := strings.ReplaceAll(strings.Join(lines, ""), " ", "")
		for _, c := range row {
			if !strings.Contains(all, strings.ReplaceAll(c, " ", "")) {
				t.Errorf("%q is lost in\n%s", c, strings.Join(lines, "\n"))
			}
		}
	}
	if (&grid{}).lines("") != nil {
		t.Error("an empty table has lines")
	}
}
