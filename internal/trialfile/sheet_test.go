package trialfile

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

func sheetTrial() *trial.Trial {
	return &trial.Trial{
		Measures: []trial.Measure{{Name: "firmness", Kind: trial.ScaleScore, Scale: trial.Range{Low: 0, High: 10}},
			{Name: "clean", Kind: trial.YesNo, Scale: trial.Range{High: 1}}},
		Cooks: []trial.Cook{{ID: "A", Pieces: []trial.Piece{{ID: "A.1"}}}, {ID: "B"}},
		Panel: trial.Some(trial.Panel{Key: []trial.KeyEntry{{Code: "274", Piece: "A.1"}, {Code: "935", Piece: "B"}}, Assessors: []trial.Assessor{{ID: "anna"}, {ID: "ben"}}}),
	}
}

// sheetOf reads the bytes of a score sheet.
func (r *reader) sheetOf(file string, b []byte) *Sheet {
	if table, read := r.typedTable(diag.FileNamed(file), b); table != nil {
		return r.sheet(table, read)
	}
	return nil
}

// Every layout gives the same scores.
func TestSheetLayouts(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ shape, by, text string }{
		"by code":            {"a line a sample", "code", "assessor,code,firmness,clean\nanna,274,4.5,yes\nben,935,6,no\n"},
		"loosely named":      {"a line a sample", "code", "Assessor;Code;Firmness;Clean\nanna;274;4,5;Yes\nben;935;6;0\n"},
		"by piece and cook":  {"a line a sample", "piece", "assessor,piece,cook,firmness,clean\nanna,A.1,,4.5,yes\nben,,B,6,no\n"},
		"a line a score":     {"a line a score", "code", "assessor,code,measure,score\nanna,274,firmness,4.5\nben,935,firmness,6\nanna,274,clean,yes\nben,935,clean,no\n"},
		"a column a sample":  {"a line an assessor, a column a sample", "code", "assessor,274.firmness,935 firmness,clean/274,935:clean\nanna,4.5,,yes,\nben,,6,,no\n"},
		"codes and measure":  {"a line an assessor, a column a sample", "code", "assessor,measure,274,935\nanna,firmness,4.5,\nanna,clean,yes,\nben,firmness,,6\nben,clean,,no\n"},
		"a column a person":  {"a line a sample, a column an assessor", "code", "code,anna.firmness,ben.firmness,anna.clean,ben.clean\n274,4.5,,yes,\n935,,6,,no\n"},
		"pieces with a dot":  {"a line an assessor, a column a sample", "piece", "assessor,A.1.firmness,A.1.clean,B.firmness,B.clean\nanna,4.5,yes,,\nben,,,6,no\n"},
		"tabs, BOM, Windows": {"a line a sample", "code", "\uFEFFassessor\tcode\tfirmness\tclean\r\nanna\t274\t4,5\tyes\r\nben\t935\t6\tno\r\n"},
	} {
		r := newReader(Vocabulary{})
		r.t = sheetTrial()
		s := r.sheetOf("s.csv", []byte(c.text))
		if s == nil || r.msgs.HasErrors() {
			t.Errorf("%s: %v", name, r.msgs)
			continue
		}
		if s.Shape != c.shape || s.By != c.by || len(s.Scores) != 2 || strings.Join(s.Measures, " ") != "firmness clean" {
			t.Errorf("%s: %s, by %s, %d scores of %v", name, s.Shape, s.By, len(s.Scores), s.Measures)
			continue
		}
		a, b := s.Scores[0], s.Scores[1]
		if a.Assessor != "anna" || a.Cook != "A" || a.Piece.V != "A.1" || a.Values.Of("firmness").V != 4.5 || a.Values.Of("clean").V != 1 ||
			b.Assessor != "ben" || b.Cook != "B" || b.Values.Of("firmness").V != 6 || b.Values.Of("clean").V != 0 || b.Values.Of("clean").Missing {
			t.Errorf("%s: read as %+v and %+v", name, a, b)
		}
	}
}

func TestReadSheetFails(t *testing.T) {
	t.Parallel()
	if _, _, err := ReadSheet(filepath.Join(t.TempDir(), "none.csv"), sheetTrial(), Vocabulary{}); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("no file: %v", err)
	}
	if _, _, err := ReadSheet(t.TempDir(), sheetTrial(), Vocabulary{}); err == nil {
		t.Error("a folder was read")
	}
}

// Only what is added changes; everything else is the same byte.
func TestSetScores(t *testing.T) {
	t.Parallel()
	x := sheetTrial()
	add := func(v float64) trial.Score {
		return trial.Score{Assessor: "anna", Code: trial.Some("274"), Cook: "A", Values: trial.ReadingOf("firmness", trial.Reading{V: v})}
	}
	noted := add(4.5)
	noted.Notes = trial.Some(`soft, "wet"`)
	for _, c := range []struct {
		name, doc string
		lines     []Line
		want      string
	}{
		{"nothing", "# head\nassessor,code,firmness\nanna,274,\n\n", nil, "# head\nassessor,code,firmness\nanna,274,\n\n"},
		{"fills", "# head\nassessor,code,firmness\n ben , 935 , 1 \n\nanna,274,\n", []Line{{5, add(4.5)}}, "# head\nassessor,code,firmness\n ben , 935 , 1 \n\nanna,274,4.5\n"},
		{"keeps what is there", "assessor,code,firmness\nanna,274,3\n", []Line{{2, add(4.5)}}, "assessor,code,firmness\nanna,274,3\n"},
		{"as the table writes", "\uFEFFassessor;code;firmness\r\nben;935;6,5\r\nanna;274;\r\n", []Line{{3, add(4.5)}}, "\uFEFFassessor;code;firmness\r\nben;935;6,5\r\nanna;274;4,5\r\n"},
		{"quoted commas", "assessor,code,firmness\nben,935,\"6,5\"\nanna,274,\n", []Line{{3, add(4.5)}}, "assessor,code,firmness\nben,935,\"6,5\"\nanna,274,\"4,5\"\n"},
		{"new line", "assessor,code,firmness\nben,935,6", []Line{{0, add(4.5)}}, "assessor,code,firmness\nben,935,6\nanna,274,4.5\n"},
		{"new column", "assessor,code\nben,935\nanna,274\n", []Line{{3, noted}}, "assessor,code,notes,firmness\nben,935,,\nanna,274,\"soft, \"\"wet\"\"\",4.5\n"},
		{"sep line", "sep=;\nassessor;code;firmness\nanna;274;\n", []Line{{3, add(4)}}, "sep=;\nassessor;code;firmness\nanna;274;4\n"},
	} {
		got, err := SetScores([]byte(c.doc), x, c.lines)
		if err != nil || string(got) != c.want {
			t.Errorf("%s: %v\n%q, want\n%q", c.name, err, got, c.want)
		}
	}
	for name, doc := range map[string]string{"no such line": "assessor,code,firmness\n", "empty": "", "open quote": "assessor,\"code\nanna,274\n", "ragged": "assessor,code\nanna\n"} {
		if _, err := SetScores([]byte(doc), x, []Line{{9, add(1)}}); !errors.Is(err, ErrTable) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// No sheet panics, and one that is read can be written into a table and comes
// back with the same scores.
func FuzzSheet(f *testing.F) {
	for _, s := range []string{"assessor,code,firmness\nanna,274,4.5\n", "assessor;measure;274;935\r\nanna;firmness;4,5;\r\n", "code,anna,ben\n274,1,2\n", "\uFEFFsep=\t\nassessor\tA.1.firmness\nanna\t\"4,5\"\n", "a\xe4,b\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		r := newReader(Vocabulary{})
		r.t = sheetTrial()
		s := r.sheetOf("s.csv", b)
		if s == nil || r.msgs.HasErrors() {
			return
		}
		var lines []Line
		for _, x := range s.Scores {
			lines = append(lines, Line{Score: x})
		}
		doc, err := SetScores([]byte("assessor,code,firmness\n"), sheetTrial(), lines)
		if err != nil {
			t.Fatal(err)
		}
		again := newReader(Vocabulary{})
		again.t = sheetTrial()
		back := again.sheetOf("t.csv", doc)
		if len(lines) > 0 && (back == nil || len(back.Scores) != len(s.Scores)) {
			t.Fatalf("%d scores went in:\n%s\n%v", len(s.Scores), doc, again.msgs)
		}
	})
}
