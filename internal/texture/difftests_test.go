package texture

import (
	"encoding/json"
	"strconv"
	"strings"
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

func share(t *testing.T, s string) quantity.Share {
	t.Helper()
	p, err := quantity.ParseShare(s)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestDifferenceTests(t *testing.T) {
	t.Parallel()
	const tables = "exact binomial, as in the tables of ISO 4120 and ISO 10399"
	cases := []struct {
		kind             trial.TestKind
		answers, correct int
		least            int
		p                float64
		rel              float64
	}{
		{trial.Triangle, 30, 15, 15, 0.0435, 1e-2},
		{trial.Triangle, 24, 13, 13, 0.0284, 1e-2},
		{trial.DuoTrio, 32, 22, 22, 0.0251, 1e-2},
		{trial.TwoAFC, 30, 20, 20, 0.0494, 1e-2},
		{trial.PairedTwoWay, 30, 20, 21, 0.0987, 1e-2},
	}
	for _, c := range cases {
		d := differenceTest(trial.DifferenceTest{Kind: c.kind, Answers: c.answers, Correct: c.correct}, 0.95)
		within(t, string(c.kind)+" p", d.P, c.p, c.rel, tables+", three digits")
		if d.Least != c.least {
			t.Errorf("%s of %d: least correct %d, want %d (%s)", c.kind, c.answers, d.Least, c.least, tables)
		}
		if !d.DPrime.Known() || !d.SE.Known() {
			t.Errorf("%s: no distance", c.kind)
		}
	}
}

func TestSimilarity(t *testing.T) {
	t.Parallel()
	s := trial.Some(trial.Similarity{PD: share(t, "30 %"), Beta: share(t, "5 %")})
	for _, c := range []struct{ answers, most int }{{36, 13}, {60, 25}} {
		d := differenceTest(trial.DifferenceTest{Kind: trial.Triangle, Answers: c.answers, Correct: c.most, Similarity: s}, 0.95)
		if d.MostAllow != c.most || d.Similar == nil || !*d.Similar {
			t.Errorf("%d answers: most correct %d, want %d and similar (ISO 4120, similarity, 30 %%, 5 %%)", c.answers, d.MostAllow, c.most)
		}
		d = differenceTest(trial.DifferenceTest{Kind: trial.Triangle, Answers: c.answers, Correct: c.most + 1, Similarity: s}, 0.95)
		if d.Similar == nil || *d.Similar {
			t.Errorf("%d answers, one more correct: still similar", c.answers)
		}
	}
}

func TestImpossibleCounts(t *testing.T) {
	t.Parallel()
	for _, c := range []trial.DifferenceTest{
		{Kind: trial.Triangle, Answers: 10, Correct: 11},
		{Kind: trial.Triangle, Answers: 10, Correct: -1},
		{Kind: trial.Triangle, Answers: 0, Correct: 0},
		{Kind: trial.Triangle, Answers: -3, Correct: 0},
		{Kind: "taste", Answers: 10, Correct: 5},
	} {
		d := differenceTest(c, 0.95)
		if d.Cannot == "" || d.P.Known() || d.DPrime.Known() {
			t.Errorf("%+v: no reason given, or a number all the same", c)
		}
		if b, err := json.Marshal(d); err != nil || strings.Contains(string(b), "NaN") {
			t.Errorf("%+v: %s, %v", c, b, err)
		}
	}
	// All correct, and none: answers with open ends, never an infinity.
	for _, c := range []trial.DifferenceTest{
		{Kind: trial.Triangle, Answers: 10, Correct: 10}, {Kind: trial.Triangle, Answers: 10},
		{Kind: trial.PairedTwoWay, Answers: 10, Correct: 10}, {Kind: trial.PairedTwoWay, Answers: 10},
	} {
		d := differenceTest(c, 0.95)
		if d.Cannot != "" || !d.P.Known() {
			t.Errorf("%+v: %s", c, d.Cannot)
		}
	}
}

func grams(t testing.TB, g float64) trial.Opt[quantity.Mass] {
	t.Helper()
	m, err := quantity.ParseMass(strconv.FormatFloat(g, 'g', -1, 64) + " g")
	if err != nil {
		t.Fatal(err)
	}
	return trial.Some(m)
}
