package fairness

import (
	"slices"
	"strings"
	"testing"

	"tamis/internal/quantity"
)

// How wide a claim may be, by what was done. Each line changes one thing of the
// fair trial, which has three runs, three deliveries and six blind tasters.
func TestLadder(t *testing.T) {
	t.Parallel()
	finish := "finish: {sear: 60 s per side}"
	for name, w := range map[string]struct {
		about   *spoken
		level   Level
		subject string
		lacks   string // what the next level needs
		hedge   string
		remark  string
	}{
		"fair":               {clearly, L3, SubjectSetPoint, "a measure of liking", "", ""},
		"too few deliveries": {kitchen, L2, SubjectSetPoint, "deliveries that met all set points", "", ""},
		"no difference":      {flat, L2, SubjectSetPoint, "", "", ""},
		"cooked once":        {once, L1, SubjectSetPoint, "runs at each set point", "", ""},
		"declared late":      {later, L2, SubjectSetPoint, "declared before tasting", "the question was fixed afterwards", ""},
		"twice each":         {&spoken{text: twoOfTwo}, L1, SubjectSetPoint, "runs at each set point", "", "seen again in a second run"},
		"they talked":        {&spoken{text: "panel: {together: yes}"}, L0, SubjectSetPoint, "assessors who scored two set points or more", "", ""},
		// Who knew cannot be believed about liking; what they say of firmness is hedged.
		"knew, and liked":       {&spoken{text: "panel: {blind: no}\nmeasures: {liking: {scale: 1 to 9, role: liking}}"}, L2, SubjectSetPoint, "", "the tasters may have known", ""},
		"knew, liking decides":  {&spoken{text: "aim: [{measure: firmness, best: highest}]\npanel: {blind: no}\nmeasures: {firmness: {role: liking}}"}, L0, SubjectSetPoint, "tasters-knew", "", ""},
		"blindness not stated":  {&spoken{text: "panel: {blind: ~}"}, L0, SubjectSetPoint, "panel.blind not stated", "", ""},
		"order of runs unknown": {&spoken{text: "cooks: [{set_point: 48 °C, order: ~, started: ~}, {set_point: 56 °C, order: ~, started: ~}, {set_point: 56 °C, order: ~, started: ~}, {set_point: 48 °C, order: ~, started: ~}, {set_point: 48 °C, order: ~, started: ~}, {set_point: 56 °C, order: ~, started: ~}]"}, L1, SubjectSetPoint, "cooks.order", "", ""},
		"times moved":           {&spoken{text: "aim: {measure: firmness, target: 5.8 to 7}\ncooks: [{set_point: 48 °C, time: 90 min}, {set_point: 56 °C, time: 50 min}, {set_point: 56 °C, time: 50 min}, {set_point: 48 °C, time: 90 min}, {set_point: 48 °C, time: 90 min}, {set_point: 56 °C, time: 50 min}]"}, L1, SubjectTime, "faults that weaken it", "", "Several faults"},
		"finish moved":          {&spoken{text: "aim: {measure: firmness, target: 5.8 to 7}\ncooks: [{set_point: 48 °C, " + finish + "}, {set_point: 56 °C}, {set_point: 56 °C}, {set_point: 48 °C, " + finish + "}, {set_point: 48 °C, " + finish + "}, {set_point: 56 °C}]"}, L1, SubjectMethod, "faults that weaken it", "", "Several faults"},
		"own animals":           {&spoken{text: "cooks: [{set_point: 48 °C, pieces: [{source: f1}, {source: f1}]}, {set_point: 56 °C, pieces: [{source: f2}, {source: f2}]}, {set_point: 56 °C, pieces: [{source: f2}, {source: f2}]}, {set_point: 48 °C, pieces: [{source: f1}, {source: f1}]}, {set_point: 48 °C, pieces: [{source: f1}, {source: f1}]}, {set_point: 56 °C, pieces: [{source: f2}, {source: f2}]}]"}, L1, SubjectSetPoint, "source-tied-to-set-point", "", ""},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			k := w.about.run(t, "").Claim
			if k.Level != w.level || k.Subject != w.subject {
				t.Errorf("%s about the %s, want %s about the %s: %+v", k.Level, k.Subject, w.level, w.subject, k.Lacks)
			}
			if w.lacks != "" && !slices.ContainsFunc(k.Lacks, func(l Lack) bool { return strings.Contains(l.What, w.lacks) && l.Level == k.Level+1 }) {
				t.Errorf("lacks %+v, want %q", k.Lacks, w.lacks)
			}
			said := ""
			for _, h := range append(slices.Clone(k.Hedges), k.Remarks...) {
				said += h.Text(quantity.Metric) + "\n"
			}
			if !strings.Contains(said, w.hedge) || !strings.Contains(said, w.remark) {
				t.Errorf("says %q, want %q %q", said, w.hedge, w.remark)
			}
			if k.Cause != (k.Level >= L2) || k.HoldsFor != k.Level.HoldsFor() && (k.Level != L0 || k.HoldsFor != "these cooks") || len(k.Allowed) == 0 || len(k.NotAllowed) == 0 {
				t.Errorf("%+v", k)
			}
			if alone := slices.Contains(k.NotAllowed, "the temperature alone"); alone != (w.subject != SubjectSetPoint) {
				t.Errorf("the temperature alone: %v", k.NotAllowed)
			}
			for _, c := range k.Contrasts {
				if c.Level > L4 || c.A == c.B {
					t.Errorf("%+v", c)
				}
			}
		})
	}
}
