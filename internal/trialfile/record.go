package trialfile

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// recordLine is one line of a typed record sheet: a piece, or a cook that lists
// no pieces, with what was weighed, timed and seen.
type recordLine struct {
	name string
	in   trial.Opt[trial.Clock] // into the bath, with all of its cook
	p    trial.Piece
}

var recordTable = object[recordLine]{noun: "a line of a record sheet", fields: []field[recordLine]{
	must(val("piece", "id of the piece, or of a cook without pieces", idCodec, func(l *recordLine) *string { return &l.name })),
	opt("thickness", "at its thickest", length, func(l *recordLine) *trial.Opt[quantity.Length] { return &l.p.Thickness }),
	opt("before", "mass raw", mass, func(l *recordLine) *trial.Opt[quantity.Mass] { return &l.p.Before }),
	opt("brined", "mass after the brine", mass, func(l *recordLine) *trial.Opt[quantity.Mass] { return &l.p.Brined }),
	opt("in", "clock time into the bath", clock, func(l *recordLine) *trial.Opt[trial.Clock] { return &l.in }),
	opt("out", "clock time out of the bath", clock, func(l *recordLine) *trial.Opt[trial.Clock] { return &l.p.Out }),
	opt("after", "mass after the bath", mass, func(l *recordLine) *trial.Opt[quantity.Mass] { return &l.p.After }),
	opt("served", "clock time on the plate", clock, func(l *recordLine) *trial.Opt[trial.Clock] { return &l.p.Served }),
	opt("served_at", "temperature at the bite", temperature, func(l *recordLine) *trial.Opt[quantity.Temperature] { return &l.p.ServedAt }),
	opt("notes", "anything seen", text, func(l *recordLine) *trial.Opt[string] { return &l.p.Notes }),
}, values: func(l *recordLine) *map[string]trial.Reading { return &l.p.Values },
	finish: func(_ *reader, it *item, l *recordLine) { l.p.At = it.at.pos }}

// Recorded is one value of a record sheet and its place in the trial file.
type Recorded struct {
	Line  int // of the sheet
	Name  string
	Key   string // as the column is called
	Value string // as it is written into the trial
	Path  []string
	There bool   // the trial has it already
	Table string // the table that the cook or the piece stands in; "" for the trial file itself
}

// Record is a record sheet that somebody typed in, read against its trial.
type Record struct {
	Read   string     // what is not the plain form of its text; "" for none
	Values []Recorded // in the order of the sheet
	Lines  int        // with at least one value
	Blank  int        // without any
}

// Added counts the values that are new.
func (r *Record) Added() (n int) {
	for i := range r.Values {
		if !r.Values[i].There {
			n++
		}
	}
	return n
}

// ReadRecord reads a record sheet (CSV) and holds every line against the trial:
// a line for each piece, or for each cook that lists none, with columns
// thickness, before, brined, in, out, after, served, served_at, notes and
// measures. A blank cell says nothing. In is a time of the whole cook, and so is
// out where its pieces agree. A value that contradicts the trial is an error.
//
// All problems are in the list; the record is nil when any of them is an error.
// The error result is a failure to read the file itself. The trial is not altered.
func ReadRecord(path string, t *trial.Trial, v Vocabulary) (*Record, diag.List, error) {
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
	out := r.record(file, b)
	msgs := r.msgs.Sorted()
	if msgs.HasErrors() || out == nil {
		return nil, msgs, nil
	}
	return out, msgs, nil
}

// record reads the bytes of a record sheet.
func (r *reader) record(file string, b []byte) *Record {
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
	out := &Record{}
	for i, m := range r.msgs {
		if m.Slug == "table-format" { // said by the record itself
			out.Read = strings.TrimPrefix(m.Text, "read with ")
			r.msgs = append(r.msgs[:i:i], r.msgs[i+1:]...)
			break
		}
	}
	if old {
		out.Read = strings.TrimPrefix(out.Read+", letters of Windows-1252", ", ")
	}
	cols := r.columns(t)
	has := false
	for _, c := range cols {
		has = has || c.name == "piece"
	}
	switch {
	case !has:
		r.fail(t.at(&t.head[0]), "missing-column", "the sheet does not say which piece a line is of", "add a column piece")
	case len(t.rows) == 0 && !t.broken:
		r.fail(t.at(&t.head[0]), "empty-table", "the sheet has a header and no line", "type the record under it")
	}
	if r.faults > 0 {
		return nil
	}
	return r.recordLines(t, cols, out)
}

// owner is where a line belongs.
type owner struct {
	cook  int
	piece int // -1 for a cook without pieces
}

func (r *reader) recordLines(t *table, cols []column, out *Record) *Record {
	where, known := map[string]owner{}, newNames()
	for i := range r.t.Cooks {
		c := &r.t.Cooks[i]
		if len(c.Pieces) == 0 {
			where[c.ID] = owner{i, -1}
			known.add(c.ID)
		}
		for j := range c.Pieces {
			if id := c.Pieces[j].ID; id != "" {
				where[id] = owner{i, j}
				known.add(id)
			}
		}
	}
	type entered struct {
		recordLine
		of owner
	}
	first := map[string]diag.Pos{}
	var lines []entered
	rows := r.rowsOf(t, cols)
	for _, row := range t.rows {
		it := rows.item(row)
		var l recordLine
		before := r.faults
		recordTable.readInto(r, it, &l)
		if l.name == "" || r.faults > before {
			continue
		}
		at := it.at
		if v := it.get("piece"); v != nil {
			at = v.at
		}
		o, ok := where[l.name]
		if !ok {
			r.fail(at, "unknown-piece", "there is no piece "+quote(l.name), r.nearest(l.name, known))
			continue
		}
		if p, dup := first[l.name]; dup {
			r.say(diag.Error, at, "recorded-twice", quote(l.name)+" stands twice", "", "keep one of the two lines", note(p, "first here"))
			continue
		}
		first[l.name] = at.pos
		lines = append(lines, entered{l, o})
	}
	// In is a time of the cook, and out where all lines of it say the same.
	started, left, apart := map[int]trial.Opt[trial.Clock]{}, map[int]trial.Opt[trial.Clock]{}, map[int]bool{}
	for _, l := range lines {
		if have := started[l.of.cook]; l.in.Known && have.Known && have.V != l.in.V {
			r.say(diag.Error, here(l.in.At), "contradiction", fmt.Sprintf("cook %s went in at %s by this line and at %s by another", r.t.Cooks[l.of.cook].ID, l.in.V, have.V), "",
				"a cook has one time into the bath; correct one of the two", note(have.At, "the other"))
		} else if l.in.Known && !have.Known {
			started[l.of.cook] = l.in
		}
		if have := left[l.of.cook]; l.p.Out.Known && have.Known && have.V != l.p.Out.V {
			apart[l.of.cook] = true
		} else if l.p.Out.Known && !have.Known {
			left[l.of.cook] = l.p.Out
		}
	}
	done := map[int]map[string]bool{}
	for i := range lines {
		l := &lines[i]
		n := len(out.Values)
		r.recorded(out, &l.recordLine, l.of, apart[l.of.cook], done)
		if len(out.Values) == n {
			out.Blank++
		} else {
			out.Lines++
		}
	}
	if r.faults > 0 {
		return nil
	}
	return out
}

// recorded takes the values of one line.
func (r *reader) recorded(out *Record, l *recordLine, o owner, apart bool, done map[int]map[string]bool) {
	c := &r.t.Cooks[o.cook]
	base := []string{"cooks", c.ID}
	have := recordLine{in: c.Started, p: trial.Piece{Out: c.Out, Served: c.Served, ServedAt: c.ServedAt, Notes: c.Notes, Values: c.Values}}
	if o.piece >= 0 {
		base = append(base, "pieces", l.name)
		have.p = c.Pieces[o.piece]
		if !have.p.Out.Known {
			have.p.Out = c.Out
		}
	}
	add := func(key, value string, at diag.Pos, known, same bool, old string, path []string) {
		if known && !same {
			r.fail(here(at), "conflict", fmt.Sprintf("%s of %s is %s here and %s in the trial", key, quote(l.name), value, old), "correct the sheet, or the trial by hand")
			return
		}
		from := c.At.File
		if path[2] == "pieces" {
			from = have.p.At.File
		}
		if from == r.t.Origin.File {
			from = ""
		}
		out.Values = append(out.Values, Recorded{Line: l.p.At.Line, Name: l.name, Key: key, Value: value, Path: path, There: known, Table: from})
	}
	onCook := func(key string) bool { // a time that the cook has once
		if done[o.cook] == nil {
			done[o.cook] = map[string]bool{}
		}
		again := done[o.cook][key]
		done[o.cook][key] = true
		return !again
	}
	near := func(a, b float64) bool { return math.Abs(a-b) < 1e-9*math.Max(1, math.Abs(b)) }
	for i := range recordTable.fields {
		f := &recordTable.fields[i]
		it, was := f.write(l), f.write(&have)
		if it == nil || f.key == "piece" {
			continue
		}
		path := append(append([]string{}, base...), f.key)
		old, at, same := "", l.p.At, false
		if was != nil {
			old, same = was.text, was.text == it.text
		}
		switch f.key {
		case "thickness":
			at, same = l.p.Thickness.At, near(l.p.Thickness.V.Millimetres(), have.p.Thickness.V.Millimetres())
		case "before":
			at, same = l.p.Before.At, near(l.p.Before.V.Grams(), have.p.Before.V.Grams())
		case "brined":
			at, same = l.p.Brined.At, near(l.p.Brined.V.Grams(), have.p.Brined.V.Grams())
		case "after":
			at, same = l.p.After.At, near(l.p.After.V.Grams(), have.p.After.V.Grams())
		case "served_at":
			at, same = l.p.ServedAt.At, near(l.p.ServedAt.V.Celsius(), have.p.ServedAt.V.Celsius())
		case "served":
			at = l.p.Served.At
		case "notes":
			at = l.p.Notes.At
		case "in":
			at, path = l.in.At, []string{"cooks", c.ID, "started"}
			if !onCook("in") {
				continue
			}
		case "out":
			at = l.p.Out.At
			if !apart {
				path = []string{"cooks", c.ID, "out"}
				if !onCook("out") && (was == nil || same) {
					continue
				}
			}
		}
		if o.piece < 0 && (f.key == "thickness" || f.key == "before" || f.key == "brined" || f.key == "after") {
			r.fail(here(at), "no-piece", fmt.Sprintf("cook %s lists no pieces, so it has no %s", c.ID, f.key), "list its pieces in the trial")
			continue
		}
		add(f.key, it.text, at, was != nil, same, old, path)
	}
	for _, m := range r.t.Measures {
		v, ok := l.p.Values[m.Name]
		if !ok || v.Missing {
			continue
		}
		write := func(x float64) string {
			if m.Kind == trial.YesNo {
				return map[bool]string{true: "yes", false: "no"}[x != 0]
			}
			return formatNumber(x)
		}
		old, known := have.p.Values[m.Name]
		known = known && !old.Missing
		add(m.Name, write(v.V), v.At, known, old.V == v.V, write(old.V), append(append([]string{}, base...), m.Name))
	}
}

// SetRecord writes what is new in a record into the text of the trial file, and
// leaves every other byte as it is. Cooks or pieces that stand in tables of their
// own are ErrNoPlace.
func SetRecord(doc []byte, rec *Record) ([]byte, error) {
	var err error
	for i := range rec.Values {
		v := &rec.Values[i]
		if !v.There && v.Table != "" {
			return nil, fmt.Errorf("%w: %s stands in %s", ErrNoPlace, v.Name, v.Table)
		}
		if !v.There {
			if doc, err = Set(doc, v.Value, v.Path...); err != nil {
				return nil, err
			}
		}
	}
	return doc, nil
}
