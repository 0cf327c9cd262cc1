package cli

import (
	"fmt"
	"strconv"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/scores"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

// previewLines is how many lines of a sheet are shown unless all are asked for.
const previewLines = 10

// scorePreview is what was understood of a sheet. It shows codes and not what
// they stand for: whoever types may be a taster.
func scorePreview(path string, t *trial.Trial, sheet *trialfile.Sheet, m *scores.Merged, who *people, all bool) string {
	f := &fitText{}
	head := diag.Clean(path) + ": " + sheet.Shape + ", by " + sheet.By
	if sheet.Read != "" {
		head += "; read with " + sheet.Read
	}
	f.prose(head, "", "  ")
	f.blank()
	g := grid{right: []bool{true, false, false, true, false}}
	row := []string{"line", "assessor", "session", "place", sheet.By}
	for _, name := range sheet.Measures {
		row = append(row, words(diag.Clean(name)))
		g.right = append(g.right, true)
	}
	g.add(row...)
	show := m.Lines
	if !all && len(show) > previewLines {
		show = show[:previewLines]
	}
	for i := range show {
		s := &show[i].Score
		place := ""
		if s.Position.Known {
			place = strconv.Itoa(s.Position.V)
		}
		row := []string{strconv.Itoa(int(s.At.Line)), diag.Clean(who.show(s.Assessor)), diag.Clean(s.Session.V), place, diag.Clean(sampleOf(s, sheet.By))}
		for _, name := range sheet.Measures {
			row = append(row, scoreText(t, s, name))
		}
		g.add(row...)
	}
	dropEmpty(&g, 2, 3)
	if len(show) > 0 {
		f.out = append(f.out, g.lines("  ")...)
	}
	if n := len(m.Lines) - len(show); n > 0 {
		f.line(fmt.Sprintf("  … and %d more (--all shows all)", n))
	}
	f.blank()
	people := map[string]bool{}
	there := 0
	for i := range m.Lines {
		people[m.Lines[i].Score.Assessor] = true
		there += m.Lines[i].There
	}
	parts := []string{values(m.Added()) + " to write"}
	if there > 0 {
		parts = append(parts, fmt.Sprintf("%d that the trial has already", there))
	}
	line := fmt.Sprintf("%s of %s: %s.", counted(len(m.Lines), "sample"), counted(len(people), "assessor"), strings.Join(parts, ", "))
	if sheet.Blank > 0 {
		line += fmt.Sprintf(" %s without a score passed over.", counted(sheet.Blank, "line"))
	}
	f.prose(line, "", "")
	f.left(m.Left, "a score", who)
	return f.text()
}

// left lists what nobody has typed in yet.
func (f *fitText) left(list []scores.Left, what string, who *people) {
	for _, l := range list {
		text := fmt.Sprintf("Still without %s, %s: ", what, diag.Clean(who.show(l.Assessor)))
		list := l.Samples
		if len(list) > 12 {
			text += strings.Join(list[:12], ", ") + fmt.Sprintf(" and %d more", len(list)-12)
		} else {
			text += strings.Join(list, ", ")
		}
		f.prose(diag.Clean(text)+".", "", "  ")
	}
}

func sampleOf(s *trial.Score, by string) string {
	switch {
	case by == "code" && s.Code.Known:
		return s.Code.V
	case by != "cook" && s.Piece.Known:
		return s.Piece.V
	}
	return s.Cook
}

// scoreText is a score as it is typed.
func scoreText(t *trial.Trial, s *trial.Score, name string) string {
	v, ok := s.Values.Get(name)
	if !ok || v.Missing {
		return ""
	}
	if m, _ := t.MeasureNamed(name); m.Kind == trial.YesNo {
		return map[bool]string{true: "yes", false: "no"}[v.V != 0]
	}
	return strconv.FormatFloat(v.V, 'f', -1, 64)
}

// dropEmpty leaves out columns in which no row has anything, from the last.
func dropEmpty(g *grid, from, to int) {
	for c := to; c >= from; c-- {
		empty := true
		for _, row := range g.rows[1:] {
			empty = empty && row[c] == ""
		}
		if !empty {
			continue
		}
		for i, row := range g.rows {
			g.rows[i] = append(row[:c:c], row[c+1:]...)
		}
		if c < len(g.right) {
			g.right = append(g.right[:c:c], g.right[c+1:]...)
		}
	}
}
