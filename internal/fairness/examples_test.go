package fairness

import (
	"slices"
	"strings"
	"testing"

	"tamis/internal/quantity"
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
				if s == "" && what == "unjudged" {
					continue // it can always be judged
				}
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

// TestWorkedExamples holds the numbers that the examples compute.
func TestWorkedExamples(t *testing.T) {
	t.Parallel()
	for _, w := range []struct {
		check *Check
		says  string
	}{
		{&searHidesSetPoint, "to 5 mm from each face, 40 % of it. If the bite is the mean of its layers, 1.2 points"}, // √(4·1.4e-7·45) = 5.02 mm
		{&tastersKnew, "8 or more come by luck in 2 %"},                                                               // 0.0188, binomial sum by hand
		{&scoresAtTheEnd, "their means are 8.9 and 9.9: of 2.0 points 1.0 are left"},                                  // 9Φ(1) + 10Φ(−1) − φ(1) = 8.917, 11Φ(−1) + 10Φ(1) − φ(1) = 9.917
		{&missingBySetPoint, "on average 5.0. The 6 that fell apart are left blank, and the rest average 5.3"},        // (4.522 + 6)/2 = 5.26
		{&notAllTastedAll, "4.0 against 6.0"},
	} {
		if got := w.check.Example().Text(quantity.Metric); !strings.Contains(got, w.says) {
			t.Errorf("%s: %q does not say %q", w.check.Slug, got, w.says)
		}
	}
}
