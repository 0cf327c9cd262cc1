package size

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/stats/discrim"
)

func load(t *testing.T, name string, into any) {
	t.Helper()
	b, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, into); err != nil {
		t.Fatal(err)
	}
}

// near compares to a relative tolerance.
func near(t *testing.T, name string, got quantity.Number, want, rel float64, source string) {
	t.Helper()
	v, ok := got.Get()
	if !ok || math.Abs(v-want) > rel*math.Abs(want) {
		t.Errorf("%s: %v, want %v to %v (%s)", name, got, want, rel, source)
	}
}

// ask sizes a plain layout: no sessions, one piece a cook, no simulation.
func ask(t *testing.T, d Design, sd float64, q Question) *Cooks {
	t.Helper()
	d.Sessions, d.Pieces = max(1, d.Sessions), 1
	if q.Alpha == 0 {
		q.Alpha = 0.05
	}
	if q.Power == 0 {
		q.Power = 0.8
	}
	r, err := Of(t.Context(), Request{Design: d, Spread: Spread{Cooks: sd}, Question: q, Words: Words{Unit: "points", Arm: "set point"}})
	if err != nil {
		t.Fatal(err)
	}
	return r.Cooks
}

func TestPowerReference(t *testing.T) {
	t.Parallel()
	var d struct {
		Source string
		T      []struct {
			N         int
			Delta, SD float64
			Strict    float64 `json:"two_sample_strict"`
			One       float64 `json:"one_sided"`
			Paired    float64
		} `json:"t_power"`
		TN []struct {
			Effect, Power float64
			Strict        float64 `json:"n_two_sample_strict"`
			Paired        float64 `json:"n_paired"`
		} `json:"t_n"`
		Anova []struct {
			Groups, N  int
			BetweenVar float64 `json:"between_var"`
			WithinVar  float64 `json:"within_var"`
			Power      float64
			Power01    float64 `json:"power_alpha01"`
		} `json:"anova_power"`
		AnovaN []struct {
			Groups     int
			BetweenVar float64 `json:"between_var"`
			WithinVar  float64 `json:"within_var"`
			Power, N   float64
		} `json:"anova_n"`
		Blocks []struct {
			Blocks            int
			Tau               string
			Sigma, NCP, Power float64
		} `json:"rcbd_power"`
	}
	load(t, "power.json", &d)
	if len(d.T) == 0 || len(d.TN) == 0 || len(d.Anova) == 0 || len(d.AnovaN) == 0 || len(d.Blocks) == 0 {
		t.Fatal("a section of the reference file is empty")
	}
	for _, r := range d.T {
		name := fmt.Sprintf("%d cooks of each, difference %v", r.N, r.Delta)
		near(t, name, ask(t, Design{SetPoints: 2, Cooks: r.N}, r.SD, Question{Effect: r.Delta}).Now.Power, r.Strict, 1e-9, d.Source)
		near(t, name+", one-sided", ask(t, Design{SetPoints: 2, Cooks: r.N}, r.SD, Question{Effect: r.Delta, OneSided: true}).Now.Power, r.One, 1e-9, d.Source)
		// One cook of each a session is a pair; the sd of its difference is √2 times
		// that of a cook. The reference counts one rejection side, hence 2.5 %.
		pair := Question{Effect: r.Delta, OneSided: true, Alpha: 0.025}
		near(t, name+", paired", ask(t, Design{SetPoints: 2, Cooks: r.N, Sessions: r.N}, r.SD/math.Sqrt2, pair).Now.Power, r.Paired, 1e-9, d.Source)
	}
	for _, r := range d.TN {
		c := ask(t, Design{SetPoints: 2, Cooks: 2}, 1, Question{Effect: r.Effect, Power: r.Power})
		if want := int(math.Ceil(r.Strict)); c.Needed == nil || c.Needed.Design.Cooks != want {
			t.Errorf("effect %v, power %v: %+v, want %d cooks of each (%s)", r.Effect, r.Power, c.Needed, want, d.Source)
		}
	}
	// 3e-9 for F: R's noncentral beta series ends at 1e-9 absolute.
	for _, r := range d.Anova {
		means := spreadMeans(r.Groups, r.BetweenVar)
		name := fmt.Sprintf("%d set points, %d cooks", r.Groups, r.N)
		sd := math.Sqrt(r.WithinVar)
		near(t, name, ask(t, Design{SetPoints: r.Groups, Cooks: r.N}, sd, Question{Means: means}).Now.Power, r.Power, 3e-9, d.Source)
		near(t, name+" at 1 %", ask(t, Design{SetPoints: r.Groups, Cooks: r.N}, sd, Question{Means: means, Alpha: 0.01}).Now.Power, r.Power01, 3e-9, d.Source)
	}
	for _, r := range d.AnovaN {
		c := ask(t, Design{SetPoints: r.Groups, Cooks: 2}, math.Sqrt(r.WithinVar), Question{Means: spreadMeans(r.Groups, r.BetweenVar), Power: r.Power})
		if want := int(math.Ceil(r.N)); c.Needed == nil || c.Needed.Design.Cooks != want {
			t.Errorf("%d set points: %+v, want %d cooks of each (%s)", r.Groups, c.Needed, want, d.Source)
		}
	}
	for _, r := range d.Blocks {
		var tau []float64
		for _, f := range strings.Fields(r.Tau) {
			v, err := strconv.ParseFloat(f, 64)
			if err != nil {
				t.Fatal(err)
			}
			tau = append(tau, v)
		}
		got := ask(t, Design{SetPoints: len(tau), Cooks: r.Blocks, Sessions: r.Blocks}, r.Sigma, Question{Means: tau})
		near(t, "sessions as blocks", got.Now.Power, r.Power, 3e-9, d.Source)
		if want := (r.Blocks - 1) * (len(tau) - 1); got.Now.DF != want {
			t.Errorf("%d sessions of %d: %d df, want %d", r.Blocks, len(tau), got.Now.DF, want)
		}
	}
}

// spreadMeans are means whose variance (divisor groups − 1) is v.
func spreadMeans(groups int, v float64) []float64 {
	out := make([]float64, groups)
	ss, mid := 0.0, float64(groups-1)/2
	for i := range out {
		out[i] = float64(i) - mid
		ss += out[i] * out[i]
	}
	for i := range out {
		out[i] *= math.Sqrt(v * float64(groups-1) / ss)
	}
	return out
}

func askTest(t *testing.T, r TestRequest) *Answers {
	t.Helper()
	if r.Alpha == 0 {
		r.Alpha = 0.05
	}
	if r.Power == 0 {
		r.Power = 0.8
	}
	out, err := OfTest(r)
	if err != nil {
		t.Fatal(err)
	}
	return out.Answers
}

func TestAnswersReference(t *testing.T) {
	t.Parallel()
	var d struct {
		Source string
		Least  []struct {
			Chance string
			N      int
			M05    *float64 `json:"min_05"`
			M01    *float64 `json:"min_01"`
			M001   *float64 `json:"min_001"`
		} `json:"least_correct"`
		Agree []struct {
			N    int
			M05  *float64 `json:"min_05"`
			M01  *float64 `json:"min_01"`
			M001 *float64 `json:"min_001"`
		} `json:"least_agree"`
		Power []struct {
			N         int
			PA, Power float64
		} `json:"power_third"`
	}
	load(t, "answers.json", &d)
	if len(d.Least) < 100 || len(d.Agree) < 10 || len(d.Power) == 0 {
		t.Fatal("a section of the reference file is short")
	}
	same := func(name string, got quantity.Number, want *float64) {
		t.Helper()
		if v, ok := got.Get(); ok != (want != nil) || ok && v != *want {
			t.Errorf("%s: %v, want %v (%s)", name, got, want, d.Source)
		}
	}
	for _, r := range d.Least {
		methods := []discrim.Method{discrim.DuoTrio, discrim.TwoAFC}
		if r.Chance == "third" {
			methods = []discrim.Method{discrim.Triangle, discrim.ThreeAFC}
		}
		for _, m := range methods {
			for alpha, want := range map[float64]*float64{0.05: r.M05, 0.01: r.M01, 0.001: r.M001} {
				same(fmt.Sprint(m, " ", r.N, " at ", alpha), askTest(t, TestRequest{Method: m, Answers: r.N, Alpha: alpha}).Now.Critical, want)
			}
		}
	}
	for _, r := range d.Agree {
		for alpha, want := range map[float64]*float64{0.05: r.M05, 0.01: r.M01, 0.001: r.M001} {
			same(fmt.Sprint("paired ", r.N, " at ", alpha), askTest(t, TestRequest{Method: discrim.TwoAFC, TwoSided: true, Answers: r.N, Alpha: alpha}).Now.Critical, want)
		}
	}
	for _, r := range d.Power {
		a := askTest(t, TestRequest{Method: discrim.Triangle, Answers: r.N, Distinguish: discrim.Triangle.ShareFromPC(r.PA)})
		near(t, fmt.Sprint("power of ", r.N, " answers"), a.Now.Power, r.Power, 1e-10, d.Source)
	}
}

// Worked tables: triangle and duo-trio at 5 %, similarity at β 5 % and pd 30 %
// (published tables of ISO 4120 and ISO 10399, from memory).
func TestWorkedTables(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		m          discrim.Method
		similarity bool
		n          int
		want       float64
	}{
		{discrim.Triangle, false, 12, 8}, {discrim.Triangle, false, 24, 13}, {discrim.Triangle, false, 30, 15}, {discrim.Triangle, false, 36, 18},
		{discrim.Triangle, false, 48, 22}, {discrim.Triangle, false, 60, 27}, {discrim.DuoTrio, false, 32, 22}, {discrim.DuoTrio, false, 36, 24},
		{discrim.Triangle, true, 36, 13}, {discrim.Triangle, true, 60, 25},
	} {
		r := TestRequest{Method: c.m, Answers: c.n, Similarity: c.similarity}
		if c.similarity {
			r.Distinguish = 0.3
		}
		if got := askTest(t, r).Now.Critical.Or(0); got != c.want {
			t.Errorf("%v, %d answers: %v, published %v", c.m, c.n, got, c.want)
		}
	}
}
