package trialfile

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

const triangleKey = "code,piece\n111,A1\n222,A2\n333,B1\n444,B2\n555,A3\n666,B3\n"

const triangleDoc = head + `cooks:
  - {id: A, set_point: 50 °C, time: 60 min, pieces: [{id: A1}, {id: A2}, {id: A3}]}
  - {id: B, set_point: 56 °C, time: 60 min, pieces: [{id: B1}, {id: B2}, {id: B3}]}
panel: {key: key.csv, triangles: odd.csv}
`

func readOdd(t *testing.T, table []byte) (*trial.Trial, diag.List) {
	t.Helper()
	dir := t.TempDir()
	for name, b := range map[string][]byte{"t.yaml": []byte(triangleDoc), "key.csv": []byte(triangleKey), "odd.csv": table} {
		if err := os.WriteFile(filepath.Join(dir, name), b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	tr, msgs, err := Read(filepath.Join(dir, "t.yaml"), testVocabulary)
	if err != nil {
		t.Fatal(err)
	}
	return tr, msgs
}

const oddHead = "assessor,set,first,second,third,odd\n"

// Each line of a table of triangles is held against its key.
func TestTriangleTable(t *testing.T) {
	for _, tt := range []struct {
		name, table, code string
		line              int
	}{
		{"answered", oddHead + "P1,1,111,222,333,333\nP2,1,444,555,666,444\n", "", 0},
		{"not answered yet", oddHead + "P1,1,111,222,333,\n", "", 0},
		{"semicolons and CRLF", "\uFEFFassessor;set;first;second;third;odd\r\nP1;1;111;222;333;222\r\n", "", 0},
		{"a code of no piece", oddHead + "P1,1,111,222,999,\n", "unknown-code", 2},
		{"three alike", oddHead + "P1,1,111,222,555,\n", "no-triangle", 2},
		{"a set twice", oddHead + "P1,1,111,222,333,\nP1,1,444,555,666,\n", "duplicate-id", 3},
		{"a code served twice", oddHead + "P1,1,111,222,333,\nP2,1,111,444,666,\n", "duplicate-id", 3},
		{"an odd one from another set", oddHead + "P1,1,111,222,333,444\n", "not-in-set", 2},
	} {
		t.Run(tt.name, func(t *testing.T) {
			tr, msgs := readOdd(t, []byte(tt.table))
			if tt.code == "" {
				if tr == nil || len(tr.Panel.V.Triangles) != strings.Count(tt.table, "\n")-1 {
					t.Fatalf("not read: %v", msgs)
				}
				return
			}
			for _, m := range msgs {
				if m.Slug == tt.code && int(m.Pos.Line) == tt.line && strings.HasSuffix(m.Pos.File.String(), "odd.csv") {
					return
				}
			}
			t.Fatalf("no %s at line %d: %v", tt.code, tt.line, msgs)
		})
	}
}

// FuzzTriangles: whatever the bytes, a table of triangles is read whole or
// refused, and every set that is read has an odd portion by the key.
func FuzzTriangles(f *testing.F) {
	for _, s := range []string{"P1,1,111,222,333,333\n", "P1,1,111,222,555,\n", "P1,1,111,111,333,\n", "P1,0,111,222,333,x\n", "P1,1,111,222\n", "\"P1,1\n"} {
		f.Add([]byte(oddHead + s))
	}
	f.Add([]byte("assessor;set;first;second;third;odd\r\nP1;1;111;222;333;222\r\n"))
	f.Fuzz(func(t *testing.T, b []byte) {
		tr, msgs := readOdd(t, b)
		if (tr == nil) != msgs.HasErrors() {
			t.Fatalf("trial %v, messages %v", tr != nil, msgs)
		}
		if tr == nil {
			return
		}
		portions := tr.Portions()
		for _, x := range tr.Panel.V.Triangles {
			if _, ok := portions.Odd(x); !ok {
				t.Fatalf("%v has no odd portion", x.Codes)
			}
		}
	})
}
