package fairness

import (
	"slices"
	"strings"
	"testing"
)

// Examples that only say in words what the score sheet holds: their numbers are
// in the tests of the checks.
var inWords = []string{"salt-gives-it-away", "assessor-out-of-step", "panel-splits", "scores-at-the-end", "missing-by-set-point"}

// Every example of these families is what it says, grafted onto the fair trial.
func TestExamplesOfServingAndPanel(t *testing.T) {
	t.Parallel()
	for _, family := range [][]*Check{brineChecks, finishingChecks, servingChecks, assessorChecks, dataChecks} {
		for _, check := range family {
			if slices.Contains(inWords, check.Slug) {
				continue
			}
			t.Run(check.Slug, func(t *testing.T) {
				t.Parallel()
				stage := Stage(Cooked)
				if check.Stage == Scored {
					stage = Scored
				}
				if f := ask(t, check.Slug, "", graft(t, check.FiresOn), stage); f.Outcome != Fires {
					t.Errorf("%s on FiresOn: %v %v %v", f.Outcome, f.Missing, f.TooFew, f.Text)
				}
				if strings.HasPrefix(check.ClearOn, "# ") {
					return
				}
				if f := ask(t, check.Slug, "", graft(t, check.ClearOn), stage); f.Outcome != Clear {
					t.Errorf("%s on ClearOn: %v %v %v", f.Outcome, f.Missing, f.TooFew, f.Text)
				}
			})
		}
	}
}

// TestProse holds the style of what is said: whole sentences, no placeholder
// without a name, every threshold known.
func TestProse(t *testing.T) {
	t.Parallel()
	for _, family := range [][]*Check{brineChecks, finishingChecks, servingChecks, assessorChecks, dataChecks} {
		for _, check := range family {
			for what, s := range map[string]string{"asks": check.Asks, "finds": check.Finds, "clears": check.Clears, "unjudged": check.Unjudged, "why": check.Why,
				"wording": check.Wording, "next": check.Next, "source": check.Source} {
				if s == "" || strings.Contains(s, "  ") || strings.ContainsAny(s, "!") || what != "asks" && !strings.HasSuffix(s, ".") && !strings.HasSuffix(s, "?") {
					t.Errorf("%s %s: %q", check.Slug, what, s)
				}
			}
			if check.Hedge == "" || strings.HasSuffix(check.Hedge, ".") || check.Fix == "" || len(check.Needs) == 0 {
				t.Errorf("%s: hedge, fix or needs", check.Slug)
			}
			for _, name := range check.Options {
				if _, ok := optionNamed(name); !ok {
					t.Errorf("%s: there is no threshold %s", check.Slug, name)
				}
			}
			e := Explain(check)
			if strings.Contains(e.Finds+e.Clears+e.Unjudged, "{") {
				t.Errorf("%s: %s", check.Slug, e.Finds)
			}
		}
	}
}
