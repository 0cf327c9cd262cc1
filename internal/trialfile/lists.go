package trialfile

import (
	"fmt"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

// readList reads objects from a list, or from the table that {from: FILE}
// names. For pieces, of is their cook: a table with a column cook gives it only
// its own rows.
func readList[E any](r *reader, it *item, o *object[E], of *trial.Cook) []E {
	var out []E
	switch from := it.get("from"); {
	case it.kind == list:
		out = make([]E, 0, len(it.list))
		for _, e := range it.list {
			if e.bad {
				continue
			}
			if e.kind == blank {
				r.fail(e.at, "blank-entry", "the list has an entry without a value", "remove it, or fill it in")
				continue
			}
			out = readOne(r, e, o, out)
		}
	case from != nil:
		for _, e := range it.entries {
			if e.key.text != "from" {
				r.fail(e.key.at, "unknown-key", "unknown key "+quote(e.key.text)+" beside from", "keep only from: "+from.text)
			}
		}
		if from.kind != blank {
			out = readTable(r, from, o, of)
		}
	default:
		r.fail(it.at, "not-a-list", fmt.Sprintf("expected a list, found %s", it.describe()), "start each entry with a dash, or write {from: table.csv}")
	}
	return out
}

func readTable[E any](r *reader, from *item, o *object[E], of *trial.Cook) []E {
	t := r.table(from, false)
	if t == nil {
		return nil
	}
	s := r.share(t, of != nil)
	if s.cookAt >= 0 && of.ID == "" { // the column cook is no key of a piece
		r.fail(from.at, "missing-key", "a cook needs its id where its pieces are in a table with a column cook", "write id: 1, or another name, before the pieces")
	}
	if !s.probed {
		probe(r, t, s.cols, o)
		s.probed = true
	}
	each := s.each
	if each == nil {
		each = r.rowsOf(t, s.cols)
	}
	if of != nil { // nothing in a piece is read from a table
		s.each = each
	}
	if s.cookAt < 0 {
		out := make([]E, 0, len(t.rows))
		for _, row := range t.rows {
			out = readOne(r, each.item(row), o, out)
		}
		return out
	}
	own := s.of[of.ID]
	out := make([]E, 0, own.rows)
	for i, n := own.first, own.rows; n > 0; i, n = s.next[i], n-1 {
		out = readOne(r, each.item(t.rows[i]), o, out)
	}
	return out
}

// readOne reads an object into its place at the end of a list that has room for
// it, which is zero; one that cannot be read gets none.
func readOne[E any](r *reader, it *item, o *object[E], out []E) []E {
	n := len(out)
	out = out[:n+1]
	if !o.readInto(r, it, &out[n]) {
		var none E
		out[n] = none
		return out[:n]
	}
	return out
}

// sharedTable is a table that one cook or several take their pieces from: which
// rows belong to which.
type sharedTable struct {
	cols   []column
	cookAt int // the column cook; -1 where there is none
	of     map[string]rowsOfCook
	next   []int32    // for each row, the next of its cook
	probed bool       // its header was looked at
	each   *rowReader // of pieces, from one cook to the next
}

// rowsOfCook are the rows of one cook in a table that several share.
type rowsOfCook struct{ first, last, rows int32 }

// share looks at the header of a table once, and for pieces at its column cook.
func (r *reader) share(t *table, pieces bool) *sharedTable {
	if s := r.shared[t]; s != nil {
		return s
	}
	cols := r.columns(t)
	s := &sharedTable{cols: cols, cookAt: -1}
	r.shared[t] = s
	for i := range cols {
		if pieces && cols[i].name == "cook" {
			s.cookAt = i
		}
	}
	if s.cookAt >= 0 {
		cols[s.cookAt].name = ""
		s.of, s.next = map[string]rowsOfCook{}, make([]int32, len(t.rows))
		for i, row := range t.rows {
			id := strings.TrimSpace(row[s.cookAt].text)
			own := s.of[id]
			if own.rows == 0 {
				own.first = int32(i)
			} else {
				s.next[own.last] = int32(i)
			}
			own.last, own.rows = int32(i), own.rows+1
			s.of[id] = own
		}
	}
	return s
}

// probe looks at the names of the columns alone, so that a wrong one is found
// also where its cells are blank. Where the file declares no measures, a column
// of numbers that is no key becomes one.
func probe[E any](r *reader, t *table, cols []column, o *object[E]) {
	if len(t.rows) == 0 && r.implied { // whether a column is a measure shows in its cells
		return
	}
	if r.implied && o.values != nil {
		for i, c := range cols {
			if _, near := diag.Nearest(c.name, o.keys()); c.name != "" && len(c.keys) == 1 && o.find(c.name) < 0 && !near {
				r.implyColumn(t, i, c)
			}
		}
	}
	names := make([]cell, len(cols)) // blank, at the places of the header
	for i := range names {
		names[i] = t.head[i]
		names[i].text = ""
	}
	it := r.rowsOf(t, cols).tree(names)
	markProbe(it)
	var v E
	o.readInto(r, it, &v)
}

func markProbe(it *item) {
	it.probe = true
	for _, e := range it.entries {
		markProbe(e.value)
	}
}

// implyColumn declares the measure of a column whose cells are numbers.
func (r *reader) implyColumn(t *table, i int, c column) {
	if _, ok := r.measure(c.name); ok {
		return
	}
	numbers := 0
	for _, row := range t.rows {
		v := &item{kind: scalar, text: strings.TrimSpace(row[i].text), cell: c.cell}
		if v.text != "" && !isNumber(v) {
			return
		}
		numbers += int(b2f(v.text != ""))
	}
	if numbers > 0 {
		r.imply(&item{kind: scalar, text: c.name, at: c.at})
	}
}

// imply takes a name as a measure that the file does not declare.
func (r *reader) imply(key *item) bool {
	name, ok := idCodec.read(r, key)
	m := trial.Measure{Name: name, Kind: trial.Amount, At: key.at.pos}
	if ok {
		r.t.Measures = append(r.t.Measures, m)
		r.say(diag.Note, key.at, "implied-measure", fmt.Sprintf("%s is taken as a measure", quote(name)), "", fmt.Sprintf("say more about it under measures, like %s: {scale: 0 to 10}", name))
	}
	return ok
}

// unclaimed reports rows of shared tables whose cook does not exist.
func (r *reader) unclaimed() {
	for t, s := range r.shared {
		for id, own := range s.of {
			if r.samples().of[id].isCook || r.noCooks() {
				continue
			}
			for i, n := own.first, own.rows; n > 0; i, n = s.next[i], n-1 {
				r.fail(t.at(&t.rows[i][s.cookAt]), "unknown-cook", fmt.Sprintf("there is no cook %s", quote(id)), r.nearest(id, r.samples().cookNames()))
			}
		}
	}
}

// value reads a key that is the name of a measure and reports whether it was.
// known are the other keys that it may have been meant to be.
func (r *reader) value(e entry, known func() []string, into *trial.Readings) bool {
	name := e.key.text
	m, ok := r.measureOf(e.key)
	if !ok {
		if !r.implied || !isNumber(e.value) {
			return false
		}
		if _, near := diag.Nearest(name, known()); near {
			return false
		}
		if !r.imply(e.key) {
			return true
		}
		m, _ = r.measureOf(e.key)
	}
	if m.FromWeights() {
		if e.value.kind != blank {
			r.fail(e.value.at, "contradiction", quote(name)+" is computed from the weights", "remove the value, or remove from: weights")
		}
		return true
	}
	if *into == nil {
		*into = r.roomForReadings()
	}
	into.Set(name, r.reading(e.value, m))
	return true
}

// readingRows is for how many samples room for readings is made at a time.
const readingRows = 32

// roomForReadings is room for a reading of every measure, in a row of such room.
func (r *reader) roomForReadings() trial.Readings {
	n := len(r.t.Measures)
	if len(r.readings) < n {
		r.readings = make(trial.Readings, readingRows*n)
	}
	out := r.readings[:0:n]
	r.readings = r.readings[n:]
	return out
}

// reading reads one observed value and holds it against the scale. After a
// fault the place counts as missing.
func (r *reader) reading(it *item, m *trial.Measure) trial.Reading {
	out := trial.Reading{Missing: true, At: it.at.pos}
	if it.kind == blank {
		return out
	}
	if m.Kind == trial.YesNo {
		s, ok := r.one(it, "yes or no")
		if !ok {
			return out
		}
		v, ok := parseYesNo(s)
		if s = strings.TrimSpace(s); !ok && (s == "0" || s == "1") {
			v, ok = s == "1", true
		}
		if !ok {
			r.fail(it.at, "yes-or-no", fmt.Sprintf("%s: expected yes or no, found %s", m.Name, quote(s)), "write yes or no, or leave it blank")
			return out
		}
		return trial.Reading{V: b2f(v), At: it.at.pos}
	}
	v, ok := r.number(it, m.Unit.Or(""))
	if !ok {
		return out
	}
	if m.Kind != trial.Amount && !m.Scale.Contains(v) {
		r.fail(it.at, "out-of-scale", fmt.Sprintf("%s lies outside the scale of %s", formatNumber(v), m.Name),
			fmt.Sprintf("the scale is %s to %s; leave it blank where there is no score", formatNumber(m.Scale.Low), formatNumber(m.Scale.High)))
		return out
	}
	return trial.Reading{V: v, At: it.at.pos}
}
