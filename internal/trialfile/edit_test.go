package trialfile

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tamis/internal/trial"
)

const edited = `# head
tamis: 1   # one
title:   "Old: title"   # two
food: {name: trout,   kind: lean fish}  # three
status:
measures:
  x: {scale: 0 to 9}    # four

# before cooks
cooks:
  # of A
  - id: A
    set_point: 50 °C   # five
    time: 60 min
    pieces:
      - {id: A1, before: 100 g, notes: 'it''s, {odd}'} # six
      - id: A2
        before: 101 g

  # of B
  - id: B
    set_point: 52 °C
    time: 60 min
# before notes
notes: |
  two
  lines

# foot
`

func TestSet(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name     string
		value    string
		path     []string
		old, new string // the one change
	}{
		{"a quoted value", "New", []string{"title"}, `"Old: title"`, `New`},
		{"quotes where needed", "New: er", []string{"title"}, `"Old: title"`, `"New: er"`},
		{"a blank", "cooked", []string{"status"}, "status:\n", "status: cooked\n"},
		{"in braces", "oily fish", []string{"food", "kind"}, "kind: lean fish", "kind: oily fish"},
		{"new in braces", "whole", []string{"food", "form"}, "lean fish}", "lean fish, form: whole}"},
		{"of a list entry", "51 °C", []string{"cooks", "A", "set_point"}, "50 °C ", "51 °C "},
		{"by number", "90 min", []string{"cooks", "1", "time"}, "time: 60 min\n# before", "time: 90 min\n# before"},
		{"new in braces in a list", "98 g", []string{"cooks", "A", "pieces", "A1", "after"}, "'it''s, {odd}'}", "'it''s, {odd}', after: 98 g}"},
		{"quoted in braces", "a, b", []string{"cooks", "A", "pieces", "A1", "notes"}, "'it''s, {odd}'", `"a, b"`},
		{"new in a block in a list", "99 g", []string{"cooks", "A", "pieces", "A2", "after"}, "before: 101 g\n", "before: 101 g\n        after: 99 g\n"},
		{"new at the end of a cook", "north", []string{"cooks", "B", "bath"}, "time: 60 min\n# before", "time: 60 min\n    bath: north\n# before"},
		{"new at the end of a cook before a comment", "north", []string{"cooks", "A", "bath"}, "before: 101 g\n", "before: 101 g\n    bath: north\n"},
		{"new at the end of the file", "en", []string{"language"}, "  lines\n", "  lines\nlanguage: en\n"},
		{"new group", "52 °C", []string{"decision", "set_point"}, "  lines\n", "  lines\ndecision: {set_point: 52 °C}\n"},
		{"new in a group of blocks", "0 to 5", []string{"measures", "y", "scale"}, "# four\n", "# four\n  y: {scale: 0 to 5}\n"},
		{"a text of lines", "one", []string{"notes"}, "notes: |\n  two\n  lines\n", "notes: one\n"},
		{"by a text of lines", "a\nb\n", []string{"title"}, "title:   \"Old: title\"   # two\n", "title: |\n  a\n  b\n"},
	}
	for _, tt := range tests {
		for _, newline := range []string{"\n", "\r\n"} {
			doc := strings.ReplaceAll(edited, "\n", newline)
			if strings.Count(edited, tt.old) != 1 {
				t.Fatalf("%s: %q occurs %d times", tt.name, tt.old, strings.Count(edited, tt.old))
			}
			want := strings.ReplaceAll(strings.Replace(edited, tt.old, tt.new, 1), "\n", newline)
			got, err := Set([]byte(doc), tt.value, tt.path...)
			if err != nil {
				t.Errorf("%s: %v", tt.name, err)
				continue
			}
			if d := cmp.Diff(want, string(got)); d != "" {
				t.Errorf("%s, %q: %s", tt.name, newline, d)
			}
		}
	}
}

func TestSetRefuses(t *testing.T) {
	t.Parallel()
	for _, path := range [][]string{{}, {"cooks", "Z", "time"}, {"cooks", "7", "time"}, {"title", "x"}, {"cooks", "A"}} {
		if got, err := Set([]byte(edited), "x", path...); !errors.Is(err, ErrNoPlace) {
			t.Errorf("%v: %q, %v", path, got, err)
		}
	}
	for _, doc := range []string{"", "a: [", "a: 1\n---\nb: 2\n", "- a\n"} {
		if got, err := Set([]byte(doc), "x", "y"); !errors.Is(err, ErrNoPlace) {
			t.Errorf("%q: %q, %v", doc, got, err)
		}
	}
	doc := []byte(edited)
	if _, err := Set(doc, "x", "title"); err != nil || string(doc) != edited {
		t.Error("the input was altered")
	}
}

func TestSetWithoutFinalNewline(t *testing.T) {
	t.Parallel()
	got, err := Set([]byte("tamis: 1\ntitle: T"), "x", "by")
	if err != nil || string(got) != "tamis: 1\ntitle: T\nby: x\n" {
		t.Errorf("%q, %v", got, err)
	}
}

func TestSetFrom(t *testing.T) {
	t.Parallel()
	tr := &trial.Trial{Title: trial.Some("New"), Drawn: trial.Some(trial.Drawn{Seed: trial.Some(uint64(7))})}
	tr.Cooks = []trial.Cook{{ID: "C", Notes: trial.Some("later")}}
	got, err := SetFrom([]byte(edited), tr, "cooks", "drawn", "status")
	if err != nil {
		t.Fatal(err)
	}
	i, j := strings.Index(edited, "cooks:\n"), strings.Index(edited, "# before notes")
	want := edited[:i] + "cooks:\n  - id: C\n    notes: later\n" + edited[j:]
	want = strings.Replace(want, "status:\n", "", 1)
	want = strings.Replace(want, "  lines\n", "  lines\ndrawn: {seed: 7}\n", 1)
	if d := cmp.Diff(want, string(got)); d != "" {
		t.Error(d)
	}
	if _, err := SetFrom([]byte(edited), tr, "cook"); !errors.Is(err, ErrNoPlace) {
		t.Errorf("an unknown key: %v", err)
	}
}

// Any value set is the value read, and nothing else changes. Control characters are
// no values: the reader refuses them, however they are written.
func TestSetReadsBack(t *testing.T) {
	t.Parallel()
	full, err := os.ReadFile("testdata/full/pollack.yaml")
	if err != nil {
		t.Fatal(err)
	}
	before := mustRead(t, "testdata/full/pollack.yaml")
	for _, v := range []string{"plain", "no", "007", "a: b", "#x", "- y", "{z}", `q"'\`, " led", "two\nlines", "tab\there", "é鱈🐟", "\u202e\u00a0", "~", "null", "a #b", "x:", "...", "---", "%", "|\n", " \n"} {
		doc, err := Set(full, v, "question")
		if err != nil {
			t.Fatal(err)
		}
		dir := t.TempDir()
		if err := os.CopyFS(dir, os.DirFS("testdata/full")); err != nil {
			t.Fatal(err)
		}
		p := filepath.Join(dir, "pollack.yaml")
		if err := WriteFile(p, doc); err != nil {
			t.Fatal(err)
		}
		after := mustRead(t, p)
		if after.Question.V != v {
			t.Errorf("set %q, read %q", v, after.Question.V)
		}
		after.Question = before.Question
		if d := cmp.Diff(before, after, same); d != "" {
			t.Errorf("%q: %s", v, d)
		}
	}
}

func TestWriteFile(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	p := filepath.Join(dir, "a.yaml")
	if err := os.WriteFile(p, []byte("old"), 0o600); err != nil {
		t.Fatal(err)
	}
	link := filepath.Join(dir, "link.yaml")
	if err := os.Symlink("a.yaml", link); err != nil {
		t.Skip(err)
	}
	if err := WriteFile(link, []byte("new")); err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(p)
	if err != nil || !bytes.Equal(b, []byte("new")) {
		t.Errorf("%q, %v", b, err)
	}
	info, err := os.Stat(p)
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("mode %v, %v", info.Mode(), err)
	}
	if err := WriteFile(dir, nil); err == nil {
		t.Error("a folder was overwritten")
	}
	if err := WriteFile(filepath.Join(dir, "none", "a"), nil); err == nil {
		t.Error("a file was written into a folder that is not there")
	}
	left, err := os.ReadDir(dir)
	if err != nil || len(left) != 2 {
		t.Errorf("left behind: %v, %v", left, err)
	}
}
