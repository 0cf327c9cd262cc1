package report

import (
	"sort"
	"strings"

	"tamis/internal/answer"
	"tamis/internal/texture"
)

// armTable is what was cooked: a row an arm (and method), a column a measure.
type armTable struct {
	Caption  string
	Head     string // of the first column
	Columns  []string
	Rows     []armRow
	Interval string // what the intervals are
}

type armRow struct {
	Name  words
	at    float64 // set point, °C
	Cooks string
	Cells []armCell
}

// armCell is a mean over its interval; Absent says why there is none.
type armCell struct {
	Mean, Interval, Absent string
}

// armsOf builds the table over the measures, in the order of their first arms.
// Where set point and method both vary a row is a cell of the two.
func armsOf(r *answer.Result, ms []*texture.Measure) *armTable {
	t := &armTable{Caption: "What was cooked", Head: "Set point"}
	at := map[string]int{}
	covers := map[string]bool{}
	for k, m := range ms {
		t.Columns = append(t.Columns, capital(plain(m.Name)))
		if m.Unit != "" {
			t.Columns[k] += ", " + plain(m.Unit)
		}
		for _, a := range armsIn(m) {
			if !a.SetPoint.Known() && a.Term != "" {
				t.Head = capital(strings.ReplaceAll(plain(a.Term), ":", " × "))
			}
			key := a.Arm + "\x00" + a.Method + "\x00" + a.SetPoint.String()
			i, ok := at[key]
			if !ok {
				i = len(t.Rows)
				at[key] = i
				t.Rows = append(t.Rows, armRow{Name: armName(a), at: a.SetPoint.Or(0), Cooks: short(float64(a.N)), Cells: make([]armCell, len(ms))})
				for j := range t.Rows[i].Cells {
					t.Rows[i].Cells[j].Absent = "not measured"
				}
			}
			t.Rows[i].Cells[k] = cell(a)
			if a.Low.Known() && a.Covers != "" {
				covers[a.Covers] = true
			}
		}
	}
	if len(t.Rows) == 0 {
		return nil
	}
	// What is compared stands together: by set point, then as the file has it.
	sort.SliceStable(t.Rows, func(i, j int) bool { return t.Rows[i].at < t.Rows[j].at })
	if len(covers) > 0 {
		t.Interval = "With each mean: its " + short(100*r.Level) + " % interval, from " + scatter(strings.Join(sorted(covers), "; or ")) + "."
	}
	return t
}

func armsIn(m *texture.Measure) []texture.Arm {
	switch {
	case len(m.Cells) > 0:
		return m.Cells
	case len(m.Arms) > 0:
		return m.Arms
	}
	return m.Levels
}

// armName is the set point in both units with the method, or the name of a
// level that has no set point.
func armName(a texture.Arm) words {
	t, ok := a.SetPoint.Get()
	if !ok {
		return words{{Text: plain(a.Arm)}}
	}
	q := answer.Quantity{Kind: answer.Temperature, Value: t}
	if t != float64(int(t)) {
		q.Digits = 1
	}
	s := answer.Say(q)
	if a.Method != "" {
		s = append(s, answer.Say(", "+plain(a.Method))...)
	}
	return of(s)
}

// cell prints a mean with one digit more than the leading digit of its
// standard error deserves, and its interval with the same digits.
func cell(a texture.Arm) armCell {
	mean, ok := a.Mean.Get()
	if !ok {
		return armCell{Absent: clean(a.Mean.Reason())}
	}
	digits := answer.DigitsFor(a.SE.Or(0))
	c := armCell{Mean: answer.Fixed(mean, digits)}
	lo, okLo := a.Low.Get()
	hi, okHi := a.High.Get()
	if okLo && okHi {
		c.Interval = answer.Fixed(lo, digits) + " to " + answer.Fixed(hi, digits)
	}
	return c
}

func sorted(set map[string]bool) (out []string) {
	for s := range set {
		out = append(out, clean(s))
	}
	sort.Strings(out)
	return out
}
