package cli

import (
	"math"
	"strings"

	"tamis/internal/quantity"
	"tamis/internal/texture"
)

// stripCells is the width of the strip of chances.
const stripCells = 50

var blocks = []rune("▁▂▃▄▅▆▇█")

// strip draws the chance that the aims hold in the next cook over the set
// points, one block a cell, and marks where it is more likely than not.
func (f *fitText) strip() {
	w := f.headline()
	if w == nil || len(w.Grid) < 2 || w.Cannot != "" || f.r.OneCookEach() {
		return
	}
	first, last := w.Grid[0].SetPoint, w.Grid[len(w.Grid)-1].SetPoint
	if !(last > first) {
		return
	}
	// Cell i stands for the middle of its share of the range.
	at := func(i int) float64 { return first + (last-first)*(float64(i)+0.5)/stripCells }
	var b strings.Builder
	from, to := -1, -1
	for i := 0; i < stripCells; i++ {
		chance := nearestDot(w.Grid, at(i)).Next
		if chance < 0.02 {
			b.WriteRune('·')
		} else {
			b.WriteRune(blocks[min(len(blocks)-1, int(chance*float64(len(blocks))))])
		}
		if s := w.Next.Range; s.Stretches > 0 && at(i) >= s.Low.Or(first) && at(i) <= s.High.Or(last) {
			if from < 0 {
				from = i
			}
			to = i
		}
	}
	all := "chance that all aims hold"
	if len(f.r.Trial.Aims) == 1 {
		all = "chance that the aim holds"
	}
	f.blank()
	f.line("  " + f.stripScale(first, last))
	f.line("  " + b.String() + "  " + all)
	if from >= 0 && w.Next.Range.Stretches == 1 {
		mark := "│"
		if to > from {
			mark = "└" + strings.Repeat("─", to-from-1) + "┘"
		}
		f.line("  " + strings.Repeat(" ", from) + mark + "  more likely than not")
	}
	f.blank()
}

// stripScale writes the cooked set points over the strip, where there is room.
func (f *fitText) stripScale(first, last float64) string {
	points := map[float64]bool{first: true, last: true}
	for _, m := range f.r.Measures {
		for _, a := range m.Arms {
			if v, ok := a.SetPoint.Get(); ok && v > first && v < last {
				points[v] = true
			}
		}
	}
	row := []rune(strings.Repeat(" ", stripCells))
	free := func(from, to int) bool {
		for i := max(0, from-2); i < min(stripCells, to+2); i++ {
			if row[i] != ' ' {
				return false
			}
		}
		return true
	}
	put := func(v float64, unit bool) {
		value, u := quantity.Celsius(v).In(f.sys)
		label := []rune(trimmed(value, 1))
		if unit {
			label = append(label, []rune(" "+u)...)
		}
		i := int(math.Round((v-first)/(last-first)*stripCells)) - len(label)/2
		i = max(0, min(stripCells-len(label), i))
		if free(i, i+len(label)) {
			copy(row[i:], label)
		}
	}
	put(first, true)
	put(last, false)
	for _, v := range sortedKeys(points) {
		put(v, false)
	}
	return strings.TrimRight(string(row), " ")
}

func (f *fitText) headline() *texture.Window {
	for i := range f.r.Windows {
		if f.r.Windows[i].Headline {
			return &f.r.Windows[i]
		}
	}
	return nil
}

func nearestDot(grid []texture.ChanceDot, x float64) texture.ChanceDot {
	best := grid[0]
	for _, d := range grid {
		if math.Abs(d.SetPoint-x) < math.Abs(best.SetPoint-x) {
			best = d
		}
	}
	return best
}
