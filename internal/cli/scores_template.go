package cli

import (
	"bytes"
	"encoding/csv"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"tamis/internal/answer"
	"tamis/internal/csvcell"
	"tamis/internal/design"
	"tamis/internal/diag"
	"tamis/internal/scores"
	"tamis/internal/trial"
)

// scoreSheet is a sheet to type into: a line for each sample in the order of the
// ballots, with the scores that the trial has already. What must not be tasted
// has no line.
func scoreSheet(cmd *cobra.Command, path string, t *trial.Trial) ([]byte, error) {
	if len(t.Panel.V.Triangles) > 0 && len(t.Panel.V.Scores) == 0 {
		return triangleSheet(cmd, path, t) // they are all that is tasted
	}
	var tasted []trial.Measure
	for _, m := range t.Measures {
		if design.Tasted(m) {
			tasted = append(tasted, m)
		}
	}
	if len(tasted) == 0 {
		return nil, usagef(cmd, "the trial has no measure that assessors give").hint("add one under measures, such as firmness: {scale: 0 to 10}")
	}
	refused := answer.SheetsOf(t).Refused()
	rows := toType(t, refused)
	cols := []string{"assessor"}
	by := "cook"
	has := func(f func(*trial.Score) bool) bool {
		return slices.ContainsFunc(rows, func(s trial.Score) bool { return f(&s) })
	}
	if has(func(s *trial.Score) bool { return s.Session.Known }) {
		cols = append(cols, "session")
	}
	if has(func(s *trial.Score) bool { return s.Repeat.Known }) {
		cols = append(cols, "repeat")
	}
	if has(func(s *trial.Score) bool { return s.Position.Known }) {
		cols = append(cols, "position")
	}
	switch {
	case has(func(s *trial.Score) bool { return s.Code.Known }):
		by = "code"
	case has(func(s *trial.Score) bool { return s.Piece.Known }):
		by = "piece"
	}
	cols = append(cols, by)
	var b bytes.Buffer
	comment := func(s string) { b.WriteString("# " + strings.Join(strings.Fields(diag.Clean(s)), " ") + "\n") }
	comment("Type each ballot in from top to bottom; leave a cell blank where there is no score.")
	for _, m := range tasted {
		comment(m.Name + ": " + scaleText(m))
		cols = append(cols, m.Name)
	}
	if len(refused) > 0 {
		comment("What must not be eaten or tasted has no line here.")
	}
	w := csv.NewWriter(&b)
	_ = w.Write(append(cols, "notes"))
	for i := range rows {
		s := &rows[i]
		var cells []string
		for _, c := range cols {
			switch c {
			case "assessor":
				cells = append(cells, s.Assessor)
			case "session":
				cells = append(cells, s.Session.V)
			case "repeat":
				cells = append(cells, s.Repeat.V)
			case "position":
				if s.Position.Known {
					c = strconv.Itoa(s.Position.V)
				} else {
					c = ""
				}
				cells = append(cells, c)
			case by:
				cells = append(cells, sampleOf(s, by))
			default:
				cells = append(cells, scoreText(t, s, c))
			}
		}
		_ = w.Write(csvcell.InertRow(append(cells, s.Notes.V)))
	}
	w.Flush() // a bytes.Buffer takes everything
	return b.Bytes(), nil
}

// scaleText says what may be typed.
func scaleText(m trial.Measure) string {
	if m.Kind == trial.YesNo {
		return "yes or no"
	}
	end := func(v float64, word trial.Opt[string]) string {
		s := strconv.FormatFloat(v, 'f', -1, 64)
		if word.Known {
			s += " (" + word.V + ")"
		}
		return s
	}
	return end(m.Scale.Low, m.LowWord) + " to " + end(m.Scale.High, m.HighWord)
}

// toType are the lines of the sheet: those of the ballots, in their order.
func toType(t *trial.Trial, refused map[string]bool) []trial.Score {
	var out []trial.Score
	for _, b := range scores.Ballots(t) {
		for _, s := range b.Rows {
			scored := false
			for _, v := range s.Values {
				scored = scored || !v.Missing
			}
			if !refused[s.Cook] || scored {
				out = append(out, s)
			}
		}
	}
	return out
}
