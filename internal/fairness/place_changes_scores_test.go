package fairness

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats/linear"
	"tamis/internal/trial"
)

func TestPlaceChangesScores(t *testing.T) {
	t.Parallel()
	// at adds something to each firmness by its place.
	at := func(add func(place, row int) float64) func(testing.TB) *trial.Trial {
		return changed(func(tr *trial.Trial) {
			for i := range tr.Panel.V.Scores {
				s := &tr.Panel.V.Scores[i]
				v := s.Values.Of("firmness")
				v.V += add(s.Position.V, i)
				s.Values.Set("firmness", v)
			}
		})
	}
	first := func(place, _ int) float64 {
		if place == 1 {
			return 0.9
		}
		return 0
	}
	outcomes(t, "place-changes-scores", []expect{
		{name: "first bites higher", trial: at(first), stage: Scored, outcome: Fires, severity: Note, says: "First bites of firmness scored"},
		{name: "falling", trial: at(func(place, _ int) float64 { return -0.25 * float64(place-1) }), stage: Scored, outcome: Fires, says: "The later a sample came, the lower its firmness", severity: Note},
		{name: "tired", trial: at(func(place, row int) float64 {
			if place > 4 {
				return []float64{1.6, -1.6}[(row+row/6)%2]
			}
			return 0
		}), stage: Scored, outcome: Fires, severity: Note, says: "Late scores of firmness scatter"},
		{name: "first bites higher, uneven order", trial: changed(func(tr *trial.Trial) {
			served(func(who, _, arm, piece int) int {
				if who < 3 {
					return 1 + 2*arm + piece
				}
				return 1 + 2*((arm+who)%3) + piece
			})(tr)
			for i := range tr.Panel.V.Scores {
				s := &tr.Panel.V.Scores[i]
				v := s.Values.Of("firmness")
				v.V += 2 * first(s.Position.V, i)
				s.Values.Set("firmness", v)
			}
		}), stage: Scored, outcome: Fires, severity: Weakens},
		{name: "no effect", trial: func(t testing.TB) *trial.Trial { return sound(t) }, stage: Scored, outcome: Clear},
		{name: "too many a sitting", trial: changed(func(tr *trial.Trial) {
			for i := range tr.Panel.V.Scores {
				s := &tr.Panel.V.Scores[i]
				s.Position.V += 6 * int(s.Session.V[1]-'1')
				s.Session = trial.Some("s1")
			}
		}), outcome: Fires, severity: Note, value: 18, says: "18 samples a sitting are more than 6"},
		{name: "no warm-up", trial: swapped("warm_up: yes", "warm_up: no"), outcome: Fires, severity: Note, says: "no warm-up sample"},
		{name: "warm-up not stated, before the scores", trial: swapped("  warm_up: yes\n", ""), outcome: CannotJudge, missing: "panel.warm_up"},
		{name: "few first bites", trial: changed(func(tr *trial.Trial) {
			keepScores(tr, func(s trial.Score) bool { return s.Session.V == "s1" || s.Assessor < "b" })
		}), stage: Scored, outcome: CannotJudge, few: "first place"},
		{name: "a row without a place", trial: changed(func(tr *trial.Trial) {
			for i := range tr.Panel.V.Scores {
				tr.Panel.V.Scores[i].Position = trial.Opt[int]{}
			}
		}), stage: Scored, outcome: CannotJudge, missing: "scores.position"},
		{name: "no panel", trial: snippet(""), outcome: DoesNotApply},
	})
}

// TestWithinSittingsAndSamples holds the effect of a column against a fit with a
// column for every sitting and sample, whose degrees of freedom are known.
func TestWithinSittingsAndSamples(t *testing.T) {
	t.Parallel()
	tr := sound(t)
	set, _, err := newSettings(tr, nil)
	if err != nil {
		t.Fatal(err)
	}
	f := factsOf(tr, set)
	c := &Case{Trial: tr, Factor: f.factors[0], Stage: Scored, set: set, facts: f}
	keepScores(tr, func(s trial.Score) bool { return s.Code.V != "103" || s.Assessor != "ben" }) // uneven
	f.scores = f.scores[:0]
	*f = *factsOf(tr, set)
	pl := c.placedScores(tr.Measures[0])
	x := make([]float64, len(pl.y))
	for i, at := range pl.place {
		x[i] = float64(at)
	}
	got, _ := pl.effectOf(x)
	want := fullFit(t, pl, x)
	if math.Abs(got.b-want.b) > 1e-9 || math.Abs(got.se-want.se) > 1e-9 || got.df != want.df {
		t.Errorf("%+v, want %+v", got, want)
	}
}

// fullFit is the effect of x with a column for every sitting and sample.
func fullFit(t *testing.T, p placed, x []float64) effect {
	t.Helper()
	d := mat.NewDense(len(p.y), p.sittings+p.samples+1, nil)
	var labels []string
	for j := range p.sittings + p.samples + 1 {
		labels = append(labels, string(rune('a'+j/26))+string(rune('a'+j%26)))
	}
	for i := range p.y {
		d.Set(i, p.sitting[i], 1)
		d.Set(i, p.sittings+p.sample[i], 1)
		d.Set(i, p.sittings+p.samples, x[i])
	}
	fit, err := linear.New(d, labels, p.y, linear.Options{})
	if err != nil {
		t.Fatal(err)
	}
	last := fit.Coefficients[len(fit.Coefficients)-1]
	return effect{b: last.Estimate, se: last.SE, df: fit.DF}
}
