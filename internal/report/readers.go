package report

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"html/template"
	"strings"

	"tamis/internal/answer"
	"tamis/internal/fairness"
	"tamis/internal/figure"
	"tamis/internal/quantity"
	"tamis/internal/report/story"
	"tamis/internal/trial"
)

//go:embed readers.css readers.html
var readersFiles embed.FS

var readersPages = template.Must(template.Must(template.ParseFS(files, "figure.html")).ParseFS(readersFiles, "readers.html"))

// Writeup is what a write-up for readers is made of beside the result.
type Writeup struct {
	Trial *trial.Trial // that the result was computed from
	// Photos are those of the trial that could be read, in its order.
	Photos []Shot
	// Draft makes it also while something stands against publishing it; it then
	// says what, and every screen and sheet is marked as a draft.
	Draft bool
}

// readersPage is the view model of the page for readers, and of its fragment.
type readersPage struct {
	Style                 template.CSS
	Scripts               scripts
	US                    bool
	Draft                 bool
	Blocked               []words
	Title, By, Date       string
	Question              string
	Lead                  []words
	Safety                []words
	Sure, Against         []words
	Story                 template.HTML // from package story
	Strip                 []shotView
	StripRow              int    // how many stand side by side where there is room
	StripCredit           string // of all of them, if it is one
	Shots                 []shotView
	Figures               []figureView
	Pictures              []pictureView // of the fragment
	Method                []words
	CannotTell            []words
	Conclusion            []remarked
	Known                 []accepted
	Cautions              []words
	Disclosure            string
	Data                  []save
	DataNote              string
	Metadata              *metadata
	File, SHA256, Version string
	Seed, Draws           string
}

// metadata describes the page to machines, by schema.org. It is an article and
// never a recipe: what was cooked for a trial is not what a reader should cook.
type metadata struct {
	Context   string  `json:"@context"`
	Type      string  `json:"@type"`
	Headline  string  `json:"headline"`
	Abstract  string  `json:"abstract,omitempty"`
	Published string  `json:"datePublished,omitempty"`
	Language  string  `json:"inLanguage"`
	Author    *author `json:"author,omitempty"`
	About     string  `json:"about,omitempty"`
	Free      bool    `json:"isAccessibleForFree"`
	Generator string  `json:"creditText,omitempty"`
}

type author struct {
	Type string `json:"@type"`
	Name string `json:"name"`
}

// ErrBlocked: something stands against publishing, and no draft was asked for.
var ErrBlocked = errors.New("something stands against a page for readers, and it is not a draft")

// Readers renders the page for readers: the answer with its doubt, the author's
// story and photos, one or two figures, the method with the cautions before it,
// what the trial cannot tell, and the data. The result is one HTML file that
// needs nothing else.
func Readers(r *answer.Result, w Writeup, o Options) ([]byte, error) {
	p, err := readersOf(r, w, o, nil)
	if err != nil {
		return nil, err
	}
	return executed("readers.html", p)
}

// Article renders the same as a fragment to be pasted into a site: plain HTML in
// one unit system, without style, script or form, its pictures inside. It is one
// <article>.
func Article(r *answer.Result, w Writeup, o Options) ([]byte, error) {
	p, err := readersOf(r, w, o, &o.Units)
	if err != nil {
		return nil, err
	}
	return executed("article", p)
}

func executed(name string, p *readersPage) ([]byte, error) {
	var b bytes.Buffer
	if err := readersPages.ExecuteTemplate(&b, name, p); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// readersOf builds the view; only is the one unit system of a fragment.
func readersOf(r *answer.Result, w Writeup, o Options, only *quantity.System) (*readersPage, error) {
	if r == nil {
		return nil, fmt.Errorf("no result: %w", figure.ErrEmpty)
	}
	if w.Trial == nil {
		w.Trial = &trial.Trial{}
	}
	base, err := style()
	if err != nil {
		return nil, err
	}
	own, err := readersFiles.ReadFile("readers.css")
	if err != nil {
		return nil, err
	}
	said := answer.ReadersOf(w.Trial, r)
	if len(said.Blocked) > 0 && !w.Draft {
		return nil, ErrBlocked
	}
	in := func(ss []answer.Sentence) []words { return single(all(ss), only) }
	p := &readersPage{
		Style: base + plainRules(string(own)), Scripts: scriptsOf(o.Live && only == nil), US: o.Units == quantity.US, Draft: len(said.Blocked) > 0,
		Title: together(clean(r.Trial.Title)), By: clean(r.Trial.By), Date: clean(r.Trial.Date), Disclosure: disclosure(r.Trial.Disclosure),
		Lead: in(said.Lead), Safety: in(cautionsUnderAnswer(r)), Sure: in(said.Sure), CannotTell: in(said.CannotTell), Method: in(said.Method), Blocked: in(said.Blocked),
		File: clean(r.Trial.File), SHA256: clean(r.Trial.SHA256), Version: clean(r.Version),
		Seed: fmt.Sprint(r.Seed), Draws: fmt.Sprint(r.Draws),
	}
	for i, d := range said.Against {
		// The first stands among the sentences on how sure it is, and what blocks
		// has a place of its own.
		if i > 0 && d.Severity < fairness.Blocks {
			p.Against = append(p.Against, single([]words{of(d.Text)}, only)...)
		}
	}
	top := 3
	p.Story = template.HTML(story.HTML(together(clean(r.Trial.Notes)), top))
	if p.Strip, p.Shots, err = shotsOf(w, only); err != nil {
		return nil, err
	}
	p.StripRow, p.StripCredit = rowOf(len(p.Strip)), sharedCredit(p.Strip)
	if err := p.addFigures(r, only); err != nil {
		return nil, err
	}
	p.Conclusion, p.Known = conclusionOf(w.Trial, r, only)
	p.Cautions = distinct(in(append(append([]answer.Sentence{}, r.Safety.Cautions...), r.Text.Cautions...)), p.Safety)
	if only == nil {
		p.Data, p.DataNote = openData(w.Trial, r)
	}
	p.Question = together(oneLine(r.Trial.Question))
	p.Metadata = metadataOf(r, said)
	return p, nil
}

// single keeps one unit system of some words; nil keeps both.
func single(list []words, only *quantity.System) []words {
	if only == nil {
		return list
	}
	out := make([]words, len(list))
	for i, ws := range list {
		for _, p := range ws {
			if p.Dual {
				p.Text, p.Dual = p.Metric, false
				if *only == quantity.US {
					p.Text = p.US
				}
				p.Metric, p.US = "", ""
			}
			p.Number = false // without a style sheet a span does nothing
			out[i] = append(out[i], p)
		}
	}
	return out
}

// readersFigures is how many figures a page for readers has at most.
const readersFigures = 2

func (p *readersPage) addFigures(r *answer.Result, only *quantity.System) error {
	for i, m := range measuresOf(r) {
		if len(p.Figures)+len(p.Pictures) == readersFigures {
			break
		}
		f, ok := measureFigure(r, m, i == 0)
		if !ok {
			continue
		}
		if only != nil {
			pic, err := pictureOf(f, *only)
			if err != nil {
				return fmt.Errorf("figure of %s: %w", m.Name, err)
			}
			p.Pictures = append(p.Pictures, pic)
			continue
		}
		v, err := viewOf(f, placing{Save: true, Live: p.Scripts.Live})
		if err != nil {
			return fmt.Errorf("figure of %s: %w", m.Name, err)
		}
		p.Figures = append(p.Figures, v)
	}
	return nil
}

func metadataOf(r *answer.Result, said answer.ForReaders) *metadata {
	m := &metadata{Context: "https://schema.org", Type: "Article", Headline: oneLine(r.Trial.Title), Published: clean(r.Trial.Date), Language: "en",
		About: oneLine(r.Trial.Food), Free: true, Generator: "tamis " + clean(r.Version)}
	if by := oneLine(r.Trial.By); by != "" {
		m.Author = &author{"Organization", by}
	}
	// What a search engine shows carries the doubt and the caution too.
	var abstract []string
	for _, s := range append(append([]answer.Sentence{}, said.Lead...), cautionsUnderAnswer(r)...) {
		abstract = append(abstract, clean(s.Text(quantity.Metric)))
	}
	m.Abstract = oneLine(strings.Join(abstract, " "))
	return m
}

func oneLine(s string) string { return strings.Join(strings.Fields(clean(s)), " ") }
