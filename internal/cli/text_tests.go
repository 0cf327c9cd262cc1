package cli

import (
	"fmt"
	"strings"

	"tamis/internal/stats"
	"tamis/internal/texture"
)

// roleWords name the kinds of tests in the tables.
var roleWords = map[string]string{texture.RoleHeadline: "by unit", texture.RoleMixed: "mixed model", texture.RoleL1: "tasters"}

// legendLines say what question each kind of test answers.
var legendLines = []struct{ role, text string }{
	{texture.RoleHeadline, "By unit: does the mean differ, judged by how the named units differ under the same treatment? This is the test to quote."},
	{texture.RoleMixed, "Mixed model: the same question, asked of all numbers at once."},
	{texture.RoleL1, "Tasters: would these tasters tell the very same food apart again? It says nothing about another cook."},
}

// tests prints the tests of one measure, each with its unit.
func (f *fitText) tests(m *texture.Measure) {
	if len(m.Tests) == 0 {
		return
	}
	g := &grid{right: []bool{false, false, false, true, true, true}}
	g.add("test of", "kind", "unit", "statistic", "df", "p")
	var notes []string
	for _, t := range m.Tests {
		if t.Cannot != "" || !t.Value.Known() {
			g.add(words(t.Term), roleName(t.Role), unitWords(t.Unit), "–", "–", "–")
			notes = appendNew(notes, cannotWords(t))
			continue
		}
		g.add(words(t.Term), roleName(t.Role), unitWords(t.Unit), statistic(t), degreesOf(t), pValue(t.P))
	}
	f.blank()
	f.out = append(f.out, g.lines("  ")...)
	for _, n := range notes {
		f.item(n)
	}
	f.boundary(m)
}

// boundary says that the mixed model sees no variation between the units of one
// of its tests: it then judges by what is below them, and sounds surer.
func (f *fitText) boundary(m *texture.Measure) {
	if m.Model == nil || m.Model.Warn == nil || m.Model.Warn.ID != "boundary" {
		return
	}
	for _, r := range m.Model.Random {
		for _, t := range m.Tests {
			if r.Variance == 0 && t.Role == texture.RoleMixed && t.Unit == r.Term && t.Value.Known() {
				f.item(fmt.Sprintf("The mixed model sees no difference between %s beyond that of %s, so it judges by %s; the test by unit is the one to quote.",
					plural(unitWords(r.Term)), beneath(m), beneath(m)))
				break
			}
		}
	}
}

// beneath names what is left to judge by: the tasters, or the single numbers.
func beneath(m *texture.Measure) string {
	for _, r := range m.Model.Random {
		if strings.HasPrefix(r.Term, "assessor") && r.Variance > 0 {
			return "tasters"
		}
	}
	return "single numbers"
}

// unitWords names a unit for a person: who scores is a taster.
func unitWords(unit string) string {
	return words(strings.ReplaceAll(unit, "assessor", "taster"))
}

func roleName(role string) string {
	if w, ok := roleWords[role]; ok {
		return w
	}
	return role
}

func cannotWords(t texture.Test) string {
	why := t.Cannot
	if why == "" {
		why = t.Value.Reason()
	}
	s := "No test of " + words(t.Term) + ": " + why
	if t.Need != "" {
		s += "; to test it, " + t.Need
	}
	return s + "."
}

func statistic(t texture.Test) string {
	name := t.Stat
	if name == "chi2" {
		name = "χ²"
	}
	return name + " " + amount(t.Value, 2)
}

func degreesOf(t texture.Test) string {
	if t.DF2.Known() {
		return degrees(t.DF1) + ", " + degrees(t.DF2)
	}
	return degrees(t.DF1)
}

// legend says once what the kinds of tests ask, of those that are there.
func (f *fitText) legend() {
	seen := map[string]bool{}
	for _, m := range f.r.Measures {
		if f.shows(m.Name) {
			for _, t := range m.Tests {
				seen[t.Role] = true
			}
		}
	}
	if len(seen) == 0 {
		return
	}
	f.heading("About the tables")
	if f.hasLetters() {
		f.item(fmt.Sprintf("Letters: means that share a letter do not differ at %s %% (Tukey).", trimmed(100-100*f.r.Level, 2)))
	}
	if f.hasUnadjusted() {
		f.item("Intervals in the sentences above: those of set points are adjusted for the number of pairs, those of other factors are not.")
	}
	for _, l := range legendLines {
		if seen[l.role] {
			f.item(l.text)
		}
	}
}

func (f *fitText) hasLetters() bool {
	for _, m := range f.r.Measures {
		for _, a := range append(append([]texture.Arm{}, m.Arms...), m.Levels...) {
			if f.shows(m.Name) && a.Letters != "" {
				return true
			}
		}
	}
	return false
}

// hasUnadjusted reports whether the sentences hold both kinds of intervals.
func (f *fitText) hasUnadjusted() bool {
	for _, m := range f.r.Measures {
		if f.shows(m.Name) && len(m.Arms) > 2 && len(m.Treatments) > 0 && len(f.r.Text.Compare) > 1 {
			return true
		}
	}
	return false
}

func (f *fitText) warnings(ws []stats.Warning) {
	for _, w := range ws {
		if text := strings.TrimSpace(w.Text); text != "" {
			f.item("Note: " + strings.TrimSuffix(text, ".") + ".")
		}
	}
}
