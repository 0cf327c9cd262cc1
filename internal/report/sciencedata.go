package report

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"

	"tamis/internal/csvcell"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// rawTable is data as they were written down.
type rawTable struct {
	name, words string
	head        []string
	rows        [][]string
}

// data are the numbers as they were written down, to read and to download.
func (s *science) data() {
	tables := rawTables(s.rec.Trial)
	if len(tables) == 0 {
		return
	}
	s.section("data", "Data")
	s.p("As they were written down. Tasters appear by number; temperatures are in °C. A blank cell has no value.")
	var links []save
	base := strings.TrimSuffix(strings.TrimSuffix(slug(baseName(s.r.Trial.File)), "-yaml"), "-yml")
	if base == "" {
		base = "trial"
	}
	for _, t := range tables {
		links = append(links, dataFile(base+"-"+t.name+".csv", "text/csv", t.csv(), capital(t.words)+" as CSV ("+strconv.Itoa(len(t.rows))+" rows)"))
	}
	if x := s.residualTable(); len(x.rows) > 0 {
		links = append(links, dataFile(base+"-"+x.name+".csv", "text/csv", x.csv(), capital(x.words)+" as CSV ("+strconv.Itoa(len(x.rows))+" rows)"))
	}
	s.add(block{Files: links})
	for _, t := range tables {
		if t.name == "scores" {
			t = t.without(s.rec.Trial)
		}
		v := s.table(phrase(capital(t.words)), columnsOf(t)...)
		for _, r := range t.rows {
			cells := make([]any, len(r))
			for i, c := range r {
				cells[i] = c
			}
			v.row(cells...)
		}
		s.folded(capital(t.words), v)
	}
}

func baseName(file string) string {
	file = clean(file)
	return file[strings.LastIndexAny(file, `/\`)+1:]
}

// columnsOf are the columns of a table; those of numbers alone are set as such.
func columnsOf(t rawTable) []string {
	out := make([]string, len(t.head))
	for j, h := range t.head {
		out[j] = clean(h)
		numbers, filled := true, false
		for _, r := range t.rows {
			if r[j] == "" {
				continue
			}
			filled = true
			if _, err := strconv.ParseFloat(r[j], 64); err != nil {
				numbers = false
				break
			}
		}
		if numbers && filled && j > 0 {
			out[j] = "#" + out[j]
		}
	}
	return out
}

// csv is the table as a file. A cell that a spreadsheet would run as a formula
// is kept from it by an apostrophe.
func (t rawTable) csv() string {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	write := func(r []string) {
		out := make([]string, len(r))
		for i, c := range r {
			out[i] = inert(c)
		}
		_ = w.Write(out) // a buffer takes everything
	}
	write(t.head)
	for _, r := range t.rows {
		write(r)
	}
	w.Flush()
	return b.String()
}

// inert is a cell of a table as a spreadsheet may read it.
func inert(cell string) string { return csvcell.Inert(clean(cell)) }

// rawTables are cooks, pieces and scores, without columns that are empty.
func rawTables(t *trial.Trial) (out []rawTable) {
	for _, x := range []rawTable{rawCooks(t), rawPieces(t), rawScores(t)} {
		if len(x.rows) > 0 {
			out = append(out, x.filled())
		}
	}
	return out
}

// filled drops the columns without any entry.
func (t rawTable) filled() rawTable {
	keep := make([]bool, len(t.head))
	for _, r := range t.rows {
		for i, c := range r {
			keep[i] = keep[i] || c != ""
		}
	}
	return t.only(keep)
}

// without drops from the scores what stands once elsewhere: the cook where every
// score names its piece, the session where it is that of the cook.
func (t rawTable) without(tr *trial.Trial) rawTable {
	p, ok := tr.Panel.Get()
	if !ok {
		return t
	}
	sessions := map[string]string{}
	for i := range tr.Cooks {
		sessions[tr.Cooks[i].ID] = tr.Cooks[i].Session.V
	}
	known := true // a taster sat in the session of the cook
	for i := range p.Scores {
		s := &p.Scores[i]
		if !s.Piece.Known {
			return t
		}
		known = known && s.Session.V == sessions[s.Cook]
	}
	keep := make([]bool, len(t.head))
	for j, h := range t.head {
		keep[j] = h != "cook" && (h != "session" || !known)
	}
	return t.only(keep)
}

// only is the table with the columns to be kept.
func (t rawTable) only(keep []bool) rawTable {
	pick := func(in []string) (out []string) {
		for i, c := range in {
			if keep[i] {
				out = append(out, c)
			}
		}
		return out
	}
	out := rawTable{name: t.name, words: t.words, head: pick(t.head)}
	for _, r := range t.rows {
		out.rows = append(out.rows, pick(r))
	}
	return out
}

func exact(v float64) string { return strconv.FormatFloat(v, 'g', 10, 64) }

// readings are the values of the measures, in the order of the file.
func readings(t *trial.Trial, values trial.Readings) (out []string) {
	for _, m := range t.Measures {
		cell := ""
		if v, ok := values.Get(m.Name); ok && !v.Missing {
			cell = exact(v.V)
		}
		out = append(out, cell)
	}
	return out
}

func measureNames(t *trial.Trial) (out []string) {
	for _, m := range t.Measures {
		out = append(out, m.Name)
	}
	return out
}

// treatment is what was done to a cook or a piece beyond the bath.
func treatment(t *trial.Trial, x trial.Treatment) (out []string) {
	brine, finish := "", ""
	if x.Brine.Known {
		brine = x.Brine.V.Label()
	}
	if x.Finish.Known {
		finish = x.Finish.V.Label()
	}
	out = append(out, brine, finish)
	for _, f := range t.Factors {
		level := ""
		for _, l := range x.With {
			if l.Factor == f.Name {
				level = l.Level
			}
		}
		out = append(out, level)
	}
	return out
}

func treatmentNames(t *trial.Trial) []string {
	out := []string{"brine", "finish"}
	for _, f := range t.Factors {
		out = append(out, "with."+f.Name)
	}
	return out
}

func rawCooks(t *trial.Trial) rawTable {
	x := rawTable{name: "cooks", words: "the cooks"}
	x.head = append([]string{"id", "set_point", "minutes", "bath", "session", "order", "block"}, treatmentNames(t)...)
	x.head = append(append(x.head, "started", "out", "served", "served_at"), measureNames(t)...)
	for i := range t.Cooks {
		c := &t.Cooks[i]
		row := []string{c.ID, celsius(c.SetPoint), "", c.Bath.V, c.Session.V, "", c.Block.V}
		if d, ok := c.BathTime(); ok {
			row[2] = exact(d.Minutes())
		}
		if c.Order.Known {
			row[5] = strconv.Itoa(c.Order.V)
		}
		row = append(row, treatment(t, c.Treatment)...)
		row = append(row, clockOf(c.Started), clockOf(c.Out), clockOf(c.Served), celsius(c.ServedAt))
		x.rows = append(x.rows, append(row, readings(t, c.Values)...))
	}
	return x
}

func rawPieces(t *trial.Trial) rawTable {
	x := rawTable{name: "pieces", words: "the pieces"}
	x.head = append([]string{"id", "cook", "source", "part", "thickness_mm", "before_g", "brined_g", "after_g"}, treatmentNames(t)...)
	x.head = append(append(x.head, measureNames(t)...), "lost")
	for i := range t.Cooks {
		for _, p := range t.Cooks[i].Pieces {
			row := []string{p.ID, t.Cooks[i].ID, p.Source.V, p.Part.V, "", "", "", ""}
			if p.Thickness.Known {
				row[4] = exact(p.Thickness.V.Millimetres())
			}
			if p.Before.Known {
				row[5] = exact(p.Before.V.Grams())
			}
			if p.Brined.Known {
				row[6] = exact(p.Brined.V.Grams())
			}
			if p.After.Known {
				row[7] = exact(p.After.V.Grams())
			}
			row = append(row, treatment(t, p.Treatment)...)
			row = append(row, readings(t, p.Values)...)
			x.rows = append(x.rows, append(row, p.Lost.V))
		}
	}
	return x
}

// tasterNumbers gives each taster a number, as every result does: P1, P2 … in
// the order of their names.
func tasterNumbers(t *trial.Trial) map[string]string {
	out := map[string]string{}
	for i, id := range t.AssessorIDs() {
		out[id] = "P" + strconv.Itoa(i+1)
	}
	return out
}

func rawScores(t *trial.Trial) rawTable {
	x := rawTable{name: "scores", words: "the scores"}
	x.head = append([]string{"taster", "session", "repeat", "position", "code", "piece", "cook"}, measureNames(t)...)
	x.head = append(x.head, "left_out")
	p, ok := t.Panel.Get()
	if !ok {
		return x
	}
	number := tasterNumbers(t)
	for i := range p.Scores {
		s := &p.Scores[i]
		row := []string{number[s.Assessor], s.Session.V, s.Repeat.V, "", s.Code.V, s.Piece.V, s.Cook}
		if s.Position.Known {
			row[3] = strconv.Itoa(s.Position.V)
		}
		row = append(row, readings(t, s.Values)...)
		x.rows = append(x.rows, append(row, s.LeftOut.V))
	}
	return x
}

// residualTable is the fits on unit means: a row a unit, and for each measure with
// an aim (without aims each) its mean, residual (mean less fitted), studentised
// residual and Cook's distance.
func (s *science) residualTable() rawTable {
	x := rawTable{name: "residuals", words: "means and residuals", head: []string{"unit", "cook", "piece"}}
	const fields = 4
	number := func(n quantity.Number, digits int) string {
		v, ok := n.Get()
		if !ok {
			return ""
		}
		return strconv.FormatFloat(v, 'g', digits, 64)
	}
	at := map[[3]string]int{}
	for _, m := range s.r.Measures {
		if _, aimed := aimOf(s.r, m.Name); len(m.Diagnostics) == 0 || !aimed && len(s.r.Trial.Aims) > 0 {
			continue
		}
		first := len(x.head)
		x.head = append(x.head, m.Name+".mean", m.Name+".residual", m.Name+".studentised", m.Name+".distance")
		for _, d := range m.Diagnostics {
			for _, u := range d.Units {
				key := [3]string{d.Unit, u.Cook, u.Piece}
				i, ok := at[key]
				if !ok {
					i = len(x.rows)
					at[key] = i
					x.rows = append(x.rows, key[:])
				}
				for len(x.rows[i]) < first {
					x.rows[i] = append(x.rows[i], "")
				}
				x.rows[i] = append(x.rows[i], number(u.Mean, 5), number(u.Residual, 3), number(u.Studentised, 3), number(u.Distance, 2))
			}
		}
		for i := range x.rows {
			for len(x.rows[i]) < first+fields {
				x.rows[i] = append(x.rows[i], "")
			}
		}
	}
	return x.filled()
}

func celsius(t trial.Opt[quantity.Temperature]) string {
	if !t.Known {
		return ""
	}
	return strconv.FormatFloat(t.V.Celsius(), 'g', 8, 64) // without the noise of a conversion
}

func clockOf(c trial.Opt[trial.Clock]) string {
	if !c.Known {
		return ""
	}
	return c.V.String()
}
