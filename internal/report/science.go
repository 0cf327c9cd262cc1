package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"html/template"
	"strconv"
	"strings"

	"tamis/internal/answer"
	"tamis/internal/figure"
	"tamis/internal/quantity"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

var scienceTemplate = template.Must(template.ParseFS(files, "figure.html", "science.html"))

// Record is what a science report shows beside the result: the trial as it was
// written down, what the heat did in each cook, and the command that writes the
// report again. Each may be absent.
type Record struct {
	Trial   *trial.Trial
	Heat    *answer.Heat
	Command string
}

// sciencePage is the view model of the science report.
type sciencePage struct {
	Style, Looks                template.CSS
	Feet                        template.JS // what a saved figure has under it, as save.js reads it
	Scripts                     scripts
	US                          bool
	Title, By                   string
	Running                     template.CSS // heads and feet of the printed sheets
	Summary                     []block
	Sections                    []sectionView
	Disclosure                  string
	File, SHA256, Version, Seed string
	Draws                       string
}

// Science renders the science report: what was asked and declared, how it was
// cooked and tasted, every model with its estimates, tests and diagnostics, what
// is in doubt, the data, and how to compute all of it again. The result is one
// HTML file that needs nothing else. Tasters appear by number.
func Science(r *answer.Result, rec Record, o Options) ([]byte, error) {
	if r == nil {
		return nil, fmt.Errorf("no result: %w", figure.ErrEmpty)
	}
	if rec.Trial == nil {
		rec.Trial = &trial.Trial{}
	}
	css, err := scienceStyle()
	if err != nil {
		return nil, err
	}
	p := sciencePage{
		Style: css, Scripts: scriptsOf(o.Live, template.JS(saver)), US: o.Units == quantity.US,
		Title: clean(r.Trial.Title), By: strings.Join(nonEmpty(clean(r.Trial.By), clean(r.Trial.Date)), ", "), Disclosure: disclosure(r.Trial.Disclosure),
		File: clean(r.Trial.File), SHA256: clean(r.Trial.SHA256), Version: clean(r.Version),
		Seed: strconv.FormatUint(r.Seed, 10), Draws: strconv.Itoa(r.Draws),
	}
	p.Running = template.CSS("@page{@top-left{content:" + cssString(running(r.Trial.Title, 60)) + "}@top-right{content:" +
		cssString(running(r.Trial.File, 30)+" "+hash12(r.Trial.SHA256)) + "}@bottom-left{content:" + cssString(capital(running(r.Safety.Verdict, 60))) + "}}")
	s := &science{r: r, rec: rec, o: o, live: p.Scripts.Live, feet: [][][]string{}}
	p.Summary = s.summary()
	for _, write := range []func(){s.question, s.design, s.methods, s.results, s.window, s.differenceTests, s.findings, s.claim, s.safety, s.deviations,
		s.next, s.data, s.reproduce, s.references} {
		write()
	}
	if s.err != nil {
		return nil, s.err
	}
	p.Sections = s.sections
	p.Looks = template.CSS(s.looks.CSS())
	feet, err := json.Marshal(s.feet) // writes <, > and & as escapes
	if err != nil {
		return nil, err
	}
	p.Feet = template.JS(feet)
	var b bytes.Buffer
	if err := scienceTemplate.ExecuteTemplate(&b, "science.html", p); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// scienceStyle is the style sheet of all pages with that of this one after it.
func scienceStyle() (template.CSS, error) {
	base, err := style()
	if err != nil {
		return "", err
	}
	own, err := files.ReadFile("science.css")
	return base + plainRules(strings.Replace(string(own), "/*words*/\n", wordRules(), 1)), err
}

// running is a line for the head of each sheet: one line, cut where it is long.
func running(s string, most int) string {
	s = strings.Join(strings.Fields(clean(s)), " ")
	if r := []rune(s); len(r) > most {
		return strings.TrimRight(string(r[:most-1]), " ,.") + "…"
	}
	return s
}

// cssString is words as a string of a style sheet: all but plain letters, digits
// and spaces by their number, so that nothing can leave it.
func cssString(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		if r == ' ' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' {
			b.WriteRune(r)
			continue
		}
		fmt.Fprintf(&b, `\%x `, r)
	}
	return b.String() + `"`
}

func nonEmpty(list ...string) (out []string) {
	for _, s := range list {
		if s != "" {
			out = append(out, s)
		}
	}
	return out
}

// summary is the first screen: the answer, who may eat it, and how sure.
func (s *science) summary() (bs []block) {
	r := s.r
	if len(r.Text.Answer) > 0 {
		bs = append(bs, block{P: of(r.Text.Answer)})
	}
	if c := all(cautionsUnderAnswer(r)); len(c) > 0 {
		bs = append(bs, block{Caution: &cautionBox{Label: "Who may eat it", Items: c}})
	}
	for _, list := range [][]answer.Sentence{r.Text.Doubt, r.Text.Compare, {r.Text.Basis}} {
		if w := of(sentences(list)); len(w) > 0 {
			bs = append(bs, block{P: w})
		}
	}
	return bs
}

// question is what was asked, and what was fixed before the first cook.
func (s *science) question() {
	s.section("question", "Question, and what was declared")
	t, r := s.rec.Trial, s.r
	var ds []def
	add := func(term, text string) {
		if text = clean(text); text != "" {
			ds = append(ds, def{term, words{{Text: text}}})
		}
	}
	add("Question", r.Trial.Question)
	add("Food", strings.Join(nonEmpty(r.Trial.Food, r.Trial.Kind), "; "))
	add("Medium", r.Trial.Medium)
	for i, a := range r.Trial.Aims {
		name := "Aim"
		if len(r.Trial.Aims) > 1 {
			name += " " + strconv.Itoa(i+1)
		}
		if i == 0 && len(r.Trial.Aims) > 1 {
			name += ", primary"
		}
		text := plain(a.Measure) + " " + aimRange(a, unitOf(r, a.Measure))
		if a.For != "" {
			text += ", for " + plain(a.For)
		}
		add(name, text)
	}
	declared := "not stated; the analysis counts as chosen afterwards"
	if t.Declared.Known {
		declared = t.Declared.V.String()
	}
	add("Declared on", declared)
	if c, ok := t.Compare.Get(); ok {
		add("Compared with", c.Against.V)
		add("Brine compared", c.Brine.V)
		add("Headline method", c.Method.V)
	}
	var matters []string
	for _, m := range t.Measures {
		if m.Matters.Known {
			matters = append(matters, plain(m.Name)+" "+short(m.Matters.V))
		}
	}
	add("Difference that matters", strings.Join(matters, ", "))
	if d, ok := t.Drawn.Get(); ok {
		var lots []string
		if d.Order.V {
			lots = append(lots, "run order")
		}
		if d.Pieces.V {
			lots = append(lots, "pieces to cooks")
		}
		text := strings.Join(lots, ", ")
		if text != "" && d.Seed.Known {
			text += "; seed " + strconv.FormatUint(d.Seed.V, 10)
		}
		add("Drawn by lot", text)
	}
	if t.Looks.Known {
		add("Looked at before the last cook", strconv.Itoa(t.Looks.V)+" times")
	}
	add("Left-out rule", t.LeftOutRule.V)
	add("Disclosure", r.Trial.Disclosure)
	if len(ds) > 0 {
		s.add(block{Defs: ds})
	}
}

func unitOf(r *answer.Result, measure string) string {
	if m := r.Measures.Named(measure); m != nil {
		return m.Unit
	}
	return ""
}

// methods is the methods paragraph, the equations behind it and each method in
// words with its limits and source.
func (s *science) methods() {
	s.section("methods", "Methods")
	s.together(s.r.Text.Method)
	if len(s.r.Text.Method) == 0 {
		s.p("Nothing was compared, so nothing was tested.")
	}
	for _, e := range equations {
		s.equations++
		n := strconv.Itoa(s.equations)
		s.add(para(e.before), block{Equation: &equation{ID: "equation-" + n, Number: n, Text: e.text}})
	}
	t := s.table(phrase("The methods, their limits and their sources"), "Method", "How", "Limits", "Source")
	for _, x := range answer.Topics() {
		t.row(capital(x.Name), x.How, x.Limits, x.Source)
	}
	if b, ok := s.shown(t); ok {
		s.add(block{Fold: &fold{Summary: "Each method in words", Blocks: []block{b}}})
	}
}

var equations = []struct{ before, text string }{
	{"The mean of unit u in block b, on which a factor is tested, is taken as", "ȳᵤ = μ + block(b) + factor levels(u) + eᵤ,  eᵤ independent with variance σ²"},
	{"and the F of a term is its mean square over that of the residuals of this fit. The mixed model beside it is", "y = Xβ + Σ Zₖuₖ + e,  uₖ ~ N(0, σₖ²),  e ~ N(0, σ²),  by REML"},
	{"A candidate curve with K parameters has", "AICc = −2 log L + 2K + 2K(K + 1) / (n − K − 1),  weight ∝ exp(−AICc / 2)"},
	{"where n counts cooks. The chance at a set point x is the share of draws d in which every aim holds,", "chance(x) = #{d : all aims hold at x in draw d} / draws,  each cook moved by s·z·√(ν / χ²ᵥ)"},
}

// differenceTests are the triangle, duo-trio and paired tests of the file.
func (s *science) differenceTests() {
	if len(s.r.Tests) == 0 {
		return
	}
	s.section("difference-tests", "Difference tests")
	t := s.table(phrase("Difference tests"), "Test", "Between", "#Right", "#Answers", "#Least for a difference", "#p", "#d′", "#SE", "#Share that can tell", "#Interval")
	for _, x := range s.r.Tests {
		if x.Cannot != "" {
			s.p(capital(plain(x.Kind)) + ", " + plain(strings.Join(x.Between, " and ")) + ": " + clean(x.Cannot) + ".")
			continue
		}
		t.row(capital(plain(x.Kind)), plain(strings.Join(x.Between, " and ")), x.Correct, x.Answers, x.Least, t.p(x.P), t.fixed(x.DPrime, 2), t.fixed(x.SE, 2), t.fixed(x.PD, 2), t.interval(x.PDLow, x.PDHigh, 2))
		for _, w := range x.Warnings {
			t.note(clean(w.Text))
		}
		if x.Similar != nil {
			t.note(plain(strings.Join(x.Between, " and "))+": alike by the declared margin with at most ", answer.Quantity{Kind: answer.Count, Value: float64(x.MostAllow)}, " right.")
		}
		if x.SimilarCannot != "" {
			t.note(clean(x.SimilarCannot))
		}
	}
	s.addTable(t)
}

// next is what to cook next and what to write down.
func (s *science) next() {
	s.section("next", "What to cook next, and what to write down")
	s.sentences(s.r.Text.Next)
	if len(s.r.Next) > 0 && s.r.Safety.Verdict != answer.VerdictDoNotEat && len(s.r.Text.Next) > 0 {
		t := s.table(phrase("What would narrow the interval of the best set point"), "Cook", "Method", "#Repeats", "#Width now, K", "#Width then, K", "#Narrows by, %")
		for _, n := range s.r.Next {
			t.row(phrase(answer.Quantity{Kind: answer.SetPoint, Value: n.SetPoint}), plain(n.Method), n.Repeats, t.fixed(n.WidthNow, 2), t.fixed(n.WidthThen, 2), t.percent(n.Narrows))
		}
		s.addTable(t)
	}
	s.sentences(s.r.Text.Missing)
	if fixes := all(s.r.Doubts.Next); len(fixes) > 0 {
		s.part("To leave fewer doubts")
		s.add(block{List: fixes})
	}
	s.drop()
}

// percent is a share as a percentage.
func (t *numbered) percent(n quantity.Number) cellView {
	v, ok := n.Get()
	if !ok {
		return t.none(n)
	}
	return t.fixed(quantity.Num(100*v), 0)
}

// reproduce is the command that writes this report again.
func (s *science) reproduce() {
	s.section("reproduce", "To compute it again")
	if s.rec.Command != "" {
		s.add(block{Code: &codeBox{Label: "The command", Text: clean(s.rec.Command)}})
	}
	r := s.r
	s.add(block{Defs: []def{
		{"Version", words{{Text: "tamis " + clean(r.Version)}}},
		{"Seed, draws, level", phrase(strconv.FormatUint(r.Seed, 10)+", ", answer.Quantity{Kind: answer.Count, Value: float64(r.Draws)}, ", ", answer.Quantity{Kind: answer.Share, Value: r.Level, Digits: levelDigits(r.Level)})},
		{"SHA-256 of the trial and its files", words{{Text: clean(r.Trial.SHA256)}}},
		{"Files", words{{Text: strings.Join(append([]string{clean(r.Trial.File)}, filesBeside(r.Trial)...), ", ")}}},
	}})
	s.p("The same input, seed and version give the same bytes. “tamis fit --json” prints every number of this report with ten digits, “tamis fit --csv” writes tables for a statistics package.")
	if len(r.Trial.Notes) > 0 {
		s.part("Notes of the author")
		s.add(block{Quote: clean(r.Trial.Notes)})
	}
}

// levelDigits is how many decimals the percentage of a level needs.
func levelDigits(level float64) int {
	d := 0
	for v := 100 * level; d < 3 && abs(v-float64(int(v+0.5))) > 1e-9*v; d++ {
		v *= 10
	}
	return d
}

func (s *science) references() {
	if len(s.r.Text.Reference) == 0 {
		return
	}
	s.section("references", "References")
	t := s.table(phrase("References, by the numbers in Methods"), "Number", "Reference")
	for i, ref := range s.r.Text.Reference {
		t.row("["+strconv.Itoa(i+1)+"]", ref)
	}
	s.addTable(t)
}

// measureHead names a measure with its scale or unit.
func measureHead(m *texture.Measure) string { return capital(plain(m.Name)) + inUnit(m) }
