package trialfile

import (
	"fmt"
	"math"
	"path/filepath"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

// owner is where a line belongs.
type owner struct {
	cook  int
	piece int // -1 for a cook without pieces
}

// fileOf is the file that a place of the trial stands in, by its name in the
// folder of the trial.
func (r *reader) fileOf(p diag.Pos) string {
	for _, name := range r.t.Origin.Files {
		if filepath.Join(filepath.Dir(r.t.Origin.File), filepath.FromSlash(name)) == filepath.Clean(filepath.FromSlash(p.File.String())) {
			return name
		}
	}
	return r.t.Origin.Base
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
		stands := c.At
		if path[2] == "pieces" {
			stands = have.p.At
		}
		v := Recorded{Line: int(l.p.At.Line), Name: l.name, Key: key, Value: value, Path: path, There: known, Table: r.fileOf(stands)}
		if v.Table != r.t.Origin.Base {
			v.Row = int(stands.Line)
		}
		out.Values = append(out.Values, v)
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
		v, ok := l.p.Values.Get(m.Name)
		if !ok || v.Missing {
			continue
		}
		write := func(x float64) string {
			if m.Kind == trial.YesNo {
				return map[bool]string{true: "yes", false: "no"}[x != 0]
			}
			return formatNumber(x)
		}
		old, known := have.p.Values.Get(m.Name)
		known = known && !old.Missing
		add(m.Name, write(v.V), v.At, known, old.V == v.V, write(old.V), append(append([]string{}, base...), m.Name))
	}
}
