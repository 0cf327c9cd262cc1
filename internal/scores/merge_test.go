package scores

import (
	"reflect"
	"strings"
	"testing"

	"tamis/internal/trial"
)

func value(v float64) trial.Readings { return trial.ReadingOf("firmness", trial.Reading{V: v}) }

func row(who, session string, place int, code, cook string, values trial.Readings) trial.Score {
	s := trial.Score{Assessor: who, Code: trial.Some(code), Piece: trial.Some(cook + "-" + code), Cook: cook, Values: values}
	if session != "" {
		s.Session = trial.Some(session)
	}
	if place > 0 {
		s.Position = trial.Some(place)
	}
	return s
}

// plan has blank rows, one of which is scored already.
func plan() *trial.Trial {
	blank := func() trial.Readings { return trial.ReadingOf("firmness", trial.Reading{Missing: true}) }
	return &trial.Trial{
		Measures: []trial.Measure{{Name: "firmness", Kind: trial.ScaleScore, Scale: trial.Range{High: 10}}},
		Cooks:    []trial.Cook{{ID: "A"}, {ID: "B"}},
		Panel: trial.Some(trial.Panel{Scores: []trial.Score{
			row("anna", "first", 2, "618", "A", blank()), row("anna", "first", 1, "274", "A", blank()), row("anna", "second", 1, "407", "B", blank()),
			row("ben", "first", 1, "274", "A", value(6)),
		}}),
	}
}

func TestMerge(t *testing.T) {
	t.Parallel()
	cook := trial.Score{Assessor: "anna", Cook: "A", Values: value(5)}
	onlyB := trial.Score{Assessor: "anna", Cook: "B", Values: value(5)}
	byPlace := trial.Score{Assessor: "anna", Cook: "A", Position: trial.Some(2), Values: value(5)}
	for _, c := range []struct {
		name  string
		sheet []trial.Score
		rows  []int  // of the changes
		says  string // part of the error
	}{
		{"nothing", nil, nil, ""},
		{"fills a blank", []trial.Score{row("anna", "first", 2, "618", "A", value(5))}, []int{0}, ""},
		{"without session and place", []trial.Score{row("anna", "", 0, "407", "B", value(5))}, []int{2}, ""},
		{"in any order", []trial.Score{row("anna", "first", 1, "274", "A", value(5)), row("anna", "first", 2, "618", "A", value(4))}, []int{1, 0}, ""},
		{"there already", []trial.Score{row("ben", "first", 1, "274", "A", value(6))}, nil, ""},
		{"by cook, one sample", []trial.Score{onlyB}, []int{2}, ""},
		{"by cook, two samples", []trial.Score{cook}, nil, "2 samples of this assessor"},
		{"by cook and place", []trial.Score{byPlace}, []int{0}, ""},
		{"contradicts", []trial.Score{row("ben", "first", 1, "274", "A", value(7))}, nil, "7 here and 6 in the trial"},
		{"another place", []trial.Score{row("anna", "first", 3, "618", "A", value(5))}, nil, "at place 3 here and at place 2"},
		{"another session", []trial.Score{row("anna", "first", 1, "407", "B", value(5))}, nil, `tasted in session "second"`},
		{"twice", []trial.Score{row("anna", "", 0, "618", "A", value(5)), row("anna", "", 0, "618", "A", value(5))}, nil, "stands twice"},
		{"not hers", []trial.Score{row("ben", "first", 2, "618", "A", value(5))}, nil, `do not give "618" to "ben"`},
		{"nobody's", []trial.Score{row("cleo", "first", 1, "274", "A", value(5))}, nil, "nothing to taste"},
	} {
		x := plan()
		m, said := Merge(x, c.sheet, nil)
		if c.says != "" {
			if m != nil || len(said) != 1 || !strings.Contains(said[0].Text, c.says) {
				t.Errorf("%s: %v, %v; want %q", c.name, m, said, c.says)
			}
			continue
		}
		if m == nil || said.HasErrors() {
			t.Errorf("%s: %v", c.name, said)
			continue
		}
		var rows []int
		for _, ch := range m.Changes {
			rows = append(rows, ch.Row)
		}
		if !reflect.DeepEqual(rows, c.rows) {
			t.Errorf("%s: changes rows %v, want %v", c.name, rows, c.rows)
		}
		if !reflect.DeepEqual(x, plan()) {
			t.Errorf("%s: the trial was altered", c.name)
		}
	}
}

// Without a plan a new line is a new row, once.
func TestMergeWithoutPlan(t *testing.T) {
	t.Parallel()
	x := &trial.Trial{Cooks: []trial.Cook{{ID: "A"}}}
	one := trial.Score{Assessor: "anna", Cook: "A", Values: value(5)}
	m, _ := Merge(x, []trial.Score{one}, nil)
	if m == nil || len(m.Changes) != 1 || m.Changes[0].Row != -1 || m.Added() != 1 {
		t.Fatalf("%+v", m)
	}
	if m, said := Merge(x, []trial.Score{one, one}, nil); m != nil || !strings.Contains(said[0].Text, "stands twice") {
		t.Errorf("a line twice: %v", said)
	}
	x.Panel = trial.Some(trial.Panel{Scores: []trial.Score{one}})
	if m, _ := Merge(x, []trial.Score{one}, nil); m == nil || len(m.Changes) != 0 || m.Lines[0].There != 1 {
		t.Errorf("the same again: %+v", m)
	}
}

// What has no score after the sheet is listed; a word on why is enough.
func TestLeft(t *testing.T) {
	t.Parallel()
	why := row("anna", "second", 1, "407", "B", nil)
	why.WhyMissing = trial.Some("dropped")
	m, said := Merge(plan(), []trial.Score{row("anna", "first", 2, "618", "A", value(5)), why}, nil)
	if m == nil || len(m.Left) != 1 || m.Left[0].Assessor != "anna" || !reflect.DeepEqual(m.Left[0].Samples, []string{"274"}) {
		t.Errorf("left %+v, %v", m, said)
	}
}

func TestBallots(t *testing.T) {
	t.Parallel()
	b := Ballots(plan())
	if len(b) != 3 || b[0].Assessor != "anna" || b[0].Session != "first" || b[0].Rows[0].Code.V != "274" || !b[0].Laid {
		t.Errorf("%+v", b)
	}
	x := plan()
	x.Panel.V.Scores = nil
	x.Panel.V.Assessors = []trial.Assessor{{ID: "anna"}, {ID: "ben"}}
	x.Cooks[0].Pieces = []trial.Piece{{ID: "A-1"}, {ID: "A-2"}}
	b = Ballots(x)
	if len(b) != 2 || len(b[1].Rows) != 3 || b[1].Laid || b[1].Rows[2].Cook != "B" || b[1].Rows[2].Position.V != 3 {
		t.Errorf("unlaid %+v", b)
	}
	if got := Ballots(&trial.Trial{}); len(got) != 0 {
		t.Errorf("ballots of nothing: %+v", got)
	}
}
