package trialfile

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"

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
	lines    []string
}

// Source is the line of the sheet that a place stands on.
func (s *Sheet) Source(p diag.Pos) string {
	if p.Line < 1 || p.Line > len(s.lines) || len(s.lines[p.Line-1]) > maxLine {
		return ""
	}
	return s.lines[p.Line-1]
}

// ReadSheet reads a score sheet (CSV) and holds every line against the trial:
// its measures and their scales, its assessors, its key, pieces and cooks. It
// takes a line for each sample with a column a measure; a line for each score,
// with columns measure and score; a line for each assessor with a column a
// sample, such as 836.firmness; and a line for each sample with a column an
// assessor. Text that is not UTF-8 is taken as Windows-1252, and Read says so.
//
// All problems are in the list; the sheet is nil when any of them is an error.
// The error result is a failure to read the file itself. The trial is not
// altered, and whether its scores say the same is not looked at.
func ReadSheet(path string, t *trial.Trial, v Vocabulary) (*Sheet, diag.List, error) {
	b, err := readRegular(func() (fs.FileInfo, error) { return os.Stat(path) }, func() (*os.File, error) { return os.Open(path) }, maxCSV)
	file := filepath.ToSlash(path)
	r := newReader(v)
	copied := *t
	r.t = &copied
	var lim limitError
	switch {
	case errors.As(err, &lim):
		r.fail(place{pos: diag.Pos{File: file}}, "too-large", fmt.Sprintf("the file has %d bytes; at most %d are read", lim.size, lim.limit), "split it")
		return nil, r.msgs, nil
	case errors.Is(err, errNotRegular):
		return nil, nil, fmt.Errorf("%s: %w", path, err)
	case err != nil:
		return nil, nil, err
	}
	out := r.sheet(file, b)
	msgs := r.msgs.Sorted()
	if msgs.HasErrors() || out == nil {
		return nil, msgs, nil
	}
	return out, msgs, nil
}

// sheet reads the bytes of a score sheet.
func (r *reader) sheet(file string, b []byte) *Sheet {
	b, old := fromWindows(b)
	s, bom, ok := r.text(file, b)
	if !ok {
		return nil
	}
	r.texts[file] = s
	t := r.parseCSV(file, s, bom)
	if t == nil {
		return nil
	}
	out := &Sheet{lines: r.linesOf(file)}
	for i, m := range r.msgs { // said by the sheet itself
		if m.Slug == "table-format" {
			out.Read = strings.TrimPrefix(m.Text, "read with ")
			r.msgs = append(r.msgs[:i:i], r.msgs[i+1:]...)
			break
		}
	}
	if old {
		out.Read = strings.TrimPrefix(out.Read+", letters of Windows-1252", ", ")
	}
	if len(t.rows) == 0 && !t.broken {
		r.fail(t.at(&t.head[0]), "empty-table", "the sheet has a header and no line", "type the scores under it")
		return nil
	}
	l := sheetLayout{r: r, out: out, t: t, where: r.samples(), codes: map[string]trial.KeyEntry{}, codeNames: newNames(), people: r.people(), sessions: r.sittings()}
	for _, k := range r.t.Panel.V.Key {
		l.codes[k.Code] = k
		l.codeNames.add(k.Code)
	}
	ragged := map[int]bool{} // lines whose cells may stand under the wrong columns
	for _, m := range r.msgs {
		ragged[m.Pos.Line] = ragged[m.Pos.Line] || m.Slug == "ragged-row"
	}
	if l.header(t) {
		for _, row := range t.rows {
			if !ragged[int(row[0].line)] {
				l.row(row)
			}
		}
	}
	return out
}

// fromWindows turns text that is not UTF-8 into it, taking it as Windows-1252,
// unless it is something else altogether, which r.text then tells.
func fromWindows(b []byte) ([]byte, bool) {
	if utf8.Valid(b) || looksUTF16(b) || strings.HasPrefix(string(b), "\xFF\xFE") || strings.HasPrefix(string(b), "\xFE\xFF") || strings.HasPrefix(string(b), "PK\x03\x04") {
		return b, false
	}
	for _, c := range b {
		if c >= 0x80 && charmap.Windows1252.DecodeByte(c) < 0xA0 || c >= 0x80 && charmap.Windows1252.DecodeByte(c) == utf8.RuneError {
			return b, false // a byte that the code page does not have
		}
	}
	out, err := charmap.Windows1252.NewDecoder().Bytes(b)
	return out, err == nil
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
