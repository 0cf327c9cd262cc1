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
	all bool // everything, not only what the answer rests on
	ask bool // the measures of the result were asked for by name
	// elsewhere is the command that shows every finding, where it is another one.
	elsewhere string
	out       []string
}

// renderFit is the whole text. Without all, only measures with an aim have
// tables, and the others are named; with ask, what the result still has was asked
// for.
func renderFit(r *answer.Result, sys quantity.System, all, ask bool) string {
	f := &fitText{r: r, sys: sys, all: all, ask: ask}
	f.title()
	p := r.Text
	f.say(p.Answer)
	f.paragraph(p.Safety)
	f.paragraph(p.Doubt)
	f.strip()
	f.paragraph(append(append([]answer.Sentence{}, p.Compare...), p.Panel...))
	f.say(p.Basis)
	f.paragraph(append(append([]answer.Sentence{}, p.Next...), p.Missing...))
	f.doubts(r.Doubts, r.Findings)
	if len(p.Units)+len(p.Variance) > 0 {
		f.heading("What n counts")
		f.list(p.Units)
		f.list(p.Variance)
	}
	var more []*texture.Measure
	for _, m := range r.Measures {
		if f.shows(m.Name) {
			f.measure(m)
		} else {
			more = append(more, m)
		}
	}
	f.legend()
	f.differenceTests()
	f.otherMeasures(more)
	f.foot()
	return f.text()
}

func (f *fitText) text() string { return strings.Join(f.out, "\n") + "\n" }

// shows reports whether a measure gets its tables: it was asked for, has an
// aim, or no measure has one.
func (f *fitText) shows(measure string) bool {
	if f.all || f.ask || len(f.r.Trial.Aims) == 0 {
		return true
	}
	for _, a := range f.r.Trial.Aims {
		if a.Measure == measure {
			return true
		}
	}
	return false
}

func (f *fitText) line(s string) { f.out = append(f.out, strings.TrimRight(s, " ")) }

func (f *fitText) blank() {
	if n := len(f.out); n > 0 && f.out[n-1] != "" {
		f.out = append(f.out, "")
	}
}

func (f *fitText) title() {
	title, by := diag.Clean(f.r.Trial.Title), diag.Clean(f.r.Trial.By)
	if gap := columns - cells(title) - cells(by); gap >= 2 && by != "" {
		f.line(title + strings.Repeat(" ", gap) + by)
	} else {
		for _, l := range append(diag.Wrap(title, columns), diag.Wrap(by, columns)...) {
			f.line(l)
		}
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
	f.prose(strings.Join(words, " "), "  ", "  ")
	f.blank()
}

// prose prints wrapped text, its first line after one indent and further lines
// after another.
func (f *fitText) prose(text, first, rest string) {
	lines := wrapHanging(diag.KeepUnits(diag.Clean(text)), columns-2-cells(rest), cells(first)-cells(rest))
	for i, l := range lines {
		if i == 0 {
			f.line(first + l)
		} else {
			f.line(rest + l)
		}
	}
}

// list prints sentences one under the other, further lines hanging.
func (f *fitText) list(ss []answer.Sentence) {
	for _, s := range ss {
		f.item(s.Text(f.sys))
	}
}

func (f *fitText) item(text string) { f.prose(text, "  ", "    ") }

func (f *fitText) heading(s string) {
	f.blank()
	for _, l := range diag.Wrap(diag.Clean(s), columns) {
		f.line(l)
	}
}

// otherMeasures names what has no tables here: what was measured, and what was
// only declared.
func (f *fitText) otherMeasures(more []*texture.Measure) {
	var measured, empty []string
	first := ""
	for _, m := range more {
		if m.Observations == 0 {
			empty = append(empty, words(m.Name))
			continue
		}
		if first == "" {
			first = m.Name
		}
		measured = append(measured, words(m.Name))
	}
	f.blank()
	if len(measured) > 0 {
		f.prose("Also measured: "+strings.Join(measured, ", ")+". Tables of all: --all; of one: --measure "+first+".", "", "")
	}
	if len(empty) > 0 {
		f.prose("Without a number: "+strings.Join(empty, ", ")+".", "", "")
	}
}

func (f *fitText) foot() {
	f.blank()
	if d := f.r.Trial.Disclosure; d != "" && d != "none" { // there is nothing to disclose
		f.prose(d, "", "")
	}
	hash := f.r.Trial.SHA256
	if len(hash) > 12 {
		hash = hash[:12]
	}
	f.prose(fmt.Sprintf("%s, sha256 %s…; tamis %s, seed %d, %d draws", f.r.Trial.File, hash, f.r.Version, f.r.Seed, f.r.Draws), "", "")
}

// temperature prints a set point in the unit of the reader: whole degrees
// whole, others to a tenth.
func (f *fitText) temperature(c float64) string {
	v, u := quantity.Celsius(c).In(f.sys)
	return trimmed(v, 1) + " " + u
}

// rounded prints an estimated set point, to a tenth.
func (f *fitText) rounded(c float64) string {
	v, u := quantity.Celsius(c).In(f.sys)
	return answer.Fixed(v, 1) + " " + u
}

// trimmed prints a number with at most n decimals and no zeros at its end.
func trimmed(v float64, n int) string {
	s := answer.Fixed(v, n)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// degrees prints the degrees of freedom: whole where they are whole.
func degrees(n texture.Number) string {
	v, ok := n.Get()
	switch {
	case !ok:
		return "–"
	case math.Abs(v-math.Round(v)) < 1e-6:
		return answer.Fixed(v, 0)
	}
	return answer.Fixed(v, 1)
}

// pValue prints a p-value for a table.
func pValue(n texture.Number) string {
	v, ok := n.Get()
	switch {
	case !ok:
		return "–"
	case v < 0.001:
		return "< 0.001"
	}
	return answer.Fixed(v, 3)
}

// pWords prints a p-value within a sentence: "p = 0.012".
func pWords(n texture.Number) string {
	switch s := pValue(n); {
	case s == "–":
		return "p not known"
	case strings.HasPrefix(s, "<"):
		return "p " + s
	default:
		return "p = " + s
	}
}

// amount prints a number, or a dash where there is none.
func amount(n texture.Number, digits int) string {
	v, ok := n.Get()
	if !ok {
		return "–"
	}
	return answer.Fixed(v, digits)
}

// between prints an interval, or "none".
func between(low, high texture.Number, digits int) string {
	if !low.Known() || !high.Known() {
		return "none"
	}
	return amount(low, digits) + " to " + amount(high, digits)
}

// digitsFor is the number of decimals that a standard error allows: one more
// than its leading digit, at most four.
func digitsFor(se texture.Number) int {
	v, ok := se.Get()
	if !ok {
		return 2
	}
	return min(4, answer.DigitsFor(v))
}

// words turns names of the file and of terms into words: recipe:set_point is
// recipe × set point.
func words(s string) string {
	return diag.Clean(strings.ReplaceAll(strings.ReplaceAll(s, "_", " "), ":", " × "))
}

func upperWords(s string) string {
	s = words(s)
	if s == "" {
		return s
	}
	r, n := utf8.DecodeRuneInString(s)
	return strings.ToUpper(string(r)) + s[n:]
}

// plural is the plural of a unit's name.
func plural(unit string) string {
	if unit == "batch" {
		return "batches"
	}
	return unit + "s"
}
