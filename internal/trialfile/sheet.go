package trialfile

import (
	"tamis/internal/diag"
	"tamis/internal/trial"
)

// Sheet is a score sheet that somebody typed in, read against a trial whose
// part it is not yet.
type Sheet struct {
	Read     string        // what is not the plain form of its text, such as "semicolons between cells"; "" for none
	Shape    string        // how it is laid out, such as "a line a sample"
	By       string        // what a sample is named by: code, piece or cook
	Measures []string      // that it has a place for, in the order of the trial
	Scores   []trial.Score // one for each sample of an assessor with at least one value, places in the sheet
	Blank    int           // samples for which it has a place and no value

	// Triangles says that it is a sheet of triangles, and Answers has the sets in
	// which something is named or noted, with the codes that the trial gives them.
	Triangles bool
	Answers   []trial.TriangleSet

	lines []string
}

// Source is the line of the sheet that a place stands on.
func (s *Sheet) Source(p diag.Pos) string {
	if p.Line < 1 || int(p.Line) > len(s.lines) || len(s.lines[p.Line-1]) > maxLine {
		return ""
	}
	return s.lines[p.Line-1]
}

// ReadSheet reads a score sheet (CSV) and holds every line against the trial:
// its measures and their scales, its assessors, its key, pieces and cooks. It
// takes a line for each sample with a column a measure; a line for each score,
// with columns measure and score; a line for each assessor with a column a
// sample, such as 836.firmness; and a line for each sample with a column an
// assessor. A sheet with a column odd is one of triangles, a line a set. Text that
// is not UTF-8 is taken as Windows-1252, and Read says so.
//
// All problems are in the list; the sheet is nil when any of them is an error.
// The error result is a failure to read the file itself. The trial is not
// altered, and whether its scores say the same is not looked at.
func ReadSheet(path string, t *trial.Trial, v Vocabulary) (*Sheet, diag.List, error) {
	return readTyped(path, t, v, "scores", (*reader).sheet)
}

// sheet reads the table of a score sheet.
func (r *reader) sheet(t *table, read string) *Sheet {
	out := &Sheet{Read: read, lines: r.linesOf(t.file)}
	if r.runTogether(t) {
		return out
	}
	if r.ofTriangles(t) {
		return r.answers(t, out)
	}
	l := sheetLayout{r: r, out: out, t: t, where: r.samples(), book: &codebook{of: map[string]*trial.KeyEntry{}, there: true}, codeNames: r.codeNames(), people: r.people(), sessions: r.sittings()}
	for i := range r.t.Panel.V.Key {
		k := &r.t.Panel.V.Key[i]
		l.book.of[k.Code] = k
	}
	ragged := raggedLines(r.msgs)
	if !r.noHeader(t, l.people, l.codeNames) && l.header(t) {
		for _, row := range t.rows {
			if !ragged[int(row[0].line)] {
				l.row(row)
			}
		}
	}
	return out
}

// people are all assessors that the trial knows of.
func (r *reader) people() *names {
	n := newNames()
	for _, a := range r.t.Panel.V.Assessors {
		n.add(a.ID)
	}
	for _, id := range r.t.AssessorIDs() {
		n.add(id)
	}
	for _, id := range r.t.Design.V.Assessors {
		n.add(id)
	}
	return n
}
