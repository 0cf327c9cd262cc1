package trialfile

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"tamis/internal/diag"
)

// FuzzRead: whatever the bytes, reading ends with a trial or with errors that
// have a place and no line beyond the file; what was read, written and read
// again is equal.
func FuzzRead(f *testing.F) {
	full, err := os.ReadFile("testdata/full/pollack.yaml")
	if err != nil {
		f.Fatal(err)
	}
	scores, err := os.ReadFile("testdata/full/scores.csv")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(full, scores)
	f.Add([]byte(head+foot+"panel: {scores: scores.csv}\n"), []byte("assessor,cook,firm,notes\na,A,4,\"x\ny\"\n"))
	f.Add([]byte(head+"cooks: {from: scores.csv}\n"), []byte("id;set_point;time;brine.dry salt;brine.for;firm\nA;50 °C;1 h;1,5 %;20 min;4,5\n"))
	f.Add([]byte(strings.Replace(head+foot, "time: 60 min", "time: 60 min, log: scores.csv", 1)), []byte("time,core (°C),bath\n23:59:30,4,50 °C\n00:00:30,5,50 °C\n"))
	for _, tt := range malformed {
		table := []byte("assessor,cook,firm\na,A,1\n")
		if len(tt.files) > 2 {
			table = []byte(strings.ReplaceAll(tt.files[2], "«", ""))
		}
		f.Add([]byte(strings.NewReplacer("«", "", "s.csv", "scores.csv", "c.csv", "scores.csv").Replace(tt.files[0])), table)
	}
	dir := f.TempDir()
	f.Fuzz(func(t *testing.T, doc, table []byte) {
		dir, err := os.MkdirTemp(dir, "")
		if err != nil {
			t.Fatal(err)
		}
		defer func() { _ = os.RemoveAll(dir) }() // a leftover does no harm
		for name, b := range map[string][]byte{"t.yaml": doc, "scores.csv": table, "key.csv": []byte("code,piece\n007,A1\nno,B\n"), "pilot.yaml": nil, "photos/a1.jpg": nil, "logs/a.csv": []byte("time (s),core_c\n0,4\n")} {
			if err := os.MkdirAll(filepath.Dir(filepath.Join(dir, name)), 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(dir, name), b, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		tr, msgs, err := Read(filepath.Join(dir, "t.yaml"), testVocabulary)
		if err != nil {
			t.Fatal(err)
		}
		if (tr == nil) != msgs.HasErrors() {
			t.Fatalf("trial %v, messages %v", tr != nil, msgs)
		}
		for _, m := range msgs {
			if m.Pos.File.String() == "" || m.Severity == diag.Error && m.Hint == "" || !utf8.ValidString(m.Text) {
				t.Fatalf("message %+v", m)
			}
			if n := strings.Count(string(doc)+string(table), "\n") + strings.Count(string(doc)+string(table), "\r") + 2; int(m.Pos.Line) > n {
				t.Fatalf("%v is beyond the end", m.Pos)
			}
		}
		if tr == nil {
			return
		}
		roles := map[string]bool{tr.Panel.V.ScoresFile.V: true}
		for i := range tr.Cooks {
			if tr.Cooks[i].LogFile.Known {
				roles[tr.Cooks[i].LogFile.V] = true
			}
		}
		if roles[tr.Panel.V.KeyFile.V] || len(roles) > 1 && roles["scores.csv"] && tr.Panel.V.ScoresFile.V == "scores.csv" {
			return // one file with two purposes cannot be written back
		}
		if d := cmp.Diff(tr, again(t, tr, Style{Comments: len(doc)%2 == 0}), same); d != "" {
			t.Fatal(d)
		}
	})
}
