package cli

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

const recordTrial = `tamis: 1
title: Record
food: {name: cod, kind: lean fish} # a comment
measures: {firmness: {scale: 0 to 10}, surface_protein: {scale: 0 to 5, by: photo}, cook_loss: {unit: "%", from: weights}}
cooks:
  - id: A
    set_point: 48 °C
    time: 40 min
    pieces:
      - {id: A1, before: 100 g, after: 96 g}
      - {id: A2, before: 101 g}
  - {id: B, set_point: 52 °C, time: 40 min}
`

// Every broken record sheet is refused with its line, and nothing is written.
func TestBrokenRecords(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		sheet string
		line  int // 0 for the file as a whole
		says  string
	}{
		"empty":               {"", 0, "the table is empty"},
		"header only":         {"piece,after\n", 1, "a header and no line"},
		"no piece":            {"after\n96 g\n", 1, "which piece a line is of"},
		"piece blank":         {"piece,after\n,96 g\n", 2, "needs piece"},
		"unknown piece":       {"piece,after\nA3,96 g\n", 2, `there is no piece "A3"`},
		"cook with pieces":    {"piece,notes\nA,soft\n", 2, `there is no piece "A"`},
		"twice":               {"piece,after\nA2,96 g\nA2,96 g\n", 3, "stands twice"},
		"contradicts":         {"piece,after (g)\nA1,95\n", 2, "95 g here and 96 g in the trial"},
		"no unit":             {"piece,after\nA2,96\n", 2, "unit"},
		"wrong unit":          {"piece,after\nA2,96 mm\n", 2, "mass"},
		"word":                {"piece,after (g)\nA2,lots\n", 2, "lots"},
		"date":                {"piece,in\nA2,05.06.2026\n", 2, "05.06.2026"},
		"no clock":            {"piece,in\nA2,25:10\n", 2, "25:10"},
		"two times":           {"piece,in\nA1,10:00\nA2,10:05\n", 3, "at 10:05 by this line and at 10:00 by another"},
		"off the scale":       {"piece,surface_protein\nA2,9\n", 2, "outside the scale"},
		"computed":            {"piece,cook_loss\nA2,9\n", 2, "computed from the weights"},
		"unknown column":      {"piece,aftr\nA2,9 g\n", 1, "did you mean after?"},
		"column twice":        {"piece,after,after\nA2,9 g,9 g\n", 1, "stands twice"},
		"mass of a cook":      {"piece,after\nB,96 g\n", 2, "lists no pieces"},
		"short line":          {"piece,in,out,after\nA2,10:00\n", 2, "2 of 4 cells"},
		"comma as separator":  {"piece,after (g),notes\nA2,96,5,soft\n", 2, "4 cells"},
		"open quote":          {"piece,notes\nA2,\"soft\n", 2, "never closed"},
		"UTF-16":              {"\xff\xfep\x00i\x00e\x00c\x00e\x00\n\x00", 0, "UTF-16"},
		"spreadsheet":         {"PK\x03\x04....", 0, "a spreadsheet or an archive"},
		"thousands separator": {"piece,after (g)\nA2,\"1.096,5\"\n", 2, "1.096,5"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			path, sheet := filepath.Join(dir, "t.yaml"), filepath.Join(dir, "s.csv")
			for file, text := range map[string]string{path: recordTrial, sheet: c.sheet} {
				if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
					t.Fatal(err)
				}
			}
			code, out, errs := run(t.Context(), "record", "--yes", sheet, path)
			if code != ExitInvalid || out != "" {
				t.Errorf("code %d, output %q", code, out)
			}
			place := filepath.ToSlash(sheet) + ":"
			if c.line > 0 {
				place += strconv.Itoa(c.line) + ":"
			}
			flat := strings.Join(strings.Fields(errs), " ")
			if !strings.Contains(flat, place) || !strings.Contains(flat, c.says) || !strings.Contains(flat, "nothing was written") {
				t.Errorf("no %q at line %d in\n%s", c.says, c.line, errs)
			}
			if b, err := os.ReadFile(path); err != nil || string(b) != recordTrial {
				t.Errorf("something was written: %v\n%s", err, b)
			}
		})
	}
}

// A byte order mark, CRLF and blank trailing columns change nothing; the leaving
// times of pieces that differ are their own.
func TestRecordIsWritten(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path, sheet := filepath.Join(dir, "t.yaml"), filepath.Join(dir, "s.csv")
	for file, text := range map[string]string{path: recordTrial, sheet: "\uFEFFpiece,in,out,after (g),notes\r\nA1,10:00,10:40,96,\r\nA2,10:00,10:44,98.5,\"a \"\"soft\"\" one\"\r\nB,,,,held well\r\n"} {
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for i, want := range []string{"wrote 6 values", "Nothing to write"} {
		code, out, errs := run(t.Context(), "record", "--yes", sheet, path)
		if code != ExitDone || !strings.Contains(out, want) {
			t.Fatalf("time %d: code %d\n%s\n%s", i+1, code, out, errs)
		}
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for _, part := range []string{"# a comment", "    started: 10:00\n", "{id: A1, before: 100 g, after: 96 g, out: 10:40}", "after: 98.5 g", "out: 10:44", `notes: held well`} {
			if strings.Count(string(b), part) != 1 {
				t.Errorf("time %d: %q stands %d times in\n%s", i+1, part, strings.Count(string(b), part), b)
			}
		}
	}
}
