package trialfile

import (
	"encoding/csv"
	"slices"
	"strings"

	"tamis/internal/csvcell"
	"tamis/internal/trial"
)

// Style says how Write lays out a file.
type Style struct {
	Comments bool // a short explanation beside each key
}

// Write gives a trial as the text of a trial file. What stands in tables of its
// own (scores, key, logs) is named, not written; Files gives those too. Reading
// the result gives an equal trial.
func Write(t *trial.Trial, s Style) []byte {
	e := emitter{comments: s.Comments}
	e.entries(treeOf(t), 0)
	return []byte(e.b.String())
}

// treeOf is the trial as items, with the observed values at their places.
func treeOf(t *trial.Trial) *item {
	root := trialTable.toItem(t)
	cooks := root.get("cooks")
	names := make([]string, len(t.Measures))
	for i, m := range t.Measures {
		names[i] = m.Name
	}
	for i := range t.Cooks {
		c := &t.Cooks[i]
		at := cooks.list[i]
		pieces := at.get("pieces")
		addValues(at, c.Values, names)
		for j := range c.Pieces {
			addValues(pieces.list[j], c.Pieces[j].Values, names)
		}
		if pieces != nil { // pieces stay last
			for k, en := range at.entries {
				if en.value == pieces {
					at.entries = append(append(at.entries[:k:k], at.entries[k+1:]...), en)
					break
				}
			}
		}
	}
	return root
}

func addValues(it *item, values trial.Readings, names []string) {
	for _, n := range names {
		if v, ok := values.Get(n); ok {
			x := &item{}
			if !v.Missing {
				x = numberItem(v.V)
			}
			it.add(n, x, "")
		}
	}
}

// File is one file of a trial, its path relative to the trial's folder.
type File struct {
	Name string
	Data []byte
}

// Files gives the trial file under the given name and every table that it
// names, with what the trial holds of them. A file that is named for two
// purposes is written for the first.
func Files(t *trial.Trial, name string, s Style) []File {
	out := []File{{name, Write(t, s)}}
	done := map[string]bool{}
	put := func(name string, rows [][]string) {
		if !done[name] {
			done[name] = true
			out = append(out, File{name, csvText(rows)})
		}
	}
	for i := range t.Cooks {
		if c := &t.Cooks[i]; c.LogFile.Known {
			put(c.LogFile.V, logRows(c.Log))
		}
	}
	if p := t.Panel.V; t.Panel.Known {
		if p.KeyFile.Known {
			put(p.KeyFile.V, keyRows(p.Key))
		}
		if p.TrianglesFile.Known {
			put(p.TrianglesFile.V, triangleRows(p.Triangles))
		}
		if p.ScoresFile.Known {
			put(p.ScoresFile.V, scoreRows(t, p.Scores))
		}
	}
	return out
}

func csvText(rows [][]string) []byte {
	var b strings.Builder
	w := csv.NewWriter(&b)
	for _, r := range rows {
		_ = w.Write(csvcell.InertRow(r)) // a strings.Builder takes everything
	}
	w.Flush()
	return []byte(b.String())
}

func logRows(log []trial.LogPoint) [][]string {
	rows := [][]string{{"time", "core", "bath"}}
	for _, p := range log {
		row := []string{formatNumber(p.Minutes) + " min", "", ""}
		if p.Core.Known {
			row[1] = p.Core.V.String()
		}
		if p.Bath.Known {
			row[2] = p.Bath.V.String()
		}
		rows = append(rows, row)
	}
	return rows
}

func keyRows(key []trial.KeyEntry) [][]string {
	rows := [][]string{{"code", "piece"}}
	for _, k := range key {
		rows = append(rows, []string{k.Code, k.Piece})
	}
	return rows
}

// scoreRows writes the columns of which any line holds something. The cook is
// written where no piece says it.
func scoreRows(t *trial.Trial, scores []trial.Score) [][]string {
	type column struct {
		name string
		get  func(*trial.Score) string
	}
	var cols []column
	for i := range scoreTable.fields {
		f := &scoreTable.fields[i]
		cols = append(cols, column{f.key, func(s *trial.Score) string {
			it := f.write(s)
			if it == nil || f.key == "cook" && (s.Piece.Known || s.Code.Known) || f.key == "piece" && s.Code.Known {
				return ""
			}
			return it.text
		}})
	}
	cols = slices.DeleteFunc(cols, func(c column) bool {
		if len(scores) == 0 { // an empty sheet to fill in
			return c.name != "assessor" && c.name != "cook"
		}
		return c.name != "assessor" && !slices.ContainsFunc(scores, func(s trial.Score) bool { return c.get(&s) != "" })
	})
	for _, m := range t.Measures {
		if len(scores) == 0 && !m.FromWeights() || slices.ContainsFunc(scores, func(s trial.Score) bool { _, ok := s.Values.Get(m.Name); return ok }) {
			cols = append(cols, column{m.Name, func(s *trial.Score) string {
				if v, ok := s.Values.Get(m.Name); ok && !v.Missing {
					return formatNumber(v.V)
				}
				return ""
			}})
		}
	}
	rows := make([][]string, 1, len(scores)+1)
	for _, c := range cols {
		rows[0] = append(rows[0], c.name)
	}
	for i := range scores {
		row := make([]string, len(cols))
		for j, c := range cols {
			row[j] = c.get(&scores[i])
		}
		rows = append(rows, row)
	}
	return rows
}
