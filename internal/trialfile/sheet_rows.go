package trialfile

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

// row reads one line of a score sheet, which may hold the scores of several
// samples or assessors.
func (l *sheetLayout) row(cells []cell) {
	r := l.r
	if headerAgain(l.t, cells) {
		r.fail(l.t.at(&cells[0]), "header-again", "the header stands a second time", "delete this line")
		return
	}
	base := &item{kind: mapping, at: place{pos: l.t.rowAt(cells)}}
	value := func(i int) *item {
		v := &item{kind: scalar, text: strings.TrimSpace(cells[i].text), at: l.t.at(&cells[i]), cell: l.cols[i].cell}
		if v.text == "" {
			v.kind = blank
		}
		return v
	}
	named := "" // the measure of the line
	for i, o := range l.roles {
		switch {
		case o.field != "":
			base.entries = append(base.entries, entry{key: l.key(i, o.field), value: value(i)})
		case o.name:
			v := value(i)
			m, ok := l.measureOf(v.text)
			if !ok {
				if v.kind == blank {
					r.fail(v.at, "missing-value", "the line does not say which measure it holds", "fill in the measure")
				} else {
					r.fail(v.at, "unknown-measure", fmt.Sprintf("there is no measure %s", quote(v.text)), r.nearest(v.text, newNames(r.measureNames())))
				}
				return
			}
			named = m
		}
	}
	if named != "" && !slices.Contains(l.out.Measures, named) {
		l.out.Measures = append(l.out.Measures, named)
	}
	// The values of the line, by whom or what the header names.
	type part struct{ of, id string }
	var parts []part
	values := map[part][]int{}
	for i, o := range l.roles {
		if o.value() {
			p := part{o.of, o.id}
			if _, seen := values[p]; !seen {
				parts = append(parts, p)
			}
			values[p] = append(values[p], i)
		}
	}
	for _, p := range parts {
		it := &item{kind: mapping, at: base.at, entries: slices.Clone(base.entries)}
		if first := values[p][0]; p.of != "" {
			it.at = place{pos: l.t.at(&cells[first]).pos}
			it.entries = append(it.entries, entry{key: l.key(first, p.of), value: &item{kind: scalar, text: p.id, at: l.t.at(&cells[first]), cell: l.cols[first].cell}})
		}
		for _, i := range values[p] {
			name := l.roles[i].measure
			if name == "" {
				name = named
			}
			it.entries = append(it.entries, entry{key: l.key(i, name), value: value(i)})
		}
		l.score(it)
	}
}

func (l *sheetLayout) key(i int, name string) *item {
	return &item{kind: scalar, text: name, at: l.cols[i].at, cell: l.cols[i].cell}
}

// score reads the scores of one sample by one assessor.
func (l *sheetLayout) score(it *item) {
	r := l.r
	var s trial.Score
	before := r.faults
	if v := it.get("assessor"); v != nil && v.kind == scalar && l.nobody(v) {
		return
	}
	scoreTable.readInto(r, it, &s)
	if s.Assessor == "" {
		return
	}
	if len(l.people.list) > 0 && !l.people.has(s.Assessor) {
		at := it.at
		if v := it.get("assessor"); v != nil {
			at = v.at
		}
		hint := r.nearest(s.Assessor, l.people)
		if !strings.HasPrefix(hint, "did you") {
			hint += "; somebody new is added under panel: assessors"
		}
		r.fail(at, "unknown-assessor", fmt.Sprintf("there is no assessor %s", quote(s.Assessor)), hint)
	}
	if s.Session.Known {
		if have := l.sessions; len(have.list) > 0 && !have.has(s.Session.V) {
			r.fail(here(s.Session.At), "unknown-session", fmt.Sprintf("there is no session %s", quote(s.Session.V)), r.nearest(s.Session.V, have))
		}
	}
	if r.faults > before && !s.Code.Known && !s.Piece.Known && s.Cook == "" {
		return // what was tasted could not be read
	}
	if !r.resolve(&s, it, l.book) || r.faults > before {
		return
	}
	for _, e := range it.entries {
		m, _ := r.measure(e.key.text)
		if v := s.Values.Of(e.key.text); m.Kind == trial.JustRight && !v.Missing && v.V != math.Trunc(v.V) {
			r.fail(e.value.at, "between-boxes", fmt.Sprintf("%s of %s lies between two boxes of the ballot", formatNumber(v.V), m.Name), "write a whole number, "+formatNumber(m.Scale.Low)+" to "+formatNumber(m.Scale.High))
			return
		}
	}
	if empty(&s) {
		l.out.Blank++
		return
	}
	if l.measure >= 0 || l.long {
		sample := strings.Join([]string{s.Assessor, s.Session.V, s.Repeat.V, s.Code.V, s.Piece.V, s.Cook}, "\x00")
		if i, ok := l.merged[sample]; ok {
			l.join(&l.out.Scores[i], &s)
			return
		}
		l.merged[sample] = len(l.out.Scores)
		l.out.Scores = append(l.out.Scores, s)
		return
	}
	if !s.WhyMissing.Known {
		for _, e := range it.entries {
			if v, ok := s.Values.Get(e.key.text); ok && v.Missing {
				r.warn(e.value.at, "blank", e.key.text+" is blank", "fill it in, or say why in a column why_missing")
			}
		}
	}
	l.out.Scores = append(l.out.Scores, s)
}

// nobody reports a line of nobody in the trial, such as one of totals: what else
// stands in it means nothing then. A name that is nearly one of the trial is left
// to the line.
func (l *sheetLayout) nobody(v *item) bool {
	if len(l.people.list) == 0 || l.people.has(v.text) {
		return false
	}
	if _, _, bad := unseen(v.text); bad {
		return false
	}
	if _, near := l.r.guess(v.text, l.people); near {
		return false
	}
	if sums[strings.ToLower(strings.Trim(v.text, " :."))] {
		l.r.fail(v.at, "not-a-score", fmt.Sprintf("the line of %s is no score of anybody", quote(v.text)), "delete it: sums and means are computed by fit")
		return true
	}
	l.r.fail(v.at, "unknown-assessor", fmt.Sprintf("there is no assessor %s", quote(v.text)), l.r.nearest(v.text, l.people)+"; somebody new is added under panel: assessors")
	return true
}

// sums are the names that people give to lines of a spreadsheet.
var sums = map[string]bool{"total": true, "totals": true, "sum": true, "mean": true, "means": true, "average": true, "avg": true, "median": true, "sd": true, "count": true, "n": true, "min": true, "max": true,
	"summe": true, "mittel": true, "mittelwert": true, "gesamt": true, "moyenne": true, "totale": true, "media": true}

// join adds the scores of a further line to those of the same sample.
func (l *sheetLayout) join(to, s *trial.Score) {
	for _, v := range s.Values {
		if first, dup := to.Values.Get(v.Measure); dup {
			l.r.say(diag.Error, here(v.At), "scored-twice", fmt.Sprintf("%s of this sample stands twice for this assessor", v.Measure), "", "keep one of the two lines, or add a column repeat", note(first.At, "first here"))
			continue
		}
		to.Values.Set(v.Measure, v.Reading)
	}
	if s.Position.Known && to.Position.Known && s.Position.V != to.Position.V {
		l.r.say(diag.Error, here(s.Position.At), "contradiction", fmt.Sprintf("the place in the serving order is %d here and %d before", s.Position.V, to.Position.V), "", "correct one of the two", note(to.Position.At, "before"))
	}
	for _, f := range []struct{ to, from *trial.Opt[string] }{{&to.Notes, &s.Notes}, {&to.WhyMissing, &s.WhyMissing}, {&to.LeftOut, &s.LeftOut}} {
		if !f.to.Known {
			*f.to = *f.from
		}
	}
}

// empty reports whether a line says nothing of its sample.
func empty(s *trial.Score) bool {
	for _, v := range s.Values {
		if !v.Missing {
			return false
		}
	}
	return !s.WhyMissing.Known && !s.LeftOut.Known && !s.Notes.Known
}

// sittings are all tasting sessions that the trial knows of.
func (r *reader) sittings() *names {
	n := newNames()
	for _, s := range r.t.Sessions {
		n.add(s.ID)
	}
	for i := range r.t.Cooks {
		n.add(r.t.Cooks[i].Session.V)
	}
	for i := range r.t.Panel.V.Scores {
		n.add(r.t.Panel.V.Scores[i].Session.V)
	}
	return n
}
