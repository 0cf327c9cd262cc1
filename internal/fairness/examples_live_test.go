package fairness

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/stats/dist"
)

// Every check has a worked example, in both units, the same each time, with every
// number there.
func TestEveryCheckHasAnExample(t *testing.T) {
	t.Parallel()
	for _, c := range Catalogue() {
		if c.Example == nil {
			t.Errorf("%s has no worked example", c.Slug)
			continue
		}
		s := c.Example()
		metric, us := s.Text(quantity.Metric), s.Text(quantity.US)
		for _, text := range []string{metric, us} {
			if strings.ContainsAny(text, "{}!") || strings.Contains(text, "NaN") || strings.Contains(text, "Inf") || strings.Contains(text, "  ") || !strings.HasSuffix(text, ".") {
				t.Errorf("%s: %q", c.Slug, text)
			}
		}
		if strings.Contains(us, "°C") || strings.Contains(metric, "°F") {
			t.Errorf("%s: %q and %q", c.Slug, metric, us)
		}
		hasNumber := false
		for _, part := range s {
			hasNumber = hasNumber || part.Quantity != nil
		}
		if !hasNumber {
			t.Errorf("%s: no number in %q is computed", c.Slug, metric)
		}
		if again := c.Example().Text(quantity.Metric); again != metric {
			t.Errorf("%s: %q, then %q", c.Slug, metric, again)
		}
		t.Logf("%s: %s", c.Slug, metric)
	}
}

// The share of false findings is what simulated trials give: two cooks that
// differ by chance alone, six pieces in each, a t test on the pieces.
func TestFalseFindings(t *testing.T) {
	t.Parallel()
	const trials, n = 20000, 6
	r := rand.New(rand.NewPCG(1, 1))
	limit, err := dist.TQuantile(0.975, 2*n-2)
	if err != nil {
		t.Fatal(err)
	}
	found := 0
	for range trials {
		var mean, ss [2]float64
		for arm := range 2 {
			cook, x := r.NormFloat64(), make([]float64, n)
			for i := range x {
				x[i] = cook + r.NormFloat64()
			}
			mean[arm] = meanValue(x)
			for _, v := range x {
				ss[arm] += (v - mean[arm]) * (v - mean[arm])
			}
		}
		if math.Abs(mean[0]-mean[1])/math.Sqrt((ss[0]+ss[1])/(2*n-2)*2/n) > limit {
			found++
		}
	}
	p := falseFindings(n, 1)
	// Four standard errors of a share of so many trials.
	if got := float64(found) / trials; math.Abs(got-p) > 4*math.Sqrt(p*(1-p)/trials) {
		t.Errorf("simulated %.4f, computed %.4f", got, p)
	}
	if got := falseFindings(n, 0); math.Abs(got-0.05) > 1e-9 {
		t.Errorf("cooks that do not vary: %v", got)
	}
}

// The numbers in the examples, by hand.
func TestWorkedNumbers(t *testing.T) {
	t.Parallel()
	for _, w := range []struct {
		example func() prose.Sentence
		says    string
	}{
		{exampleLooks, "4 are worth 2.1, 12 are worth 2.8, and 100 are worth 3.3"},                           // 4/1.9, 12/4.3, 100/30.7
		{exampleSplitRun, "from two fills is known to 0.8, of two bags from one fill to 1.1"},                // √0.625 = 0.79, √1.125 = 1.06
		{exampleRunOrder, "by 1.5 points from end to end. Run as 50 °C, 58 °C, 46 °C, 54 °C: by 0.0 points"}, // 3 × 0.5; places 3, 1, 4, 2: slope −0.1·…
		{exampleSessionTied, "of 2 comparisons 2 are lost, however often each is cooked"},                    // a day each
		{exampleDrift, "1.6 points after 9 runs"},                                                            // 8 × 0.2
		{exampleBathOff, "from 1.0 °C to 3.0 °C apart, and a slope taken from it is wrong by up to 50 %"},    // 2 ± 1
		{examplePartTied, "differ by 1.0 points whatever the baths do"},                                      // (3.5 − 1.5) × 0.5
		{exampleOneLot, "bring that to 0.5"},                                                                 // 0.8/√3 = 0.46
		{exampleAnythingElse, "in 91 % of trials"},                                                           // 1 − (2/3)^6 = 0.912
		{exampleGap, "5 lies at 52 °C; if it rises late, as a square, at 54.5 °C"},                           // 46 + 12/√2 = 54.49
		{exampleOneTub, "worth 1.2 pieces"},                                                                  // 8/6.6 = 1.21
		{exampleOneCook, "on average 5.0. Without the last it is 4.0"},                                       //
		{exampleLoad, "take 1.2 °C off 10 l"},                                                                // 50 × 1.05/42.85 = 1.225
	} {
		if got := w.example().Text(quantity.Metric); !strings.Contains(got, w.says) {
			t.Errorf("%q does not say %q", got, w.says)
		}
	}
}
