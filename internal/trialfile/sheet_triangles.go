package trialfile

import (
	"fmt"
	"slices"
	"strings"

	"tamis/internal/csvcell"
	"tamis/internal/diag"
	"tamis/internal/trial"
)

// answerTable is a sheet of triangles: that of the trial, in which only who, which
// set and what was named have to stand.
var answerTable = object[trial.TriangleSet]{noun: "a line of a sheet of triangles", fields: []field[trial.TriangleSet]{
	must(val("assessor", "who tasted", idCodec, func(x *trial.TriangleSet) *string { return &x.Assessor })),
	opt("session", "tasting session", idCodec, func(x *trial.TriangleSet) *trial.Opt[string] { return &x.Session }),
	must(val("set", "number of the set for this assessor, 1 is first", count(1, 10_000), func(x *trial.TriangleSet) *int { return &x.Set })),
	val("first", "code of the portion tasted first", text, func(x *trial.TriangleSet) *string { return &x.Codes[0] }),
	val("second", "code of the second", text, func(x *trial.TriangleSet) *string { return &x.Codes[1] }),
	val("third", "code of the third", text, func(x *trial.TriangleSet) *string { return &x.Codes[2] }),
	opt("odd", "code of the portion that was named as the odd one", text, func(x *trial.TriangleSet) *trial.Opt[string] { return &x.Odd }),
	opt("notes", "anything said", text, func(x *trial.TriangleSet) *trial.Opt[string] { return &x.Notes }),
}, finish: func(_ *reader, it *item, x *trial.TriangleSet) { x.At = it.at.pos }}

// ofTriangles reports whether a header is that of a sheet of triangles, and puts
// its names as the table has them.
func (r *reader) ofTriangles(t *table) bool {
	if _, ok := r.measure("odd"); ok {
		return false
	}
	odd := false
	for i := range t.head {
		odd = odd || loose(t.head[i].text) == "odd"
	}
	if !odd {
		return false
	}
	for i := range t.head {
		if key := loose(t.head[i].text); answerTable.find(key) >= 0 {
			t.head[i].text = key
		}
	}
	return true
}

// answers reads a sheet of triangles and holds every line against the sets of
// the trial. A set without an answer is passed over.
func (r *reader) answers(t *table, out *Sheet) *Sheet {
	out.Shape, out.By, out.Triangles = "a line a triangle", "set", true
	has := map[string]bool{}
	for _, h := range t.head {
		has[strings.TrimSpace(h.text)] = true
		if m, ok := r.measure(strings.TrimSpace(h.text)); ok {
			r.fail(t.at(&h), "contradiction", "the sheet has the odd ones of triangles, and scores of "+m.Name+" besides", "type them into two sheets: tamis scores --template, and with --triangles")
		}
	}
	for _, c := range []struct{ name, says, hint string }{
		{"assessor", "the sheet does not say who tasted", "add a column assessor"},
		{"set", "the sheet does not say which set an answer is of", "add a column set: the number of the set on the ballot, 1 is first"},
	} {
		if !has[c.name] && !r.nearColumn(t, c.name) {
			r.fail(t.at(&t.head[0]), "missing-column", c.says, c.hint)
		}
	}
	if len(r.t.Panel.V.Triangles) == 0 {
		r.fail(t.at(&t.head[0]), "no-triangles", "the sheet has the odd ones of triangles, and the trial has no triangles", "name their table under panel: triangles: FILE.csv")
	}
	if r.faults > 0 && !onlyRagged(r.msgs) {
		return out
	}
	sets, people := map[string]map[int]*trial.TriangleSet{}, r.people()
	where := map[string]*trial.TriangleSet{}
	for i := range r.t.Panel.V.Triangles {
		x := &r.t.Panel.V.Triangles[i]
		people.add(x.Assessor)
		if sets[x.Assessor] == nil {
			sets[x.Assessor] = map[int]*trial.TriangleSet{}
		}
		sets[x.Assessor][x.Set] = x
		for _, c := range x.Codes {
			where[c] = x
		}
	}
	ragged := raggedLines(r.msgs)
	out.Answers = eachRow(r, t, &answerTable, func(x *trial.TriangleSet, it *item, _ []trial.TriangleSet) bool {
		if x.Assessor == "" || x.Set == 0 || ragged[int(x.At.Line)] {
			return false // reported as a missing or bad value
		}
		before := r.faults
		if set := r.setOf(x, it, people, sets); set != nil {
			r.setHolds(x, it, set)
			if x.Odd.Known {
				r.oddOf(x, it, set, where)
			}
			x.Codes = set.Codes
		}
		if r.faults > before {
			return false
		}
		if !x.Odd.Known && !x.Notes.Known {
			out.Blank++
			return false
		}
		return true
	})
	return out
}

// nearColumn reports whether a column is nearly called so, which is told where
// the columns are looked at.
func (r *reader) nearColumn(t *table, name string) bool {
	return slices.ContainsFunc(t.head, func(h cell) bool {
		n, near := diag.Nearest(h.text, answerTable.keys())
		return near && n == name && answerTable.find(strings.TrimSpace(h.text)) < 0
	})
}

// raggedLines are the lines whose cells may stand under the wrong columns.
func raggedLines(msgs diag.List) map[int]bool {
	out := map[int]bool{}
	for _, m := range msgs {
		out[int(m.Pos.Line)] = out[int(m.Pos.Line)] || m.Slug == "ragged-row"
	}
	return out
}

func onlyRagged(msgs diag.List) bool {
	return !slices.ContainsFunc(msgs, func(m diag.Message) bool { return m.Severity == diag.Error && m.Slug != "ragged-row" })
}

// setOf finds the set that a line means.
func (r *reader) setOf(x *trial.TriangleSet, it *item, people *names, sets map[string]map[int]*trial.TriangleSet) *trial.TriangleSet {
	own := sets[x.Assessor]
	if len(own) == 0 {
		at := it.get("assessor").at
		if people.has(x.Assessor) {
			r.fail(at, "not-in-plan", fmt.Sprintf("there is no triangle for %s", quote(x.Assessor)), "check the name, or lay out the trial again with that assessor")
			return nil
		}
		r.fail(at, "unknown-assessor", fmt.Sprintf("there is no assessor %s", quote(x.Assessor)), r.nearest(x.Assessor, people))
		return nil
	}
	set := own[x.Set]
	if set == nil {
		var have []string
		for n := range own {
			have = append(have, fmt.Sprint(n))
		}
		slices.SortFunc(have, func(a, b string) int { return len(a)*100 - len(b)*100 + strings.Compare(a, b) })
		r.fail(it.get("set").at, "unknown-set", fmt.Sprintf("%s has no set %d", quote(x.Assessor), x.Set), "the sets of this assessor: "+strings.Join(have, ", "))
		return nil
	}
	if x.Session.Known && set.Session.Known && x.Session.V != set.Session.V {
		r.fail(here(x.Session.At), "not-in-plan", fmt.Sprintf("set %d of %s is tasted in session %s, this line says %s", x.Set, quote(x.Assessor), quote(set.Session.V), quote(x.Session.V)), "write "+set.Session.V)
		return nil
	}
	return set
}

// setHolds holds the codes of a line against those of its set, where it has them.
func (r *reader) setHolds(x *trial.TriangleSet, it *item, set *trial.TriangleSet) {
	for i, c := range x.Codes {
		if c == "" || strings.TrimSpace(c) == set.Codes[i] {
			continue
		}
		r.fail(it.get(triangleCells[i]).at, "contradiction", fmt.Sprintf("set %d of %s is %s, and the %s portion here is %s", x.Set, quote(x.Assessor), strings.Join(set.Codes[:], ", "), triangleCells[i], quote(c)),
			"write "+set.Codes[i]+", or correct the number of the set")
		return
	}
}

// oddOf holds the code that was named against the codes of its set.
func (r *reader) oddOf(x *trial.TriangleSet, it *item, set *trial.TriangleSet, where map[string]*trial.TriangleSet) {
	at := it.get("odd").at
	if slices.Contains(set.Codes[:], x.Odd.V) {
		return
	}
	choice := "write " + set.Codes[0] + ", " + set.Codes[1] + " or " + set.Codes[2] + ", or leave it blank"
	named := strings.FieldsFunc(x.Odd.V, func(c rune) bool { return strings.ContainsRune(" ,;/+&|", c) })
	inSet := 0
	for _, n := range named {
		if slices.Contains(set.Codes[:], n) {
			inSet++
		}
	}
	switch other := where[x.Odd.V]; {
	case len(named) > 1 && inSet > 0:
		r.fail(at, "two-answers", fmt.Sprintf("%s is more than one answer: one portion of a set is the odd one", quote(x.Odd.V)), "leave it blank where the ballot names two, and say so under notes")
	case other != nil && other.Assessor == x.Assessor:
		r.fail(at, "not-in-set", fmt.Sprintf("%s is in set %d of this assessor, not in set %d", quote(x.Odd.V), other.Set, x.Set), choice)
	case other != nil:
		r.fail(at, "not-in-set", fmt.Sprintf("%s is on the ballot of %s, not in set %d of %s", quote(x.Odd.V), quote(other.Assessor), x.Set, quote(x.Assessor)), choice)
	default:
		hint := choice
		if n, near := diag.Nearest(x.Odd.V, set.Codes[:]); near {
			hint = "did you mean " + n + "?"
		}
		r.fail(at, "not-in-set", fmt.Sprintf("%s is not in set %d of %s", quote(x.Odd.V), x.Set, quote(x.Assessor)), hint)
	}
}

// SetTriangles writes answers into a table of triangles, each into the line that
// its At names, and leaves every other byte as it is. Blank cells are filled in;
// what stands in the others is kept.
func SetTriangles(doc []byte, answers []trial.TriangleSet) ([]byte, error) {
	text := strings.TrimPrefix(string(doc), "\uFEFF")
	e, err := openTable(text)
	if err != nil {
		return nil, err
	}
	for i := range answers {
		for _, key := range []string{"odd", "notes"} {
			if triangleCell(&answers[i], key) != "" {
				e.column(key)
			}
		}
	}
	e.orderNew(triangleTable.keys(), &trial.Trial{})
	for i := range answers {
		row := e.rowAt(int(answers[i].At.Line))
		if row == nil {
			return nil, fmt.Errorf("%w: it has no line %d", ErrTable, answers[i].At.Line)
		}
		for _, key := range []string{"odd", "notes"} {
			j := slices.Index(e.names, key)
			if v := triangleCell(&answers[i], key); v != "" && strings.TrimSpace(row.cells[j]) == "" {
				row.cells[j], row.changed = csvcell.Inert(v), true
			}
		}
	}
	return []byte(string(doc[:len(doc)-len(text)]) + e.String()), nil
}
