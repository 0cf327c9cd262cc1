package trialfile

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

// maxGuesses bounds the work of finding what was probably meant: the names that
// are compared in one reading. Past it, hints list what there is.
const maxGuesses = 200_000

// names are ids in the order of the file, each once.
type names struct {
	list []string
	at   map[string]bool // of many: the same as an index
}

// fewNames are looked at one by one.
const fewNames = 16

func newNames(lists ...[]string) *names {
	n := &names{}
	for _, l := range lists {
		for _, s := range l {
			n.add(s)
		}
	}
	return n
}

// has reports whether a name is among them.
func (n *names) has(s string) bool {
	if n.at != nil {
		return n.at[s]
	}
	return slices.Contains(n.list, s)
}

func (n *names) add(s string) {
	if s == "" || n.has(s) {
		return
	}
	n.list = append(n.list, s)
	if len(n.list) > fewNames && n.at == nil {
		n.at = make(map[string]bool, 2*len(n.list))
		for _, have := range n.list {
			n.at[have] = true
		}
	} else if n.at != nil {
		n.at[s] = true
	}
}

// known is all that other places of the file can refer to.
type known struct {
	measures, sources, baths, sessions, parts *names

	levels map[string]*names // of each factor
}

// learn collects the names once everything is read.
func (r *reader) learn() {
	t := r.t
	k := &known{measures: newNames(r.measureNames()), sources: newNames(), baths: newNames(), sessions: newNames(),
		parts: newNames(t.Parts), levels: map[string]*names{}}
	for _, s := range t.Sources {
		k.sources.add(s.ID)
	}
	for _, b := range t.Baths {
		k.baths.add(b.ID)
	}
	for _, s := range t.Sessions {
		k.sessions.add(s.ID)
	}
	for _, f := range t.Factors {
		k.levels[f.Name] = newNames(f.Levels)
	}
	r.ids = k
}

// pictured is what a photo can show.
func (r *reader) pictured() *names { return newNames(r.ids.sources.list, r.samples().names().list) }

// everything is what an accepted finding can be narrowed to.
func (r *reader) everything() *names {
	all := newNames()
	for i := range r.t.Cooks {
		c := &r.t.Cooks[i]
		for _, s := range []string{c.Bath.V, c.Session.V, c.Block.V} {
			all.add(s)
		}
		for j := range c.Pieces {
			all.add(c.Pieces[j].Source.V)
		}
	}
	for _, l := range [][]string{r.samples().names().list, r.ids.measures.list, r.ids.sources.list, r.t.AssessorIDs()} {
		for _, s := range l {
			all.add(s)
		}
	}
	for _, a := range r.t.Panel.V.Assessors {
		all.add(a.ID)
	}
	return all
}

func (r *reader) measureNames() []string {
	out := make([]string, len(r.t.Measures))
	for i, m := range r.t.Measures {
		out[i] = m.Name
	}
	return out
}

// measure finds a measure by its name. Measures are only ever added.
func (r *reader) measure(name string) (*trial.Measure, bool) {
	for i := len(r.measureAt); i < len(r.t.Measures); i++ {
		if _, dup := r.measureAt[r.t.Measures[i].Name]; dup { // a file cannot, an index may not hang on it
			i := slices.IndexFunc(r.t.Measures, func(m trial.Measure) bool { return m.Name == name })
			return r.measureNo(i)
		}
		r.measureAt[r.t.Measures[i].Name] = i
	}
	if i, ok := r.measureAt[name]; ok {
		return r.measureNo(i)
	}
	return r.measureNo(-1)
}

var noMeasure trial.Measure // nothing is known of it

// measureNo is a measure by its place, which is -1 for none. It holds until one is
// added.
func (r *reader) measureNo(i int) (*trial.Measure, bool) {
	if i < 0 {
		return &noMeasure, false
	}
	return &r.t.Measures[i], true
}

// measureOf is the measure that a key names. The key of a column is met in every
// row and keeps the answer.
func (r *reader) measureOf(key *item) (*trial.Measure, bool) {
	if key.measure > 0 {
		return r.measureNo(int(key.measure) - 1)
	}
	m, ok := r.measure(key.text)
	if i, indexed := r.measureAt[key.text]; ok && indexed && i < math.MaxInt16 {
		key.measure = int16(i + 1)
	}
	return m, ok
}

// factors are the names of the declared factors, which are read before all that
// refers to them.
func (r *reader) factors() *names {
	if r.factorNames == nil || len(r.factorNames.list) != len(r.t.Factors) {
		r.factorNames = newNames()
		for _, f := range r.t.Factors {
			r.factorNames.add(f.Name)
		}
	}
	return r.factorNames
}

// refersTo reports an id that names nothing.
func (r *reader) refersTo(at diag.Pos, id string, have *names, what, hint string) {
	if id == "" || have.has(id) || r.full() || strings.HasPrefix(what, "cook") && r.noCooks() {
		return
	}
	if n, ok := r.guess(id, have); ok {
		hint = "did you mean " + n + "?"
	} else if hint == "" {
		hint = r.nearest(id, have)
	}
	r.fail(here(r.find(at, id)), "unknown-"+strings.Fields(strings.ReplaceAll(what, ",", " "))[0], fmt.Sprintf("there is no %s %s", what, quote(id)), hint)
}

// almost warns of a source that differs from a listed one in case only.
func (r *reader) almost(at diag.Pos, id string) {
	if r.ids.sources.has(id) || r.full() {
		return
	}
	for _, h := range r.ids.sources.list {
		if strings.EqualFold(h, id) {
			r.warn(here(at), "almost-the-same", fmt.Sprintf("the source %s is listed as %s", quote(id), quote(h)), "write "+h)
			return
		}
	}
}

// guess finds the name that was probably meant.
func (r *reader) guess(word string, have *names) (string, bool) {
	if r.guesses += len(have.list); r.guesses > maxGuesses || r.full() {
		return "", false
	}
	return diag.Nearest(word, have.list)
}

// nearest gives `did you mean brine?`, or the list of what there is.
func (r *reader) nearest(word string, have *names) string {
	if n, ok := r.guess(word, have); ok {
		return "did you mean " + n + "?"
	}
	switch list := have.list; {
	case len(list) == 0:
		return "none is listed"
	case len(list) > 12:
		return "known are " + strings.Join(list[:12], ", ") + " …"
	case len(list) == 1:
		return "there is only " + list[0]
	default:
		return "there are " + strings.Join(list[:len(list)-1], ", ") + " and " + list[len(list)-1]
	}
}

// find is the place of a word on a line, from a place on.
func (r *reader) find(at diag.Pos, word string) diag.Pos {
	line := r.line(at)
	if r.full() || len(line) > maxLine || word == "" {
		return at
	}
	rs := []rune(line)
	if at.Column < 1 || int(at.Column) > len(rs) {
		return at
	}
	rest := string(rs[at.Column-1:])
	for from := 0; ; {
		i := strings.Index(rest[from:], word)
		if i < 0 {
			return at
		}
		i += from
		before, after := rest[:i], rest[i+len(word):]
		if (before == "" || strings.ContainsAny(before[len(before)-1:], " [{,:\"'")) && (after == "" || strings.ContainsAny(after[:1], " ]},:\"'")) {
			at.Column += int32(runes(before))
			return at
		}
		from = i + len(word)
	}
}
