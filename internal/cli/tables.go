package cli

import (
	"fmt"
	"strconv"
	"strings"

	"tamis/internal/answer"
	"tamis/internal/diag"
	"tamis/internal/quantity"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

// absentCell is what a table has where there is no value.
const absentCell = "NA"

// table is one CSV file: a head and rows of cells.
type table struct {
	name string
	note string // what a row is, for the file that explains the tables
	head []string
	rows [][]string
}

func (t *table) add(cells ...string) { t.rows = append(t.rows, cells) }

// tablesOf gives the tables of a result: the numbers of the trial first, then
// what was computed. The last is the text that explains them. Temperatures are
// in °C whatever --units says.
func tablesOf(t *trial.Trial, r *answer.Result, who *people) []table {
	out := []table{longTable(t, r, who), unitTable(t, r), meansTable(r), differencesTable(r), curveTable(r), windowTable(r), chanceTable(r),
		varianceTable(r), testsTable(r), verdictTable(t)}
	return append(out, explanation(r, out))
}

// observed are the numbers of the measures that the result has.
func observed(t *trial.Trial, r *answer.Result) []trial.Observed {
	var out []trial.Observed
	for _, o := range texture.Observed(t) {
		if r.Measures.Named(o.Measure.Name) != nil {
			out = append(out, o)
		}
	}
	return out
}

// varied collects what was varied over all rows of all measures, without the
// set point, which has a column of its own.
func varied(t *trial.Trial, measures []trial.Observed) []string {
	rows := t.Layout()
	for _, o := range measures {
		rows = append(rows, o.Rows...)
	}
	var out []string
	for _, f := range t.VariedFactors(rows) {
		if f.Name != trial.SetPointFactor {
			out = append(out, f.Name)
		}
	}
	return out
}

// headOf puts the columns of the factors among fixed ones. A factor that has
// the name of a fixed column is called with_NAME.
func headOf(before, factors, after []string) []string {
	fixed := map[string]bool{trial.SetPointFactor: true}
	for _, n := range append(append([]string{}, before...), after...) {
		fixed[n] = true
	}
	head := append([]string{}, before...)
	for _, f := range factors {
		if fixed[f] {
			f = "with_" + f
		}
		head = append(head, f)
	}
	return append(head, after...)
}

func longTable(t *trial.Trial, r *answer.Result, who *people) table {
	measures := observed(t, r)
	factors := varied(t, measures)
	out := table{name: "long.csv", note: "one row a number, as it was written down"}
	out.head = headOf([]string{"cook", "piece", "session", "block", "source", "set_point"}, factors,
		[]string{"assessor", "sitting", "position", "repeat", "left_out", "measure", "value"})
	for _, o := range measures {
		level := levelsByRow(t, o.Rows)
		for i, row := range o.Rows {
			line := placeCells(t, row)
			for _, f := range factors {
				line = append(line, orNA(level[f][i]))
			}
			assessor := absentCell
			if row.Assessor != "" {
				assessor = who.show(row.Assessor)
			}
			position := absentCell
			if row.Position > 0 {
				position = strconv.Itoa(row.Position)
			}
			out.add(append(line, assessor, orNA(row.Sitting), position, orNA(row.Repeat), yesNo(row.LeftOut), o.Measure.Name, exact(row.Value))...)
		}
	}
	return out
}

// placeCells is where a number comes from: cook, piece, session, block, source
// and set point.
func placeCells(t *trial.Trial, row trial.Observation) []string {
	c := &t.Cooks[row.Cook]
	piece, source, set := absentCell, absentCell, absentCell
	if row.Piece >= 0 {
		p := &c.Pieces[row.Piece]
		piece, source = orNA(p.ID), orNA(p.Source.V)
	}
	if c.SetPoint.Known {
		set = rounded(c.SetPoint.V.Celsius())
	}
	return []string{c.ID, piece, orNA(c.Session.V), orNA(c.Block.V), source, set}
}

// levelsByRow names the level of each varied factor for each row. A factor that
// does not vary among the rows is still named by the level that it has.
func levelsByRow(t *trial.Trial, rows []trial.Observation) map[string][]string {
	all := append(append([]trial.Observation{}, rows...), t.Layout()...) // so that brines have the same short names everywhere
	out := map[string][]string{}
	for _, f := range t.VariedFactors(all) {
		line := make([]string, len(rows))
		for i := range rows {
			if c := f.Code[i]; c >= 0 {
				line[i] = f.Levels[c]
			}
		}
		out[f.Name] = line
	}
	return out
}

func unitTable(t *trial.Trial, r *answer.Result) table {
	measures := observed(t, r)
	factors := varied(t, measures)
	out := table{name: "units.csv", note: "one row a unit: the means that the tests by unit are computed from; NA where a unit has several"}
	out.head = headOf([]string{"measure", "unit", "cook", "piece", "session", "block", "source", "set_point"}, factors, []string{"n", "mean", "adjusted"})
	for _, o := range measures {
		for _, u := range texture.UnitMeans(t, o) {
			place := placeCells(t, u.Observation)
			keep := unitPlace[u.Unit]
			for i := range place {
				if !keep[i] {
					place[i] = absentCell
				}
			}
			if _, ok := u.Levels[trial.SetPointFactor]; !ok && !keep[0] {
				place[5] = absentCell
			} else if ok {
				place[5] = placeCells(t, u.Observation)[5]
			}
			line := append([]string{u.Measure, u.Unit}, place...)
			for _, f := range factors {
				line = append(line, orNA(u.Levels[f]))
			}
			out.add(append(line, strconv.Itoa(u.Obs), tenDigits(u.Mean), yesNo(u.Adjusted))...)
		}
	}
	return out
}

// unitPlace says which of cook, piece, session, block, source and set point a
// unit has one of.
var unitPlace = map[string][6]bool{
	"session": {2: true},
	"block":   {3: true},
	"source":  {4: true},
	"tub":     {},
	"cook":    {0: true, 2: true, 3: true, 5: true},
	"piece":   {true, true, true, true, true, true},
}

func meansTable(r *answer.Result) table {
	out := table{name: "means.csv", note: "one row a mean: set points, levels of other factors, and cells of both",
		head: []string{"measure", "term", "level", "set_point", "method", "n", "observations", "mean", "se", "df", "low", "high", "letters", "letters_lsd", "covers", "raw_mean"}}
	for _, m := range r.Measures {
		for _, set := range [][]texture.Arm{m.Arms, m.Levels, m.Cells} {
			for _, a := range set {
				out.add(m.Name, a.Term, a.Arm, cell(a.SetPoint), orNA(a.Method), strconv.Itoa(a.N), strconv.Itoa(a.Obs), cell(a.Mean), cell(a.SE), cell(a.DF),
					cell(a.Low), cell(a.High), orNA(a.Letters), orNA(a.LSD), orNA(a.Covers), tenDigits(a.RawMean))
			}
		}
	}
	return out
}

func differencesTable(r *answer.Result) table {
	out := table{name: "differences.csv", note: "one row a comparison, a minus b",
		head: []string{"measure", "term", "a", "b", "estimate", "se", "df", "low", "high", "t", "p", "p_unadjusted", "adjustment"}}
	for _, m := range r.Measures {
		for _, d := range m.Differences {
			out.add(m.Name, d.Term, d.A, d.B, cell(d.Estimate), cell(d.SE), cell(d.DF), cell(d.Low), cell(d.High), cell(d.T), cell(d.P), cell(d.PRaw), orNA(d.Adjust))
		}
	}
	return out
}

func curveTable(r *answer.Result) table {
	out := table{name: "curve.csv", note: "the averaged curve of each method: its mean with a band, and a band for the next cook",
		head: []string{"measure", "method", "set_point", "mean", "low", "high", "next_low", "next_high"}}
	for _, m := range r.Measures {
		for _, c := range m.Curves {
			for _, d := range c.Average {
				out.add(m.Name, orNA(c.Method), rounded(d.SetPoint), tenDigits(d.Mean), tenDigits(d.Low), tenDigits(d.High), tenDigits(d.NextLow), tenDigits(d.NextHigh))
			}
		}
	}
	return out
}

func windowTable(r *answer.Result) table {
	out := table{name: "window.csv", note: "one row a method: where the aims hold more likely than not (low, high) and in 9 of 10 (likely_low, likely_high), in the next cook",
		head: []string{"method", "headline", "best", "interval_low", "interval_high", "low", "high", "likely_low", "likely_high", "top_chance", "tolerance", "cannot"}}
	for _, w := range r.Windows {
		out.add(orNA(w.Method), yesNo(w.Headline), cell(w.Best), cell(w.Low), cell(w.High), cell(w.Next.Range.Low), cell(w.Next.Range.High),
			cell(w.Next.Likely.Low), cell(w.Next.Likely.High), cell(w.Next.Top), cell(w.Tol), orNA(w.Cannot))
	}
	return out
}

func chanceTable(r *answer.Result) table {
	out := table{name: "chance.csv", note: "the chance that all aims hold at each set point: for the mean of many cooks and for the next cook",
		head: []string{"method", "set_point", "mean", "next_cook"}}
	for _, w := range r.Windows {
		for _, d := range w.Grid {
			out.add(orNA(w.Method), rounded(d.SetPoint), tenDigits(d.Mean), tenDigits(d.Next))
		}
	}
	return out
}

func varianceTable(r *answer.Result) table {
	out := table{name: "variance.csv", note: "one row a variance component of the mixed model",
		head: []string{"measure", "term", "levels", "variance"}}
	for _, m := range r.Measures {
		if m.Model == nil || m.Model.Absent != "" {
			continue
		}
		for _, v := range m.Model.Random {
			out.add(m.Name, v.Term, strconv.Itoa(v.Levels), tenDigits(v.Variance))
		}
		out.add(m.Name, "residual", absentCell, cell(m.Model.Residual))
	}
	return out
}

func testsTable(r *answer.Result) table {
	out := table{name: "tests.csv", note: "one row a test; role headline is the one to quote",
		head: []string{"measure", "term", "role", "unit", "statistic", "value", "df1", "df2", "p", "method", "cannot"}}
	for _, m := range r.Measures {
		for _, t := range m.Tests {
			out.add(m.Name, t.Term, t.Role, orNA(t.Unit), orNA(t.Stat), cell(t.Value), cell(t.DF1), cell(t.DF2), cell(t.P), orNA(t.Method), orNA(t.Cannot))
		}
	}
	return out
}

// verdictTable is who may eat what, a row a cook.
func verdictTable(t *trial.Trial) table {
	out := table{name: "verdicts.csv", note: "who may eat what: one row a cook, for eating at once; discard is minutes after it went into the bath",
		head: []string{"cook", "set_point", "minutes", "verdict", "parasites", "vulnerable", "discard"}}
	for _, c := range answer.HeatOf(t, answer.HeatOptions{}).Cooks {
		out.add(c.Cook, cell(c.SetPoint), cell(c.Minutes), c.Safety.Verdict, c.Parasites, yesNo(c.Vulnerable), cell(c.Discard))
	}
	return out
}

// explanation is the text file beside the tables. Its first line is the mark by
// which a folder of tables is known again.
func explanation(r *answer.Result, tables []table) table {
	var b strings.Builder
	fmt.Fprintf(&b, "%s %s from %s\n", tableMark, r.Version, r.Trial.File)
	fmt.Fprintf(&b, "sha256 %s, seed %d, %d draws, level %s\n\n", r.Trial.SHA256, r.Seed, r.Draws, exact(r.Level))
	for _, l := range diag.Wrap(diag.Clean((&fitText{sys: quantity.Metric}).joined(r.Text.Safety)), 76) {
		fmt.Fprintf(&b, "%s\n", l)
	}
	b.WriteString("\nUTF-8, commas, dots for decimals, NA for absent. Temperatures are in °C.\n\n")
	for _, t := range tables {
		fmt.Fprintf(&b, "%s: %s\n", t.name, t.note)
		for _, l := range diag.Wrap(strings.Join(t.head, ", "), 76) {
			fmt.Fprintf(&b, "    %s\n", l)
		}
	}
	return table{name: explanationName, note: b.String()}
}

// cell prints a number of the result with ten significant digits.
func cell(n texture.Number) string {
	if !n.Known() {
		return absentCell
	}
	return n.String()
}

func tenDigits(v float64) string { return cell(quantity.Num(v)) }

// rounded prints a temperature without the noise of a conversion.
func rounded(c float64) string { return strconv.FormatFloat(c, 'g', 8, 64) }

// exact prints a number so that reading it gives the same number.
func exact(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

func orNA(s string) string {
	if s == "" {
		return absentCell
	}
	return s
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}
