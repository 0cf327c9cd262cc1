package fairness

import (
	"strings"
	"testing"

	"tamis/internal/quantity"
)

// Every sentence that is offered in place of an author's passes the checks that
// asked for another one, in both unit systems, whatever the trial allows.
func TestOfferedSentencesPass(t *testing.T) {
	t.Parallel()
	for name, about := range map[string]*spoken{
		"clear difference": clearly, "no difference": flat, "cooked once": once, "declared late": later,
		"twice each":     {text: twoOfTwo},
		"time moves":     {text: "cooks: [{set_point: 48 °C, time: 90 min}, {set_point: 56 °C, time: 50 min}, {set_point: 56 °C, time: 50 min}, {set_point: 48 °C, time: 90 min}, {set_point: 48 °C, time: 90 min}, {set_point: 56 °C, time: 50 min}]"},
		"finish bundled": {text: "cooks: [{set_point: 48 °C, finish: {sear: 60 s per side}}, {set_point: 56 °C}, {set_point: 56 °C}, {set_point: 48 °C, finish: {sear: 60 s per side}}, {set_point: 48 °C, finish: {sear: 60 s per side}}, {set_point: 56 °C}]"},
		"open tasting":   {text: "panel: {blind: no}"},
		"no panel":       {text: "{panel: ~, aim: ~, measures: ~}\n"},
		"sources tied":   {text: "cooks: [{set_point: 48 °C, pieces: [{source: f1}, {source: f1}]}, {set_point: 56 °C, pieces: [{source: f2}, {source: f2}]}, {set_point: 48 °C, pieces: [{source: f1}, {source: f1}]}, {set_point: 56 °C, pieces: [{source: f2}, {source: f2}]}]"},
		"one set point":  {text: "cooks: [{set_point: 52 °C}, {set_point: 52 °C}, {set_point: 52 °C}]"},
		"degrees of F":   {text: "{cooks: [{set_point: 118 °F}, {set_point: 126 °F}, {set_point: 134 °F}, {set_point: 126 °F}, {set_point: 134 °F}, {set_point: 118 °F}, {set_point: 134 °F}, {set_point: 118 °F}, {set_point: 126 °F}]}"},
		"thick and thin": {text: "cooks: [{set_point: 48 °C, pieces: [{thickness: 18 mm}, {thickness: 18 mm}]}, {set_point: 56 °C}, {set_point: 48 °C, pieces: [{thickness: 18 mm}, {thickness: 18 mm}]}, {set_point: 56 °C}, {set_point: 56 °C}, {set_point: 48 °C, pieces: [{thickness: 18 mm}, {thickness: 18 mm}]}]"},
		"with a wish":    {text: "measures: {firmness: {scale: 0 to 10, low: falls apart, high: rubbery, same_within: 1}}"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			in := about.inputs(t)
			r := about.run(t, "")
			c := &Case{Trial: in.Trial, Fit: in.Fit, Claim: r.Claim}
			var offered []string
			for _, sys := range []quantity.System{quantity.Metric, quantity.US} {
				offered = append(offered, strings.Trim(c.better().Text(sys), "“”"))
				for _, m := range in.Fit.Measures {
					for i := range m.Differences {
						if s := r.Claim.Difference(m, &m.Differences[i]); len(s) > 0 {
							offered = append(offered, s.Text(sys))
						}
					}
				}
			}
			seen := map[string]bool{}
			for _, s := range offered {
				if seen[s] {
					continue
				}
				seen[s] = true
				for _, f := range about.run(t, s).Findings {
					if f.Family == Claims && f.Outcome == Fires {
						t.Errorf("%s\n  %s: %s", s, f.Slug, f.Text.Text(quantity.Metric))
					}
				}
			}
		})
	}
}
