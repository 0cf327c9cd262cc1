package cli

import (
	"strings"
	"testing"
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
