package trialfile

import (
	"slices"

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
}, values: func(l *recordLine) *trial.Readings { return &l.p.Values },
	finish: func(_ *reader, it *item, l *recordLine) { l.p.At = it.at.pos }}

// Recorded is one value of a record sheet and its place in the trial file.
type Recorded struct {
	Line  int // of the sheet
	Name  string
	Key   string // as the column is called
	Value string // as it is written into the trial
	Path  []string
	There bool   // the trial has it already
	Table string // the file in the trial's folder that the cook or the piece stands in
	Row   int    // its line there; 0 in the trial file itself
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
	return readTyped(path, t, v, "record", (*reader).record)
}

// record reads the table of a record sheet.
func (r *reader) record(t *table, read string) *Record {
	cols := r.columns(t)
	if !slices.ContainsFunc(cols, func(c column) bool { return c.name == "piece" }) {
		r.fail(t.at(&t.head[0]), "missing-column", "the sheet does not say which piece a line is of", "add a column piece")
	}
	if r.faults > 0 {
		return nil
	}
	return r.recordLines(t, cols, &Record{Read: read})
}
