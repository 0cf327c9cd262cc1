package trialfile

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

// readTyped reads a table that somebody typed in and that is no part of the trial
// yet. Its rows are read by understood, which is told what is not the plain form
// of its text, such as "semicolons between cells". The result is nil when
// anything is an error; the trial is not altered. What says what is typed.
func readTyped[S any](path string, t *trial.Trial, v Vocabulary, what string, understood func(*reader, *table, string) *S) (*S, diag.List, error) {
	r := newReader(v)
	b, err := r.work.readRegular(atPath{}, path, maxCSV)
	file := diag.FileNamed(filepath.ToSlash(path))
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
	var out *S
	if table, read := r.typedTable(file, b); table != nil {
		if len(table.rows) == 0 && !table.broken {
			r.fail(table.at(&table.head[0]), "empty-table", "the sheet has a header and no line", "type the "+what+" under it")
		} else {
			out = understood(r, table, read)
		}
	}
	msgs := r.msgs.Sorted()
	if msgs.HasErrors() {
		return nil, msgs, nil
	}
	return out, msgs, nil
}

// typedTable parses the bytes of a typed table, and tells how they are written.
func (r *reader) typedTable(file diag.File, b []byte) (t *table, read string) {
	b, old := fromWindows(b)
	s, bom, ok := r.text(file, b)
	if !ok {
		return nil, ""
	}
	r.texts[file] = s
	t = r.parseCSV(file, s, bom)
	for i, m := range r.msgs {
		if m.Slug == "table-format" { // said with what was understood
			read = strings.TrimPrefix(m.Text, "read with ")
			r.msgs = append(r.msgs[:i:i], r.msgs[i+1:]...)
			break
		}
	}
	if old {
		read = strings.TrimPrefix(read+", letters of Windows-1252", ", ")
	}
	return t, read
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
