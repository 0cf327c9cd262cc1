package cli

import (
	"fmt"
	"sort"
	"strings"

	"tamis/internal/answer"
	"tamis/internal/quantity"
	"tamis/internal/texture"
)

func sortedKeys(m map[float64]bool) []float64 {
	out := make([]float64, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Float64s(out)
	return out
}

// measure prints the means and the tests of one measure.
func (f *fitText) measure(m *texture.Measure) {
	name := upperWords(m.Name)
	switch {
	case len(m.Scale) == 2:
		name += fmt.Sprintf(", %s to %s", trimmed(m.Scale[0], 4), trimmed(m.Scale[1], 4))
	case m.Unit != "":
		name += ", " + m.Unit
	}
	f.heading(name)
	if m.Observations == 0 {
		f.item("Nothing was recorded.")
		return
	}
	if m.Blank > 0 || m.LeftOut > 0 {
		numbers := "numbers"
		if m.Observations == 1 {
			numbers = "number"
		}
		f.item(fmt.Sprintf("%d %s, %d blank, %d left out.", m.Observations, numbers, m.Blank, m.LeftOut))
	}
	f.means(m)
	f.tests(m)
	if l := m.Line; l != nil {
		f.lineWords(l)
	}
	f.cannots(m)
	f.warnings(m.Warnings)
	if f.all {
		f.details(m)
	}
}

// cannots prints what has no answer here, each once: several levels of a factor
// may lack the same thing. What the tests lack is said with them, and what the
// tables of --all lack stands with those.
func (f *fitText) cannots(m *texture.Measure) {
	var said []string
	for _, c := range m.Cannot {
		if strings.HasPrefix(c.What, "test:") || (c.What == "sensitivity" && !f.all) {
			continue
		}
		s := upperWords(c.What) + ": " + c.Why
		if c.Need != "" {
			s += "; " + c.Need
		}
		said = appendNew(said, s+".")
	}
	for _, s := range said {
		f.item(s)
	}
}

// means prints the tables of means, one part a factor, in common columns. The
// second column counts the units of the factor; the intervals are theirs.
func (f *fitText) means(m *texture.Measure) {
	g := &grid{right: []bool{false, true, true, true, false}}
	var parts [][]texture.Arm
	if len(m.Arms) > 0 {
		parts = append(parts, m.Arms)
	}
	parts = append(parts, texture.ByTerm(m.Levels)...)
	if f.all && len(m.Cells) > 0 {
		parts = append(parts, m.Cells)
	}
	var notes []string
	for i, arms := range parts {
		if i > 0 {
			g.add()
		}
		notes = appendNew(notes, f.meansPart(g, arms, f.unitOf(arms[0].Term))...)
	}
	f.out = append(f.out, g.lines("  ")...)
	for _, n := range notes {
		f.item(n)
	}
}

// meansPart adds the means over one factor to a table, and returns what must be
// said below it.
func (f *fitText) meansPart(g *grid, arms []texture.Arm, unit string) (notes []string) {
	d := 4
	for _, a := range arms {
		if a.SE.Known() {
			d = min(d, digitsFor(a.SE))
		} else {
			d = min(d, 2)
		}
	}
	letters := ""
	for _, a := range arms {
		if a.Letters != "" {
			letters = "letters"
		}
	}
	interval := fmt.Sprintf("%s %% interval", trimmed(100*f.r.Level, 2))
	g.add(words(arms[0].Term), plural(unit), "mean", interval, letters)
	for _, a := range arms {
		g.add(f.armLabel(a), fmt.Sprint(a.N), amount(a.Mean, d), between(a.Low, a.High, d), a.Letters)
		switch {
		case !a.Mean.Known():
			notes = appendNew(notes, "No mean where a dash stands: "+a.Mean.Reason()+".")
		case !a.Low.Known():
			notes = appendNew(notes, "No interval: "+a.Low.Reason()+".")
		case a.Covers != "" && !strings.Contains(a.Covers, "cook") && (a.Covers != plural(unit) || below[unit]):
			notes = appendNew(notes, "Intervals of "+words(a.Term)+" cover "+strings.TrimSuffix(a.Covers, " only")+", not cooks.")
		case a.Covers != "" && a.Covers != plural(unit):
			notes = appendNew(notes, "The intervals cover "+a.Covers+".")
		}
	}
	return notes
}

// below are the units inside a cook: an interval of theirs leaves out how cooks
// differ.
var below = map[string]bool{"piece": true, "score": true}

func (f *fitText) armLabel(a texture.Arm) string {
	v, ok := a.SetPoint.Get()
	if !ok {
		return words(a.Arm)
	}
	label := f.temperature(v)
	if a.Method != "" {
		label += ", " + words(a.Method)
	}
	return label
}

// unitOf is the unit of a factor; that of the cells is the unit of the set
// point.
func (f *fitText) unitOf(term string) string {
	for _, u := range f.r.Units {
		if u.Factor == term {
			return u.Unit
		}
	}
	return "cook"
}

func appendNew(list []string, more ...string) []string {
	for _, m := range more {
		known := false
		for _, have := range list {
			known = known || have == m
		}
		if !known {
			list = append(list, m)
		}
	}
	return list
}

// lineWords prints the straight line, whether it is enough, and where it meets
// the aims.
func (f *fitText) lineWords(l *texture.Line) {
	slope, per := l.Slope, "°C"
	if f.sys == quantity.US {
		slope, per = l.SlopeF, "°F"
	}
	v, ok := slope.Estimate.Get()
	if !ok {
		return
	}
	d := digitsFor(slope.SE)
	s := fmt.Sprintf("A straight line rises %s per %s", answer.Fixed(v, d), per)
	if v < 0 {
		s = fmt.Sprintf("A straight line falls %s per %s", answer.Fixed(-v, d), per)
	}
	if slope.SE.Known() {
		s += fmt.Sprintf(" (SE %s, %s df)", amount(slope.SE, d), degrees(slope.DF))
	}
	if t := l.LackOfLine; t.Value.Known() {
		s += fmt.Sprintf("; departure from it: F %s on %s and %s, %s", amount(t.Value, 2), degrees(t.DF1), degrees(t.DF2), pWords(t.P))
	}
	f.blank()
	f.item(s + ".")
	for _, c := range l.Crossings {
		f.item("It " + f.crossing(c) + ".")
	}
}

func (f *fitText) crossing(c texture.Crossing) string {
	value := trimmed(c.Value, 4)
	at, ok := c.SetPoint.Get()
	switch {
	case !ok:
		return "does not reach " + value + ": " + c.SetPoint.Reason()
	case !c.Inside:
		return "does not reach " + value + " within the set points that were cooked"
	}
	low, lowKnown := c.Low.Get()
	high, highKnown := c.High.Get()
	s := "reaches " + value + " at " + f.rounded(at)
	switch {
	case lowKnown && highKnown:
		return s + " (" + f.rounded(low) + " to " + f.rounded(high) + ")"
	case lowKnown:
		return s + " (" + f.rounded(low) + " or above, without an upper end)"
	case highKnown:
		return s + " (" + f.rounded(high) + " or below, without a lower end)"
	}
	return s + ", and no interval can be given"
}
