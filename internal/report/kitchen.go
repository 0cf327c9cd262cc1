package report

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"regexp"
	"strconv"
	"strings"

	"tamis/internal/answer"
	"tamis/internal/figure"
	"tamis/internal/figure/svg"
	"tamis/internal/quantity"
	"tamis/internal/texture"
)

//go:embed page.css figure.html kitchen.html science.css science.html
var files embed.FS

var kitchen = template.Must(template.ParseFS(files, "figure.html", "kitchen.html"))

// Options of a page.
type Options struct {
	// Units is shown first; the reader can switch.
	Units quantity.System
	// Live adds the runtime of the charts, if it was built into the program:
	// on a screen each figure then answers to the pointer. What is printed or
	// read without scripts stays the same.
	Live bool
}

// kitchenPage is the view model of the kitchen page: everything it prints.
type kitchenPage struct {
	Style                          template.CSS
	Scripts                        scripts
	US                             bool
	Title, Question, By, Date      string
	Disclosure, Notes              string
	Answer                         words
	Safety, Doubt                  []words
	Basis                          words
	Figures                        []figureView
	Arms                           *armTable
	Doubts                         *doubtsView
	RunSheet                       *runSheetView
	Sections                       []section
	Units, Variance, Panel, Method []words
	HasWorking                     bool
	File, SHA256, Version, Seed    string
	Draws                          string
	Files                          []string
}

// section is a heading over short paragraphs.
type section struct {
	ID, Title string
	Items     []words
}

// Kitchen renders the kitchen page: the answer in a sentence, who may eat it,
// how sure it is, the figure, the arms, what to cook next, and where it all
// comes from. The result is one HTML file that needs nothing else.
func Kitchen(r *answer.Result, o Options) ([]byte, error) {
	if r == nil {
		return nil, fmt.Errorf("no result: %w", figure.ErrEmpty)
	}
	css, err := style()
	if err != nil {
		return nil, err
	}
	p := kitchenPage{
		Style: css, Scripts: scriptsOf(o.Live), US: o.Units == quantity.US,
		Title: together(clean(r.Trial.Title)), Question: together(clean(r.Trial.Question)), By: clean(r.Trial.By), Date: clean(r.Trial.Date),
		Disclosure: disclosure(r.Trial.Disclosure), Notes: clean(r.Trial.Notes),
		Answer: of(r.Text.Answer), Safety: all(cautionsUnderAnswer(r)), Doubt: all(r.Text.Doubt), Basis: of(r.Text.Basis),
		Units: all(r.Text.Units), Variance: all(r.Text.Variance), Panel: all(r.Text.Panel), Method: all(r.Text.Method),
		File: clean(r.Trial.File), SHA256: clean(r.Trial.SHA256), Version: clean(r.Version),
		Seed: strconv.FormatUint(r.Seed, 10), Draws: strconv.Itoa(r.Draws),
	}
	p.HasWorking = len(p.Units)+len(p.Variance)+len(p.Panel)+len(p.Method) > 0
	p.Files = filesBeside(r.Trial)
	for _, s := range []section{
		{"compare", "What differed", all(r.Text.Compare)},
		{"next", "Next", all(append(append([]answer.Sentence{}, r.Text.Next...), r.Doubts.Next[:min(r.Doubts.Show.Kitchen, len(r.Doubts.Next))]...))},
		{"cautions", "Cautions", all(append(append([]answer.Sentence{}, r.Safety.Cautions...), r.Text.Cautions...))},
		{"missing", "Missing from the file", all(r.Text.Missing)},
	} {
		if s.Items = distinct(s.Items, p.Safety); len(s.Items) > 0 {
			p.Sections = append(p.Sections, s)
		}
	}
	ms := measuresOf(r)
	for i, m := range ms {
		f, ok := measureFigure(r, m, i == 0)
		if !ok {
			continue
		}
		at := placing{Save: true, Live: p.Scripts.Live}
		if len(p.Figures) > 0 {
			at.Class = "extra" // not on the printed page
		}
		v, err := viewOf(f, at)
		if err != nil {
			return nil, fmt.Errorf("figure of %s: %w", m.Name, err)
		}
		p.Figures = append(p.Figures, v)
	}
	p.Arms = armsOf(r, ms)
	p.Doubts, p.RunSheet = doubtsOf(r), runSheetOf(r)
	var b bytes.Buffer
	if err := kitchen.ExecuteTemplate(&b, "kitchen.html", p); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// measuresOf are the measures of the page: those of the aims in their order,
// or without an aim the first three.
func measuresOf(r *answer.Result) (ms []*texture.Measure) {
	for _, a := range r.Trial.Aims {
		if m := r.Measures.Named(a.Measure); m != nil && !has(ms, m) {
			ms = append(ms, m)
		}
	}
	if len(ms) == 0 {
		ms = append(ms, r.Measures[:min(3, len(r.Measures))]...)
	}
	return ms
}

func has(ms []*texture.Measure, m *texture.Measure) bool {
	for _, o := range ms {
		if o == m {
			return true
		}
	}
	return false
}

// style is the style sheet with the colours of the figures in it.
func style() (template.CSS, error) {
	css, err := files.ReadFile("page.css")
	if err != nil {
		return "", err
	}
	s := strings.NewReplacer("/*light*/", svg.Variables(svg.Light), "/*dark*/", svg.Variables(svg.Dark)).Replace(string(css))
	return plainRules(s), nil
}

var remarks = regexp.MustCompile(`(?s)\s*/\*.*?\*/`)

// plainRules is a style sheet as a page carries it: without its remarks.
func plainRules(css string) template.CSS { return template.CSS(remarks.ReplaceAllString(css, "")) }

// distinct drops what already stands under the answer.
func distinct(items, said []words) (out []words) {
	seen := map[string]bool{}
	for _, w := range said {
		seen[w.key()] = true
	}
	for _, w := range items {
		if k := w.key(); !seen[k] {
			seen[k] = true
			out = append(out, w)
		}
	}
	return out
}

func (ws words) key() string {
	var b strings.Builder
	for _, p := range ws {
		b.WriteString(p.Text + p.Metric)
	}
	return b.String()
}

// filesBeside lists the other files of a trial; those of a folder are counted.
func filesBeside(t answer.Ref) (out []string) {
	folders := map[string]int{}
	for _, f := range t.Files {
		if f = clean(f); f == clean(t.File) {
			continue
		}
		dir, _, nested := strings.Cut(f, "/")
		if !nested {
			out = append(out, f)
			continue
		}
		if folders[dir]++; folders[dir] == 1 {
			out = append(out, dir+"/")
		}
	}
	for i, f := range out {
		if n := folders[strings.TrimSuffix(f, "/")]; n > 0 && strings.HasSuffix(f, "/") {
			out[i] = f + " (" + strconv.Itoa(n) + ")"
		}
	}
	return out
}

// disclosure says nothing where there is nothing to disclose.
func disclosure(s string) string {
	if s = clean(s); s == "none" {
		return ""
	}
	return s
}
