package trialfile

import (
	"fmt"
	"slices"
	"strings"

	"tamis/internal/csvcell"
	"tamis/internal/trial"
)

// SetRecord gives the files of a trial that a record changes, with what is new
// in it: tables first, the trial file last. Every other byte stays as it is,
// comments, order, separator, decimal commas and line ends included; a column
// that a table lacks comes last, and bare numbers stand under a header with their
// unit. The bytes of a file are asked for by its name in the folder of the trial.
//
// A table that cannot be changed in place is ErrTable, a place that the trial
// file lacks ErrNoPlace.
func SetRecord(read func(name string) ([]byte, error), t *trial.Trial, rec *Record) ([]File, error) {
	by := map[string][]*Recorded{}
	for i := range rec.Values {
		if v := &rec.Values[i]; !v.There {
			by[v.Table] = append(by[v.Table], v)
		}
	}
	var out []File
	for name, values := range by {
		doc, err := read(name)
		if err != nil {
			return nil, err
		}
		if name == t.Origin.Base {
			for _, v := range values {
				if doc, err = Set(doc, v.Value, v.Path...); err != nil {
					return nil, err
				}
			}
		} else if doc, err = setRows(doc, t, values); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		out = append(out, File{name, doc})
	}
	slices.SortFunc(out, func(a, b File) int { return strings.Compare(a.Name, b.Name) })
	if i := slices.IndexFunc(out, func(f File) bool { return f.Name == t.Origin.Base }); i >= 0 {
		trialFile := out[i]
		out = append(slices.Delete(out, i, i+1), trialFile)
	}
	return out, nil
}

// setRows fills in blank cells of a table of cooks or pieces.
func setRows(doc []byte, t *trial.Trial, values []*Recorded) ([]byte, error) {
	text := strings.TrimPrefix(string(doc), "\uFEFF")
	e, err := openTable(text)
	if err != nil {
		return nil, err
	}
	key := func(v *Recorded) string { return v.Path[len(v.Path)-1] }
	for _, v := range values {
		e.column(key(v))
	}
	keys := cookTable.keys()
	if values[0].Path[2] == "pieces" { // a table holds the one or the other
		keys = pieceTable.keys()
	}
	e.orderNew(keys, t)
	for _, v := range values {
		row := e.rowAt(v.Row)
		if row == nil {
			return nil, fmt.Errorf("%w: it has no line %d", ErrTable, v.Row)
		}
		i := slices.Index(e.names, key(v))
		if had := strings.TrimSpace(row.cells[i]); had != "" {
			return nil, fmt.Errorf("%w: line %d has %s under %s", ErrTable, v.Row, quote(had), key(v))
		}
		value := v.Value
		if key(v) != "notes" {
			value = strings.TrimSuffix(value, " "+e.units[i]) // it stands in the header
			value = e.decimal(value)
		}
		row.cells[i], row.changed = csvcell.Inert(value), true
	}
	return []byte(string(doc[:len(doc)-len(text)]) + e.String()), nil
}
