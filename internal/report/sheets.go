package report

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"slices"
	"strings"

	"tamis/internal/answer"
	"tamis/internal/design/schedule"
	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

//go:embed sheet.css sheet.html
var sheetFiles embed.FS

var sheetPages = template.Must(template.Must(template.ParseFS(files, "figure.html")).ParseFS(sheetFiles, "sheet.html"))

// Sheet is one printed sheet of a trial: an HTML page that needs nothing else.
type Sheet struct {
	Name string // of its file, such as run.html
	HTML []byte
}

// sheetHead is what every sheet starts and ends with.
type sheetHead struct {
	Style               template.CSS
	Policy              string
	US                  bool
	Kind, Title         string
	By, Date            string
	File, SHA256, Trial string
	Version             string
}

// sheetMaker holds what the sheets are made of.
type sheetMaker struct {
	t      *trial.Trial
	said   *answer.Sheets
	by     map[string]*answer.SheetCook
	us     bool
	css    template.CSS
	groups []cookGroup
	on     OnClock
	times  map[string]*schedule.Times // by cook; those that are still to be cooked
	days   map[string]*schedule.Day
}

// Sheets renders the sheets of a trial: a run sheet, a record sheet, ballots,
// labels for the codes, and what to buy and lay out. What must not be eaten
// stands on the first two, to be weighed and sheared; it has no ballot. said is
// what answer.SheetsOf says of the same trial. Names of assessors stand on the
// ballots and on the serving list, where nobody could do without them. The
// times of day stand on the run sheet and wherever something is thrown away; a
// cook that was started keeps its own.
func Sheets(t *trial.Trial, said *answer.Sheets, on OnClock, o Options) ([]Sheet, error) {
	css, err := sheetFiles.ReadFile("sheet.css")
	if err != nil {
		return nil, err
	}
	m := &sheetMaker{t: t, said: said, by: map[string]*answer.SheetCook{}, us: o.Units == quantity.US, css: template.CSS(css), groups: groupsOf(t)}
	for i := range said.Cooks {
		m.by[said.Cooks[i].Cook] = &said.Cooks[i]
	}
	m.clocks(on)
	var out []Sheet
	for _, s := range []struct {
		name, kind string
		page       func(sheetHead) any
	}{
		{"run", "Run sheet", m.run},
		{"record", "Record sheet", m.record},
		{"ballots", "Ballots", m.ballots},
		{"labels", "Labels and serving", m.labels},
		{"shopping", "To buy and lay out", m.shopping},
	} {
		var b bytes.Buffer
		if err := sheetPages.ExecuteTemplate(&b, "sheet-"+s.name, s.page(m.head(s.kind))); err != nil {
			return nil, fmt.Errorf("%s: %w", s.name, err)
		}
		out = append(out, Sheet{Name: s.name + ".html", HTML: b.Bytes()})
	}
	return out, nil
}

func (m *sheetMaker) head(kind string) sheetHead {
	t := m.t
	h := sheetHead{Style: m.css, Policy: policy(nil), US: m.us, Kind: kind, Title: clean(t.Title.V), By: clean(t.By.V),
		File: clean(t.Origin.Base), SHA256: t.Origin.SHA256, Version: answer.Version}
	if t.Date.Known {
		h.Date = t.Date.V.String()
	}
	return h
}

// Foot is what stands at the foot of every printed page: which sheet of which
// trial it is, and the page of how many, so that loose pages find each other.
func (h sheetHead) Foot() template.CSS {
	name := h.Kind
	if h.Title != "" {
		name += ": " + running(h.Title, 80)
	}
	const font = "font:9pt sans-serif;color:#000"
	return template.CSS("@page{@bottom-left{content:" + cssString(name) + ";" + font + "}" +
		"@bottom-right{content:\"Page \" counter(page) \" of \" counter(pages);" + font + "}}")
}

// cookGroup is the cooks of one session, in the order in which they are run.
type cookGroup struct {
	Session, Date string
	Cooks         []int
}

// Name is the heading of a group; "" where the trial has no sessions.
func (g cookGroup) Name() string {
	switch {
	case g.Session == "":
		return ""
	case g.Date == "":
		return prose.Upper(sessionWords(g.Session))
	}
	return prose.Upper(sessionWords(g.Session)) + ", " + g.Date
}

// sessionWords calls a session by its name: "session first", and "session-1" as it
// is; "" without one.
func sessionWords(name string) string {
	if name == "" || strings.HasPrefix(strings.ToLower(name), "session") {
		return name
	}
	return "session " + name
}

func groupsOf(t *trial.Trial) []cookGroup {
	var out []cookGroup
	at := map[string]int{}
	add := func(id, date string) int {
		if k, ok := at[id]; ok {
			return k
		}
		at[id] = len(out)
		out = append(out, cookGroup{Session: clean(id), Date: date})
		return len(out) - 1
	}
	for _, s := range t.Sessions {
		date := ""
		if s.Date.Known {
			date = s.Date.V.String()
		}
		add(s.ID, date)
	}
	for i := range t.Cooks {
		k := add(t.Cooks[i].Session.V, "")
		out[k].Cooks = append(out[k].Cooks, i)
	}
	out = slices.DeleteFunc(out, func(g cookGroup) bool { return len(g.Cooks) == 0 })
	for i := range out {
		slices.SortStableFunc(out[i].Cooks, func(a, b int) int { return t.Cooks[a].Order.V - t.Cooks[b].Order.V })
	}
	return out
}

// verdict is who may eat some cooks.
type verdict struct {
	Of   string // the cooks it is said of; "" for all of them
	Text []words
}

// verdicts are those of the given cooks.
func (m *sheetMaker) verdicts(cooks []int) []verdict {
	asked := map[string]bool{}
	for _, c := range cooks {
		asked[m.t.Cooks[c].ID] = true
	}
	var out []verdict
	for _, v := range m.said.Verdicts {
		var of []string
		for _, c := range v.Cooks {
			if asked[c] {
				of = append(of, clean(c))
			}
		}
		if len(of) > 0 {
			out = append(out, verdict{Of: strings.Join(of, ", "), Text: all(v.Text)})
		}
	}
	if len(out) == 1 {
		out[0].Of = ""
	}
	return out
}

// every is all cooks.
func (m *sheetMaker) every() []int {
	out := make([]int, len(m.t.Cooks))
	for i := range out {
		out[i] = i
	}
	return out
}

// discards says when the given cooks are thrown away, one after the other.
func (m *sheetMaker) discards(cooks []int) []words {
	var out []words
	for _, c := range cooks {
		if at := m.discard(c); at != nil {
			out = append(out, append(append(named(m.t.Cooks[c].ID), piece{Text: " "}), at...))
		}
	}
	return out
}

// cook is what is said of a cook.
func (m *sheetMaker) cook(i int) *answer.SheetCook {
	if s, ok := m.by[m.t.Cooks[i].ID]; ok {
		return s
	}
	return &answer.SheetCook{Cook: m.t.Cooks[i].ID, Why: answer.Say("Do not eat it and do not taste it.")}
}

// inBoth is a text that may read differently in the two systems of units.
func inBoth(format func(quantity.System) string) words {
	metric, us := clean(format(quantity.Metric)), clean(format(quantity.US))
	if metric == us {
		return words{{Text: metric, Number: true}}
	}
	return words{{Metric: metric, US: us, Dual: true, Number: true}}
}

func say(s string) words { return words{{Text: clean(s)}} }

// named is a name of the file. It is kept apart from the words beside it, so that
// one written from right to left does not draw their numbers into itself.
func named(s string) words { return words{{Text: clean(s), Name: true}} }

// strung puts words between others.
func strung(parts []words, between string) (out words) {
	for i, p := range parts {
		if i > 0 {
			out = append(out, piece{Text: between})
		}
		out = append(out, p...)
	}
	return out
}
