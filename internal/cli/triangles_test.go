package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// trianglesTrial is a trial with four sets for two assessors, one of them answered.
var trianglesTrial = map[string]string{
	"trial.yaml": `tamis: 1
title: Carrot
food: {name: carrot sticks, kind: vegetable}
measures: {firmness: {scale: 0 to 10}}
sessions: {first: {}, second: {}}
cooks:
  - {id: A, set_point: 83 °C, time: 45 min}
  - {id: B, set_point: 88 °C, time: 45 min}
panel: {key: key.csv, triangles: sets.csv, assessors: {cleo: {}}}
`,
	"key.csv":  "code,piece\n274,A\n618,A\n935,B\n407,B\n851,B\n536,A\n108,A\n141,B\n371,A\n492,B\n725,B\n380,A\n",
	"sets.csv": "assessor,session,set,first,second,third,odd\nanna,first,1,274,618,935,\nanna,second,2,407,851,536,\nben,first,1,108,141,371,371\nben,second,2,492,725,380,\n",
}

// Every broken sheet of triangles is refused with its line and column, one error
// for one slip, and nothing is written.
func TestBrokenTriangleSheets(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, sheet, at, says string }{
		{"who is unknown", "assessor,set,odd\nanna,1,935\nbne,1,371\n", "3:1", "did you mean ben?"},
		{"nobody near", "assessor,set,odd\nxaver,1,935\n", "2:1", "there are cleo, anna and ben"},
		{"who has no triangle", "assessor,set,odd\ncleo,1,935\n", "2:1", `no triangle for "cleo"`},
		{"set unknown", "assessor,set,odd\nanna,3,935\n", "2:6", "the sets of this assessor: 1, 2"},
		{"set no number", "assessor,set,odd\nanna,one,935\n", "2:6", `"one"`},
		{"set nought", "assessor,set,odd\nanna,0,935\n", "2:6", "0"},
		{"set missing", "assessor,set,odd\nanna,,935\n", "2:6", "needs set"},
		{"who missing", "assessor,set,odd\n,1,935\n", "2:1", "needs assessor"},
		{"code of another set", "assessor,set,odd\nanna,1,536\n", "2:8", `"536" is in set 2 of this assessor`},
		{"code of another ballot", "assessor,set,odd\nanna,1,108\n", "2:8", `on the ballot of "ben"`},
		{"a typing slip", "assessor,set,odd\nanna,1,953\n", "2:8", "did you mean 935?"},
		{"o for nought", "assessor,set,odd\nben,1,1O8\n", "2:7", "did you mean 108?"},
		{"l for one", "assessor,set,odd\nben,1,l08\n", "2:7", "did you mean 108?"},
		{"as a decimal", "assessor,set,odd\nben,1,108.0\n", "2:7", "108"},
		{"place for code", "assessor,set,odd\nanna,1,2\n", "2:8", "write 274, 618 or 935"},
		{"a word", "assessor,set,odd\nanna,1,none\n", "2:8", "or leave it blank"},
		{"two answers in a cell", "assessor,set,odd\nanna,1,274 / 935\n", "2:8", "more than one answer"},
		{"two answers on two lines", "assessor,set,odd\nanna,1,935\nanna,1,274\n", "3:1", "stands twice"},
		{"the same twice", "assessor,set,odd\nanna,1,935\nben,2,380\nanna,1,935\n", "4:1", "stands twice"},
		{"session of the other set", "assessor,session,set,odd\nanna,second,1,935\n", "2:6", "write first"},
		{"portions of another set", "assessor,set,first,second,third,odd\nanna,1,407,851,536,935\n", "2:8", "set 1 of \"anna\" is 274, 618, 935"},
		{"portions swapped", "assessor,set,first,second,third,odd\nanna,1,618,274,935,935\n", "2:8", "write 274"},
		{"contradicts the trial", "assessor,set,odd\nben,1,141\n", "2:7", `is "141" here and "371" in the trial`},
		{"no column assessor", "who,set,odd\nanna,1,935\n", "1:1", "does not say who tasted"},
		{"no column set", "assessor,code,odd\nanna,1,935\n", "1:1", "which set an answer is of"},
		{"set misspelt", "assessor,sett,odd\nanna,1,935\n", "1:10", "did you mean set?"},
		{"scores besides", "assessor,set,odd,firmness\nanna,1,935,6\n", "1:18", "two sheets"},
		{"odd twice", "assessor,set,odd,odd\nanna,1,935,274\n", "1:18", "stands twice"},
		{"a cell too many", "assessor,set,odd\nanna,1,935\nben,2,380,380\n", "3:11", "a row with 4 cells"},
		{"a cell too few", "assessor,set,odd\nanna,935\n", "2:1", "2 of 3 cells"},
		{"header only", "assessor,set,odd\n", "1:1", "a header and no line"},
		{"columns swapped", "assessor,set,odd\n1,anna,935\n", "2:3", `"anna"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			for name, text := range trianglesTrial {
				if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
					t.Fatal(err)
				}
			}
			sheet := filepath.Join(dir, "sheet.csv")
			if err := os.WriteFile(sheet, []byte(c.sheet), 0o600); err != nil {
				t.Fatal(err)
			}
			code, out, errs := run(t.Context(), "scores", "--yes", sheet, filepath.Join(dir, "trial.yaml"))
			if code != ExitInvalid || out != "" {
				t.Errorf("code %d, output %q", code, out)
			}
			flat := strings.Join(strings.Fields(errs), " ")
			if !strings.Contains(flat, "sheet.csv:"+c.at+": error:") || !strings.Contains(flat, c.says) || !strings.Contains(errs, "nothing was written") {
				t.Errorf("no %q at %s in\n%s", c.says, c.at, errs)
			}
			if n := strings.Count(errs, ": error:"); n != 1 {
				t.Errorf("%d errors for one slip:\n%s", n, errs)
			}
			for name, text := range trianglesTrial {
				if b, err := os.ReadFile(filepath.Join(dir, name)); err != nil || string(b) != text {
					t.Errorf("%s was written: %v", name, err)
				}
			}
		})
	}
}
