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

// A result has numbers; names come in everywhere, once they are asked for.
func TestPeople(t *testing.T) {
	t.Parallel()
	tr := panelOf("anna", "ben", "anna")
	hidden := named("P1", "P2")
	before, err := json.Marshal(hidden)
	if err != nil {
		t.Fatal(err)
	}
	peopleOf(tr, false).rename(hidden)
	if after, err := json.Marshal(hidden); err != nil || string(after) != string(before) {
		t.Errorf("without names the result became %s, %v", after, err)
	}
	shown := named("P1", "P2")
	peopleOf(tr, true).rename(shown)
	b, err := json.Marshal(shown.Measures[0].Panel)
	if err != nil {
		t.Fatal(err)
	}
	if s := string(b); strings.Contains(s, `"P1"`) || strings.Contains(s, `"P2"`) || strings.Count(s, "anna") != 4 || strings.Count(s, "ben") != 4 {
		t.Errorf("with names: %s", s)
	}
	if got := shown.Measures[0].Sensitivity.LeaveOut; got[0].ID != "anna" || got[1].ID != "P1" {
		t.Errorf("a cook called P1 is no person: %+v", got)
	}
	if got := shown.Text.Panel[0].Text(0); got != "anna scored bite against the rest of the panel." {
		t.Error(got)
	}
}

// An assessor who is called P2 and counts as the first is still one person.
func TestPeopleNamedLikeNumbers(t *testing.T) {
	t.Parallel()
	tr := panelOf("P2", "P3")
	if got := peopleOf(tr, false).show("P2"); got != "P1" {
		t.Errorf("P2 is shown as %s", got)
	}
	if got := peopleOf(tr, true).show("P2"); got != "P2" {
		t.Errorf("P2 is named %s", got)
	}
	r := named("P1", "P2")
	peopleOf(tr, true).rename(r)
	if p := r.Measures[0].Panel; p.Assessors[0].Assessor != "P2" || p.Assessors[1].Assessor != "P3" {
		t.Errorf("%+v", p.Assessors)
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
		all := string(b) + renderFit(r, 0, true, false)
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
