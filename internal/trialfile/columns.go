package trialfile

import (
	"fmt"
	"strings"

	"tamis/internal/diag"
)

// column is one header cell: its name, and its unit.
type column struct {
	name string
	at   place
	cell *cellStyle
	keys []*item // the parts of the name at its dots, each as a key
}

// nameAndUnit cuts a header such as "before (g)" or "before [g]" in two. The unit
// is "" where there is none.
func nameAndUnit(head string) (name, unit string) {
	body, closed := strings.CutSuffix(head, ")")
	if !closed {
		body, closed = strings.CutSuffix(head, "]")
	}
	open := strings.LastIndexAny(body, "()[]")
	if !closed || open < 0 || body[open] != '(' && body[open] != '[' {
		return head, ""
	}
	if name = strings.TrimSpace(body[:open]); name == "" {
		return head, ""
	}
	return name, strings.TrimSpace(body[open+1:])
}

// columns reads the header: "before (g)" is the column before with the unit g.
func (r *reader) columns(t *table) []column {
	out := make([]column, 0, len(t.head))
	styles := make([]cellStyle, len(t.head))
	first := map[string]diag.Pos{}
	for i := range t.head {
		h := &t.head[i]
		c := column{at: t.at(h), cell: &styles[i]}
		c.cell.commas = t.comma == ',' && !t.sure
		c.name, c.cell.unit = nameAndUnit(strings.TrimSpace(h.text))
		if c.name == "" {
			r.fail(c.at, "bad-header", "a column without a name", "name it, or delete the column")
		} else if p, dup := first[strings.ToLower(c.name)]; dup {
			r.say(diag.Error, c.at, "duplicate-column", fmt.Sprintf("the column %s stands twice", quote(c.name)), "", "rename or delete one of them", note(p, "first here"))
			c.name = ""
		} else {
			first[strings.ToLower(c.name)] = c.at.pos
		}
		c.keys = r.work.values.take(1 + strings.Count(c.name, "."))[:0]
		for part := range strings.SplitSeq(c.name, ".") {
			key := r.work.item(scalar, c.at)
			key.text, key.cell = part, c.cell
			c.keys = append(c.keys, key)
		}
		out = append(out, c)
	}
	return out
}

// rowReader makes the tree of one row after the other, in the same memory: a tree
// holds until the next is made.
type rowReader struct {
	r    *reader
	t    *table
	cols []column
	row  item
	room []item // cells, then groups
	used int
	flat bool // no column is dotted, so that every row has the same keys
}

func (r *reader) rowsOf(t *table, cols []column) *rowReader {
	n := 0
	for i := range cols {
		n += len(cols[i].keys)
	}
	w := &rowReader{r: r, t: t, cols: cols, room: r.work.items.take(n), row: item{entries: r.work.entries.take(len(cols))[:0]}, flat: n == len(cols)}
	for i := range cols {
		if w.flat && cols[i].name != "" {
			w.room[i].cell = cols[i].cell
			w.row.entries = append(w.row.entries, entry{key: cols[i].keys[0], value: &w.room[i]})
		}
	}
	return w
}

// blank is a new item of the row, without a value.
func (w *rowReader) blank(at place) *item {
	v := &w.room[w.used]
	w.used++
	*v = item{at: at, entries: v.entries[:0]}
	return v
}

func (w *rowReader) group(at place) *item {
	v := w.blank(at)
	v.kind = mapping
	return v
}

// item makes the tree of a row: dotted columns become groups, and a group whose
// cells are all blank is blank.
func (w *rowReader) item(row []cell) *item {
	it := w.tree(row)
	if !w.flat {
		prune(it)
	}
	return it
}

func (w *rowReader) tree(row []cell) *item {
	it := &w.row
	*it = item{kind: mapping, at: place{pos: w.t.rowAt(row)}, entries: it.entries}
	if w.flat {
		for i := range w.cols {
			w.fill(&w.room[i], &row[i])
		}
		return it
	}
	w.used, it.entries = 0, it.entries[:0]
	for i := range w.cols {
		c := &w.cols[i]
		if c.name == "" {
			continue
		}
		v := w.blank(place{})
		v.cell = c.cell
		w.fill(v, &row[i])
		w.put(it, c, 0, v)
	}
	return it
}

// fill makes an item the value of a cell.
func (w *rowReader) fill(v *item, c *cell) {
	v.at, v.bad, v.kind = w.t.at(c), false, blank
	if v.text = strings.TrimSpace(c.text); v.text != "" {
		v.kind = scalar
	}
}

// put places a cell into the tree of its row, by the parts of its name from the
// one given on.
func (w *rowReader) put(it *item, c *column, part int, v *item) {
	key, last := c.keys[part], part == len(c.keys)-1
	found := -1
	for i := range it.entries {
		if it.entries[i].key.text == key.text {
			found = i
		}
	}
	if found < 0 {
		if last {
			it.entries = append(it.entries, entry{key: key, value: v})
			return
		}
		it.entries = append(it.entries, entry{key: key, value: w.group(v.at)})
		found = len(it.entries) - 1
	}
	e := &it.entries[found]
	switch {
	case last && e.value.kind == blank:
		e.value = v
	case last && v.kind == blank:
	case !last && e.value.kind == blank:
		e.value = w.group(v.at)
		w.put(e.value, c, part+1, v)
	case !last && e.value.kind == mapping:
		w.put(e.value, c, part+1, v)
	case !last && v.kind == blank:
	case last && e.value.kind == mapping && allBlank(e.value):
		e.value = v
	default:
		w.r.fail(v.at, "contradiction", fmt.Sprintf("%s is given twice in this row", quote(key.text)), "leave one of the cells blank")
	}
}

func allBlank(it *item) bool {
	for _, e := range it.entries {
		if e.value.kind != blank && (e.value.kind != mapping || !allBlank(e.value)) {
			return false
		}
	}
	return true
}

// prune makes a group whose cells are all blank a blank.
func prune(it *item) {
	for i := range it.entries {
		if v := it.entries[i].value; v.kind == mapping {
			prune(v)
			if allBlank(v) {
				v.kind = blank
			}
		}
	}
}

// table reads and parses a CSV file once.
func (r *reader) table(it *item, mayLack bool) *table {
	name, ok := r.inFolder(it)
	if !ok {
		return nil
	}
	if t, done := r.tables[name]; done {
		return t
	}
	r.tables[name] = nil
	_, b, ok := r.named(it, maxCSV, mayLack)
	if !ok {
		return nil
	}
	file := diag.FileNamed(r.folder.display(name))
	s, bom, ok := r.text(file, b)
	if !ok {
		return nil
	}
	r.texts[file] = s
	t := r.parseCSV(file, s, bom)
	r.tables[name] = t
	if t != nil && len(t.rows) == 0 && !t.broken {
		sev, hint := diag.Warning, "fill in a row, or leave the file out"
		if mayLack && r.planned() {
			sev, hint = diag.Note, ""
		}
		r.say(sev, t.at(&t.head[0]), "empty-table", "the table has a header and no row", "", hint)
	}
	return t
}
