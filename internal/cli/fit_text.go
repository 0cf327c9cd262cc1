package cli

import (
	"fmt"
	"math"
	"strings"
	"unicode/utf8"

	"tamis/internal/answer"
	"tamis/internal/diag"
	"tamis/internal/quantity"
	"tamis/internal/texture"
)

// fitText prints a result for a person: the answer first, then how sure, then
// why, then the tables.
type fitText struct {
	r   *answer.Result
	sys quantity.System
	out []string
}

func renderFit(r *answer.Result, sys quantity.System) string {
	f := &fitText{r: r, sys: sys}
	f.title()
	p := r.Text
	f.say(p.Answer)
	f.paragraph(p.Safety)
	f.paragraph(p.Doubt)
	f.strip()
	f.paragraph(append(append([]answer.Sentence{}, p.Compare...), p.Panel...))
	f.say(p.Basis)
	f.paragraph(append(append([]answer.Sentence{}, p.Next...), p.Missing...))
	f.unitsAndLevels()
	for _, m := range r.Measures {
		f.measure(m)
	}
	f.tests()
	f.foot()
	return strings.Join(f.out, "\n") + "\n"
}

func (f *fitText) line(s string) { f.out = append(f.out, strings.TrimRight(s, " ")) }

func (f *fitText) blank() {
	if n := len(f.out); n > 0 && f.out[n-1] != "" {
		f.out = append(f.out, "")
	}
}

func (f *fitText) title() {
	title := diag.Clean(f.r.Trial.Title)
	by := diag.Clean(f.r.Trial.By)
	gap := columns - utf8.RuneCountInString(title) - utf8.RuneCountInString(by)
	if gap >= 2 {
		f.line(title + strings.Repeat(" ", gap) + by)
	} else {
		for _, l := range wrap(title, columns) {
			f.line(l)
		}
		f.line(by)
	}
	f.blank()
}

func (f *fitText) say(s answer.Sentence) {
	if len(s) > 0 {
		f.paragraph([]answer.Sentence{s})
	}
}

// paragraph prints sentences as one paragraph, indented by two.
func (f *fitText) paragraph(ss []answer.Sentence) {
	var words []string
	for _, s := range ss {
		words = append(words, s.Text(f.sys))
	}
	if len(words) == 0 {
		return
	}
	f.blank()
	for _, l := range wrap(keepUnits(strings.Join(words, " ")), columns-4) {
		f.line("  " + strings.ReplaceAll(l, "\u00a0", " "))
	}
	f.blank()
}

// list prints sentences one under the other, further lines hanging.
func (f *fitText) list(ss []answer.Sentence) {
	for _, s := range ss {
		for i, l := range wrap(keepUnits(s.Text(f.sys)), columns-6) {
			indent := "  "
			if i > 0 {
				indent = "    "
			}
			f.line(indent + strings.ReplaceAll(l, "\u00a0", " "))
		}
	}
}

func (f *fitText) heading(s string) {
	f.blank()
	f.line(s)
}

var blocks = []rune("▁▂▃▄▅▆▇█")

// strip draws the chance that all aims hold in the next cook over the set
// points.
func (f *fitText) strip() {
	var w *texture.Window
	for i := range f.r.Windows {
		if f.r.Windows[i].Headline {
			w = &f.r.Windows[i]
		}
	}
	if w == nil || len(w.Grid) < 2 || len(f.r.Text.Doubt) == 0 || w.Closest != nil && w.Cannot != "" {
		return
	}
	const width = 48
	first, last := w.Grid[0].SetPoint, w.Grid[len(w.Grid)-1].SetPoint
	var b strings.Builder
	for i := 0; i < width; i++ {
		x := first + (last-first)*(float64(i)+0.5)/width
		chance := nearestDot(w.Grid, x).Next
		if chance < 0.02 {
			b.WriteRune('·')
			continue
		}
		b.WriteRune(blocks[min(len(blocks)-1, int(chance*float64(len(blocks))))])
	}
	label := func(c float64) string {
		v, u := quantity.Celsius(c).In(f.sys)
		return fmt.Sprintf("%g %s", math.Round(v*10)/10, u)
	}
	left, right := label(first), label(last)
	f.blank()
	f.line("  " + left + strings.Repeat(" ", max(1, width-utf8.RuneCountInString(left)-utf8.RuneCountInString(right))) + right)
	f.line("  " + b.String() + "  chance that all aims hold")
	if s := w.Next.Range; s.Stretches > 0 {
		lo := int((s.Low.Or(first) - first) / (last - first) * width)
		hi := int((s.High.Or(last) - first) / (last - first) * width)
		lo, hi = max(0, min(width-2, lo)), max(1, min(width-1, hi))
		if hi > lo {
			f.line("  " + strings.Repeat(" ", lo) + "└" + strings.Repeat("─", max(0, hi-lo-1)) + "┘  more likely than not")
		}
	}
	f.blank()
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

func (f *fitText) unitsAndLevels() {
	f.heading("What n counts")
	f.list(f.r.Text.Units)
	f.list(f.r.Text.Variance)
}

// measure prints the means of one measure.
func (f *fitText) measure(m *texture.Measure) {
	unit := m.Unit
	if len(m.Scale) == 2 {
		unit = fmt.Sprintf("%g to %g", m.Scale[0], m.Scale[1])
	}
	name := upperWords(m.Name)
	if unit != "" {
		name += ", " + unit
	}
	f.heading(name)
	if m.Observations == 0 {
		f.line("  nothing was recorded")
		return
	}
	if m.Blank > 0 || m.LeftOut > 0 {
		f.line(fmt.Sprintf("  %d numbers, %d blank, %d left out", m.Observations, m.Blank, m.LeftOut))
	}
	for _, set := range [][]texture.Arm{m.Arms, m.Levels, m.Cells} {
		f.means(set)
	}
	if l := m.Line; l != nil {
		f.list(f.lineWords(m, l))
	}
	for _, c := range m.Cannot {
		if strings.HasPrefix(c.What, "test:") {
			continue // said with the tests
		}
		s := upperWords(c.What) + ": " + c.Why
		if c.Need != "" {
			s += "; " + c.Need
		}
		f.list([]answer.Sentence{answer.Say(s + ".")})
	}
}

func (f *fitText) means(arms []texture.Arm) {
	if len(arms) == 0 {
		return
	}
	g := grid{head: []string{"", "n", "mean", "95 % interval", "", "covers"}, right: []bool{false, true, true, true, false, false}}
	g.head[3] = fmt.Sprintf("%g %% interval", 100*f.r.Level)
	why := ""
	for _, a := range arms {
		d := decimals(a.SE)
		iv := ""
		if low, ok := a.Low.Get(); ok {
			high, _ := a.High.Get()
			iv = answer.Fixed(low, d) + " to " + answer.Fixed(high, d)
		} else {
			why = a.Low.Reason()
			iv = "none"
		}
		label := a.Arm
		if v, ok := a.SetPoint.Get(); ok {
			label = f.temperature(v)
			if a.Method != "" {
				label += ", " + a.Method
			}
		} else if a.Term != "" {
			label = upperWords(a.Term) + " " + a.Arm
		}
		mean := "–"
		if v, ok := a.Mean.Get(); ok {
			mean = answer.Fixed(v, d)
		}
		g.add(diag.Clean(label), fmt.Sprint(a.N), mean, iv, a.Letters, a.Covers)
	}
	for _, l := range g.lines("  ") {
		f.line(l)
	}
	if why != "" {
		f.line("  no interval: " + why)
	}
}

func (f *fitText) temperature(c float64) string {
	v, u := quantity.Celsius(c).In(f.sys)
	return fmt.Sprintf("%g %s", math.Round(v*100)/100, u)
}

// decimals a mean is printed with: one more digit than the leading digit of its
// standard error, at most four.
func decimals(se texture.Number) int {
	v, ok := se.Get()
	if !ok {
		return 2
	}
	return min(4, answer.DigitsFor(v))
}

func (f *fitText) lineWords(m *texture.Measure, l *texture.Line) []answer.Sentence {
	slope, per := l.Slope, "°C"
	if f.sys == quantity.US {
		slope, per = l.SlopeF, "°F"
	}
	v, ok := slope.Estimate.Get()
	if !ok {
		return nil
	}
	se, _ := slope.SE.Get()
	d := answer.DigitsFor(se)
	out := []answer.Sentence{answer.Say(fmt.Sprintf("Line: %s per %s (SE %s, %s degrees of freedom)", answer.Fixed(v, d), per, answer.Fixed(se, d), plainNumber(slope.DF)),
		lackWords(l.LackOfLine), ".")}
	for _, c := range l.Crossings {
		out = append(out, answer.Say("The line ", f.crossing(c), "."))
	}
	return out
}

func lackWords(t texture.Test) string {
	if !t.F.Known() {
		return ""
	}
	return fmt.Sprintf("; lack of fit F = %s on %s and %s, p %s", answer.Fixed(t.F.Or(0), 2), plainNumber(t.DF1), plainNumber(t.DF2), pValue(t.P))
}

func (f *fitText) crossing(c texture.Crossing) string {
	at, ok := c.SetPoint.Get()
	if !ok {
		return fmt.Sprintf("does not reach %g: %s", c.Value, c.SetPoint.Reason())
	}
	if !c.Inside {
		return fmt.Sprintf("does not reach %g within the set points that were cooked", c.Value)
	}
	low, high := "open", "open"
	if v, ok := c.Low.Get(); ok {
		low = f.rounded(v)
	}
	if v, ok := c.High.Get(); ok {
		high = f.rounded(v)
	}
	return fmt.Sprintf("reaches %g at %s (%s to %s)", c.Value, f.rounded(at), low, high)
}

func (f *fitText) rounded(c float64) string {
	v, u := quantity.Celsius(c).In(f.sys)
	return answer.Fixed(v, 1) + " " + u
}

func plainNumber(n texture.Number) string {
	v, ok := n.Get()
	switch {
	case !ok:
		return "–"
	case math.Abs(v-math.Round(v)) < 1e-6:
		return fmt.Sprintf("%.0f", v)
	}
	return answer.Fixed(v, 1)
}

func pValue(n texture.Number) string {
	v, ok := n.Get()
	switch {
	case !ok:
		return "not known"
	case v < 0.001:
		return "< 0.001"
	}
	return "= " + answer.Fixed(v, 3)
}

// tests prints one table for all measures, each test with the question that it
// answers.
func (f *fitText) tests() {
	f.heading("Tests")
	f.line("  headline: on the unit of the factor.  mixed: the mixed model beside it.")
	f.line("  L1: would these tasters tell the same food apart again?")
	g := grid{head: []string{"measure", "term", "role", "unit", "statistic", "df", "p"}, right: []bool{false, false, false, false, true, true, false}}
	notes := map[string]bool{}
	var order []string
	for _, m := range f.r.Measures {
		for _, t := range m.Tests {
			if t.Cannot != "" {
				g.add(words(m.Name), words(t.Term), t.Role, t.Unit, "–", "–", "cannot")
				note := "cannot: " + t.Cannot
				if t.Need != "" {
					note += "; " + t.Need
				}
				if !notes[note] {
					notes[note] = true
					order = append(order, note)
				}
				continue
			}
			df := plainNumber(t.DF1)
			if t.DF2.Known() {
				df += ", " + plainNumber(t.DF2)
			}
			stat := t.Stat
			if stat == "chi2" {
				stat = "χ²"
			}
			g.add(words(m.Name), words(t.Term), t.Role, t.Unit, stat+" "+answer.Fixed(t.F.Or(0), 2), df, strings.TrimPrefix(pValue(t.P), "= "))
		}
	}
	for _, l := range g.lines("  ") {
		f.line(l)
	}
	for _, n := range order {
		f.list([]answer.Sentence{answer.Say(n + ".")})
	}
}

func (f *fitText) foot() {
	f.blank()
	if f.r.Trial.Disclosure != "" {
		f.list([]answer.Sentence{answer.Say(diag.Clean(f.r.Trial.Disclosure))})
	}
	hash := f.r.Trial.SHA256
	if len(hash) > 12 {
		hash = hash[:12]
	}
	f.line(fmt.Sprintf("  %s  sha256 %s  tamis %s  seed %d  %d draws", diag.Clean(f.r.Trial.File), hash, f.r.Version, f.r.Seed, f.r.Draws))
}

func words(s string) string {
	return strings.ReplaceAll(strings.ReplaceAll(s, "_", " "), ":", " × ")
}

func upperWords(s string) string {
	s = words(s)
	if s == "" {
		return s
	}
	r, n := utf8.DecodeRuneInString(s)
	return strings.ToUpper(string(r)) + s[n:]
}
