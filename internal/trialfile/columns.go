package trialfile

import (
	"fmt"
	"regexp"
	"strings"

	"tamis/internal/diag"
)

// column is one header cell: its name, in parts at the dots, and its unit.
type column struct {
	name  string
	parts []string
	at    place
	cell  *cellStyle
	key   *item // the name, or its last part
}

var unitInHeader = regexp.MustCompile(`^(.*?)\s*[(\[]\s*([^()\[\]]+?)\s*[)\]]$`)

// columns reads the header: "before (g)" is the column before with the unit g.
func (r *reader) columns(t *table) []column {
	out := make([]column, 0, len(t.head))
	first := map[string]diag.Pos{}
	for _, h := range t.head {
		c := column{name: strings.TrimSpace(h.text), at: h.at, cell: &cellStyle{}}
		if m := unitInHeader.FindStringSubmatch(c.name); m != nil && m[1] != "" {
			c.name, c.cell.unit = m[1], m[2]
		}
		if c.name == "" {
			r.fail(c.at, "bad-header", "a column without a name", "name it, or delete the column")
		} else if p, dup := first[strings.ToLower(c.name)]; dup {
			r.say(diag.Error, c.at, "duplicate-column", fmt.Sprintf("the column %s stands twice", quote(c.name)), "", "rename or delete one of them", note(p, "first here"))
			c.name = ""
		} else {
			first[strings.ToLower(c.name)] = h.at.pos
		}
		c.parts = strings.Split(c.name, ".")
		c.key = &item{kind: scalar, text: c.parts[len(c.parts)-1], at: c.at, cell: c.cell}
		out = append(out, c)
	}
	return out
}

// rowItem makes the tree of one row: dotted columns become groups.
func (r *reader) rowItem(cols []column, row []cell) *item {
	it := r.rowTree(cols, row)
	prune(it)
	return it
}

func (r *reader) rowTree(cols []column, row []cell) *item {
	it := &item{kind: mapping, at: place{pos: row[0].at.pos}, entries: make([]entry, 0, len(cols))}
	values := make([]item, len(cols))
	for i, c := range cols {
		if c.name == "" {
			continue
		}
		v := &values[i]
		*v = item{kind: scalar, text: strings.TrimSpace(row[i].text), at: row[i].at, cell: c.cell}
		if v.text == "" {
			v.kind = blank
		}
		r.put(it, c, c.parts, v)
	}
	return it
}

// put places a cell into the tree of its row.
func (r *reader) put(it *item, c column, parts []string, v *item) {
	found := -1
	for i, e := range it.entries {
		if e.key.text == parts[0] {
			found = i
		}
	}
	if found < 0 {
		if len(parts) == 1 {
			it.entries = append(it.entries, entry{key: c.key, value: v})
			return
		}
		key := &item{kind: scalar, text: parts[0], at: c.at, cell: c.cell}
		it.entries = append(it.entries, entry{key: key, value: &item{at: v.at}})
		found = len(it.entries) - 1
	}
	e := &it.entries[found]
	switch {
	case len(parts) == 1 && e.value.kind == blank:
		e.value = v
	case len(parts) == 1 && v.kind == blank:
	case len(parts) > 1 && e.value.kind != mapping && v.kind == blank:
		if e.value.kind == blank {
			e.value = &item{kind: mapping, at: v.at}
			r.put(e.value, c, parts[1:], v)
		}
	case len(parts) > 1 && (e.value.kind == blank || e.value.kind == mapping):
		if e.value.kind == blank {
			e.value = &item{kind: mapping, at: v.at}
		}
		r.put(e.value, c, parts[1:], v)
	case len(parts) == 1 && e.value.kind == mapping && allBlank(e.value):
		e.value = v
	default:
		r.fail(v.at, "contradiction", fmt.Sprintf("%s is given twice in this row", quote(parts[0])), "leave one of the cells blank")
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
				it.entries[i].value = &item{at: v.at}
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
	file := r.folder.display(name)
	s, bom, ok := r.text(file, b)
	if !ok {
		return nil
	}
	r.lines[file] = splitLines(s)
	t := r.parseCSV(file, s, bom)
	r.tables[name] = t
	if t != nil && len(t.rows) == 0 && !t.broken {
		sev, hint := diag.Warning, "fill in a row, or leave the file out"
		if mayLack && r.planned() {
			sev, hint = diag.Note, ""
		}
		r.say(sev, t.head[0].at, "empty-table", "the table has a header and no row", "", hint)
	}
	return t
}
