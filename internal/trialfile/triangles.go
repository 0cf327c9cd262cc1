package trialfile

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

var triangleTable = object[trial.TriangleSet]{noun: "a line of a table of triangles", fields: []field[trial.TriangleSet]{
	must(val("assessor", "who tastes", idCodec, func(x *trial.TriangleSet) *string { return &x.Assessor })),
	opt("session", "tasting session", idCodec, func(x *trial.TriangleSet) *trial.Opt[string] { return &x.Session }),
	must(val("set", "number of the set for this assessor, 1 is first", count(1, 10_000), func(x *trial.TriangleSet) *int { return &x.Set })),
	must(val("first", "code of the portion tasted first", idCodec, func(x *trial.TriangleSet) *string { return &x.Codes[0] })),
	must(val("second", "code of the second", idCodec, func(x *trial.TriangleSet) *string { return &x.Codes[1] })),
	must(val("third", "code of the third", idCodec, func(x *trial.TriangleSet) *string { return &x.Codes[2] })),
	opt("odd", "code of the portion that was named as the odd one", idCodec, func(x *trial.TriangleSet) *trial.Opt[string] { return &x.Odd }),
	opt("notes", "anything said", text, func(x *trial.TriangleSet) *trial.Opt[string] { return &x.Notes }),
}, finish: func(_ *reader, it *item, x *trial.TriangleSet) { x.At = it.at.pos }}

// readTriangles reads the table of triangles and holds it against the key.
func (r *reader) readTriangles(key *codebook) {
	p := &r.t.Panel.V
	if !p.TrianglesFile.Known {
		return
	}
	t := r.table(pathItem(p.TrianglesFile), true)
	if t == nil {
		return
	}
	portions := r.t.Portions()
	p.Triangles = r.triangleRows(t, func(x *trial.TriangleSet, it *item) bool {
		if !key.there {
			r.noKeyTo("triangles", p.TrianglesFile.At)
			return false
		}
		known := true
		for i, c := range x.Codes {
			if _, ok := key.of[c]; !ok {
				r.fail(it.get(triangleCells[i]).at, "unknown-code", fmt.Sprintf("the code %s is not in the key", quote(c)), r.nearest(c, r.codeNames()))
				known = false
			} else {
				known = known && portions.Knows(c) // else reported with the key
			}
		}
		if _, ok := portions.Odd(*x); known && !ok {
			r.fail(it.at, "no-triangle", fmt.Sprintf("by the key %s, %s and %s are not two alike and one other", x.Codes[0], x.Codes[1], x.Codes[2]), "correct the codes or the key")
			return false
		}
		return known
	})
}

var triangleCells = [3]string{"first", "second", "third"}

// triangleRows reads the lines of a table of triangles and gives those that keep
// takes and that are whole: three different codes, an odd one that is among them, each set of
// an assessor once and each code in one set.
func (r *reader) triangleRows(t *table, keep func(*trial.TriangleSet, *item) bool) []trial.TriangleSet {
	sets, used := map[string]diag.Pos{}, map[string]diag.Pos{}
	return eachRow(r, t, &triangleTable, func(x *trial.TriangleSet, it *item, _ []trial.TriangleSet) bool {
		if x.Assessor == "" || x.Set == 0 || slices.Contains(x.Codes[:], "") {
			return false // reported as a missing or bad value
		}
		key := x.Assessor + "\x00" + strconv.Itoa(x.Set)
		if first, dup := sets[key]; dup {
			r.say(diag.Error, it.get("set").at, "duplicate-id", fmt.Sprintf("set %d of %s stands twice", x.Set, quote(x.Assessor)), "", "number the sets of an assessor 1, 2, 3, or delete one of the lines", note(first, "first here"))
			return false
		}
		sets[key] = x.At
		sound := true
		for i, c := range x.Codes {
			if first, dup := used[c]; dup {
				r.say(diag.Error, it.get(triangleCells[i]).at, "duplicate-id", fmt.Sprintf("the code %s is served twice", quote(c)), "", "every portion of a triangle has a code of its own", note(first, "first here"))
				sound = false
			}
			used[c] = x.At
		}
		if x.Odd.Known && !slices.Contains(x.Codes[:], x.Odd.V) {
			r.fail(it.get("odd").at, "not-in-set", fmt.Sprintf("%s is not in this set", quote(x.Odd.V)), "write "+x.Codes[0]+", "+x.Codes[1]+" or "+x.Codes[2]+", or leave it blank")
			sound = false
		}
		return sound && keep(x, it)
	})
}

// triangleRows are the lines of a table of triangles. A blank odd is a place to
// write the answer.
func triangleRows(list []trial.TriangleSet) [][]string {
	var keys []string
	for _, k := range triangleTable.keys() {
		some := k != "session" && k != "notes"
		for i := range list {
			some = some || triangleCell(&list[i], k) != ""
		}
		if some {
			keys = append(keys, k)
		}
	}
	rows := [][]string{keys}
	for i := range list {
		var row []string
		for _, k := range keys {
			row = append(row, triangleCell(&list[i], k))
		}
		rows = append(rows, row)
	}
	return rows
}

func triangleCell(x *trial.TriangleSet, key string) string {
	if it := triangleTable.fields[triangleTable.find(key)].write(x); it != nil {
		return strings.TrimSpace(it.text)
	}
	return ""
}
