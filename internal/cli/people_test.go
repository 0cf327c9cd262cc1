package cli

import (
	"encoding/json"
	"strings"
	"testing"

	"tamis/internal/answer"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

func panelOf(ids ...string) *trial.Trial {
	var p trial.Panel
	for _, id := range ids {
		p.Scores = append(p.Scores, trial.Score{Assessor: id})
	}
	return &trial.Trial{Panel: trial.Some(p)}
}

func named(ids ...string) *answer.Result {
	r := &answer.Result{}
	panel := &texture.Panel{OutOfStep: []string{ids[0]}, Flat: []string{ids[1]}, Kappa: []texture.Kappa{{A: ids[0], B: ids[1]}},
		Segments: &texture.Segments{Groups: [][]string{{ids[0]}, {ids[1]}}}}
	for _, id := range ids {
		panel.Assessors = append(panel.Assessors, texture.AssessorLine{Assessor: id})
	}
	r.Measures = texture.Measures{{Name: "bite", Panel: panel,
		Sensitivity: &texture.Sensitivity{LeaveOut: []texture.LeaveOut{{Kind: "assessor", ID: ids[0]}, {Kind: "cook", ID: ids[0]}}}}}
	r.Text.Panel = []answer.Sentence{answer.Say("P1 scored bite against the rest of the panel.")}
	return r
}

// A person is a number unless names are asked for, whichever of the two the
// analysis uses.
func TestPeople(t *testing.T) {
	t.Parallel()
	tr := panelOf("anna", "ben", "anna")
	for _, ids := range [][]string{{"anna", "ben"}, {"P1", "P2"}} {
		hidden := named(ids...)
		peopleOf(tr, false).rename(hidden)
		b, err := json.Marshal(hidden.Measures[0].Panel)
		if err != nil {
			t.Fatal(err)
		}
		if s := string(b); strings.Contains(s, "anna") || strings.Contains(s, "ben") || strings.Count(s, "P1") != 4 || strings.Count(s, "P2") != 4 {
			t.Errorf("from %v: %s", ids, s)
		}
		if got := hidden.Measures[0].Sensitivity.LeaveOut; got[0].ID != "P1" || got[1].ID != ids[0] {
			t.Errorf("from %v: %+v", ids, got)
		}
		shown := named(ids...)
		peopleOf(tr, true).rename(shown)
		if p := shown.Measures[0].Panel; p.Assessors[0].Assessor != "anna" || p.Flat[0] != "ben" || p.Segments.Groups[1][0] != "ben" {
			t.Errorf("from %v: %+v", ids, p)
		}
		if got := shown.Text.Panel[0].Text(0); got != "anna scored bite against the rest of the panel." {
			t.Errorf("from %v: %s", ids, got)
		}
	}
}

// An assessor who is called P2 and comes first is still one person.
func TestPeopleNamedLikeNumbers(t *testing.T) {
	t.Parallel()
	tr := panelOf("P2", "P1")
	if got := peopleOf(tr, false).show("P2"); got != "P1" {
		t.Errorf("P2 is shown as %s", got)
	}
	if got := peopleOf(tr, true).show("P2"); got != "P2" {
		t.Errorf("P2 is named %s", got)
	}
}

// No id of an assessor of the demo trials is in any output without --names.
func TestNobodyIsNamed(t *testing.T) {
	t.Parallel()
	for _, file := range trialFiles {
		tr, r := analyse(t, file)
		b, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		all := string(b) + renderFit(r, 0, true, nil)
		for _, table := range tablesOf(tr, r, peopleOf(tr, false)) {
			text, err := table.bytes()
			if err != nil {
				t.Fatal(err)
			}
			all += string(text)
		}
		for _, id := range tr.AssessorIDs() {
			if strings.Contains(all, `"`+id+`"`) || strings.Contains(all, ","+id+",") || strings.Contains(all, " "+id+" ") {
				t.Errorf("%s: %s is named", file, id)
			}
		}
	}
}
