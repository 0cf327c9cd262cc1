package scores

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

// Change is what one line of a sheet adds to a trial.
type Change struct {
	Row   int         // index into the scores of the panel, -1 for a new one
	Score trial.Score // of a row that is there, only what is added to it
}

// Merged is a sheet held against a trial.
type Merged struct {
	Changes []Change
	Lines   []Line // every sample of the sheet, in its order
	Left    []Left // what has no score even then, in the order of the assessors
}

// Line is what became of one sample of the sheet.
type Line struct {
	Score      trial.Score
	New, There int // values that are new, and that the trial has already
}

// Left counts the samples of an assessor that still have no value.
type Left struct {
	Assessor string
	Samples  []string
}

// Added counts the values that are new.
func (m *Merged) Added() (n int) {
	for i := range m.Lines {
		n += m.Lines[i].New
	}
	return n
}

// Merge holds the scores of a sheet against those of a trial. source gives the
// line of the sheet at a place, for the messages; nil for none. The result is
// nil when any message is an error.
func Merge(t *trial.Trial, sheet []trial.Score, source func(diag.Pos) string) (*Merged, diag.List) {
	m := merging{t: t, source: source, byAssessor: map[string][]int{}, used: map[int]diag.Pos{}, fresh: map[string]diag.Pos{}, filled: map[int]bool{}}
	rows := t.Panel.V.Scores
	for i := range rows {
		m.byAssessor[rows[i].Assessor] = append(m.byAssessor[rows[i].Assessor], i)
		m.planned = m.planned || blank(&rows[i])
	}
	m.planned = m.planned || t.Panel.V.Plan.Known && len(rows) > 0
	for i := range sheet {
		m.line(&sheet[i])
	}
	if m.msgs.HasErrors() {
		return nil, m.msgs.Sorted()
	}
	m.left()
	return &m.out, m.msgs.Sorted()
}

type merging struct {
	t          *trial.Trial
	source     func(diag.Pos) string
	byAssessor map[string][]int
	planned    bool             // every sample of everybody is in the trial already
	used       map[int]diag.Pos // rows that a line of the sheet belongs to
	fresh      map[string]diag.Pos
	filled     map[int]bool
	out        Merged
	msgs       diag.List
}

// blank reports whether a row has no value, and no word on why.
func blank(s *trial.Score) bool {
	for _, v := range s.Values {
		if !v.Missing {
			return false
		}
	}
	return !s.WhyMissing.Known && !s.LeftOut.Known
}

func (m *merging) fail(at diag.Pos, slug, text, hint string, notes ...diag.Extra) {
	msg := diag.Message{Severity: diag.Error, Slug: slug, Pos: at, Text: text, Hint: hint, Notes: notes}
	if m.source != nil {
		msg.Source = m.source(at)
		for i := range notes {
			if notes[i].Pos.File == at.File {
				notes[i].Source = m.source(notes[i].Pos)
			}
		}
	}
	m.msgs.Add(msg)
}

// sample is how the sheet names what was tasted.
func sample(s *trial.Score) string {
	if s.Code.Known {
		return s.Code.V
	}
	if s.Piece.Known {
		return s.Piece.V
	}
	return s.Cook
}

// place is where the sheet names it.
func place(s *trial.Score) diag.Pos {
	if s.Code.Known && s.Code.At.Line > 0 {
		return s.Code.At
	}
	if s.Piece.Known && s.Piece.At.Line > 0 {
		return s.Piece.At
	}
	return s.At
}

// same reports whether a line of the sheet can mean a row of the trial.
func same(in, row *trial.Score) bool {
	if in.Cook != row.Cook || in.Piece.Known && row.Piece.Known && in.Piece.V != row.Piece.V || in.Code.Known && row.Code.Known && in.Code.V != row.Code.V {
		return false
	}
	differ := func(a, b trial.Opt[string]) bool { return a.Known && b.Known && a.V != b.V }
	return !differ(in.Session, row.Session) && !differ(in.Repeat, row.Repeat)
}

// line finds the row of a line and what it adds.
func (m *merging) line(in *trial.Score) {
	rows := m.t.Panel.V.Scores
	var found []int
	for _, i := range m.byAssessor[in.Assessor] {
		if same(in, &rows[i]) {
			found = append(found, i)
		}
	}
	if len(found) > 1 && in.Position.Known {
		if at := slices.DeleteFunc(slices.Clone(found), func(i int) bool { return rows[i].Position.V != in.Position.V }); len(at) > 0 {
			found = at
		}
	}
	switch {
	case len(found) > 1:
		m.fail(place(in), "which-sample", fmt.Sprintf("%s is %d samples of this assessor", quote(sample(in)), len(found)), which(in))
	case len(found) == 1:
		m.fill(found[0], in)
	case m.planned:
		m.unplanned(in)
	default:
		m.add(in)
	}
}

// which says what tells the samples apart.
func which(in *trial.Score) string {
	switch {
	case !in.Code.Known && !in.Piece.Known:
		return "say which with a column code or piece"
	case !in.Session.Known:
		return "say which with a column session, repeat or position"
	}
	return "say which with a column repeat or position"
}

// fill holds a line against its row.
func (m *merging) fill(row int, in *trial.Score) {
	if first, dup := m.used[row]; dup {
		m.twice(in, first)
		return
	}
	m.used[row] = in.At
	have := &m.t.Panel.V.Scores[row]
	line, add := Line{Score: *in}, trial.Score{Assessor: in.Assessor, Cook: have.Cook, Piece: have.Piece, Code: have.Code, Values: trial.Readings{}}
	changed := false
	for _, name := range names(in.Values) {
		v := in.Values.Of(name)
		switch old, ok := have.Values.Get(name); {
		case v.Missing:
		case !ok || old.Missing:
			add.Values.Set(name, v)
			line.New++
		case old.V == v.V:
			line.There++
		default:
			m.conflict(v.At, fmt.Sprintf("%s of %s is %s here and %s in the trial", name, quote(sample(in)), number(v.V), number(old.V)), old.At)
		}
	}
	if in.Position.Known && have.Position.Known && in.Position.V != have.Position.V {
		m.conflict(in.Position.At, fmt.Sprintf("%s stands at place %d here and at place %d in the trial", quote(sample(in)), in.Position.V, have.Position.V), have.At)
	} else if !have.Position.Known {
		add.Position, changed = in.Position, in.Position.Known
	}
	for _, f := range []struct {
		word     string
		in, have trial.Opt[string]
		add      *trial.Opt[string]
	}{{"notes", in.Notes, have.Notes, &add.Notes}, {"why_missing", in.WhyMissing, have.WhyMissing, &add.WhyMissing},
		{"left_out", in.LeftOut, have.LeftOut, &add.LeftOut}, {"session", in.Session, have.Session, &add.Session}, {"repeat", in.Repeat, have.Repeat, &add.Repeat}} {
		switch {
		case !f.in.Known || f.have.Known && f.have.V == f.in.V:
		case !f.have.Known:
			*f.add, changed = f.in, true
		default:
			m.conflict(f.in.At, fmt.Sprintf("%s of %s is %s here and %s in the trial", f.word, quote(sample(in)), quote(f.in.V), quote(f.have.V)), have.At)
		}
	}
	if in.Clock.Known && !have.Clock.Known {
		add.Clock, changed = in.Clock, true
	} else if in.Clock.Known && in.Clock.V != have.Clock.V {
		m.conflict(in.Clock.At, fmt.Sprintf("%s was tasted at %s here and at %s in the trial", quote(sample(in)), in.Clock.V, have.Clock.V), have.At)
	}
	if in.ServedAt.Known && !have.ServedAt.Known {
		add.ServedAt, changed = in.ServedAt, true
	} else if in.ServedAt.Known && in.ServedAt.V.Celsius() != have.ServedAt.V.Celsius() {
		m.conflict(in.ServedAt.At, fmt.Sprintf("%s was served at %s here and at %s in the trial", quote(sample(in)), in.ServedAt.V, have.ServedAt.V), have.At)
	}
	m.filled[row] = line.New > 0 || add.WhyMissing.Known || add.LeftOut.Known
	m.out.Lines = append(m.out.Lines, line)
	if line.New > 0 || changed {
		m.out.Changes = append(m.out.Changes, Change{Row: row, Score: add})
	}
}

func (m *merging) conflict(at diag.Pos, text string, old diag.Pos) {
	var notes []diag.Extra
	if old.Line > 0 {
		notes = []diag.Extra{{Pos: old, Text: "in the trial"}}
	}
	m.fail(at, "conflict", text, "correct the sheet, or the trial by hand", notes...)
}

func (m *merging) twice(in *trial.Score, first diag.Pos) {
	m.fail(place(in), "scored-twice", fmt.Sprintf("%s stands twice for this assessor", quote(sample(in))), "keep one of the two lines, or add a column repeat", diag.Extra{Pos: first, Text: "first here"})
}

// add takes a line for a new row.
func (m *merging) add(in *trial.Score) {
	key := strings.Join([]string{in.Assessor, in.Session.V, in.Repeat.V, in.Cook, in.Piece.V, in.Code.V}, "\x00")
	if first, dup := m.fresh[key]; dup {
		m.twice(in, first)
		return
	}
	m.fresh[key] = in.At
	line := Line{Score: *in}
	for _, v := range in.Values {
		if !v.Missing {
			line.New++
		}
	}
	m.out.Lines = append(m.out.Lines, line)
	m.out.Changes = append(m.out.Changes, Change{Row: -1, Score: *in})
}

// unplanned refuses a sample that the serving orders do not give the assessor.
func (m *merging) unplanned(in *trial.Score) {
	rows := m.t.Panel.V.Scores
	elsewhere := *in
	elsewhere.Session, elsewhere.Repeat = trial.Opt[string]{}, trial.Opt[string]{}
	var open, all []string
	for _, i := range m.byAssessor[in.Assessor] {
		if r := &rows[i]; same(&elsewhere, r) && in.Session.Known && r.Session.Known && r.Session.V != in.Session.V {
			m.fail(in.Session.At, "not-in-plan", fmt.Sprintf("%s is tasted in session %s, this line says %s", quote(sample(in)), quote(r.Session.V), quote(in.Session.V)), "write "+r.Session.V)
			return
		}
		if name := sample(&rows[i]); !slices.Contains(all, name) {
			all = append(all, name)
			if blank(&rows[i]) {
				open = append(open, name)
			}
		}
	}
	if len(all) == 0 {
		m.fail(in.At, "not-in-plan", fmt.Sprintf("the serving orders give %s nothing to taste", quote(in.Assessor)), "check the name, or lay out the trial again with that assessor")
		return
	}
	hint := "check the code on the ballot"
	if near, ok := diag.Nearest(sample(in), all); ok {
		hint = "did you mean " + near + "?"
	} else if 0 < len(open) && len(open) <= 12 {
		hint = "still without scores: " + strings.Join(open, ", ")
	}
	m.fail(place(in), "not-in-plan", fmt.Sprintf("the serving orders do not give %s to %s", quote(sample(in)), quote(in.Assessor)), hint)
}

// left lists what has no value even after the sheet.
func (m *merging) left() {
	rows := m.t.Panel.V.Scores
	at := map[string]int{}
	for i := range rows {
		if !blank(&rows[i]) || m.filled[i] {
			continue
		}
		k, ok := at[rows[i].Assessor]
		if !ok {
			k = len(m.out.Left)
			at[rows[i].Assessor] = k
			m.out.Left = append(m.out.Left, Left{Assessor: rows[i].Assessor})
		}
		m.out.Left[k].Samples = append(m.out.Left[k].Samples, sample(&rows[i]))
	}
}

func names(values trial.Readings) []string {
	out := make([]string, 0, len(values))
	for _, v := range values {
		out = append(out, v.Measure)
	}
	return out
}

func quote(s string) string { return `"` + s + `"` }

func number(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
