package answer_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"tamis/internal/answer"
	"tamis/internal/design"
	"tamis/internal/design/schedule"
	"tamis/internal/fairness"
	"tamis/internal/heat"
	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/texture"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

// anyTrialText is a random trial of any food, careless in places, with faults
// that call for fixes of every kind.
func anyTrialText(r *rand.Rand) string {
	pick := func(list ...string) string { return list[r.IntN(len(list))] }
	often := func(p float64, s string) string {
		if r.Float64() < p {
			return s
		}
		return ""
	}
	var b strings.Builder
	kind := pick("lean fish", "oily fish", "poultry", "beef pork lamb", "game", "shell egg", "bivalve", "crustacean", "cephalopod", "vegetable", "pulse", "other")
	form := pick("whole", "whole", "whole", "minced", "tenderised", "injected", "rolled", "stuffed")
	fmt.Fprintf(&b, "tamis: 1\ntitle: Any trial\nserve: [%s]\nrules: %s\n", pick("public", "public", "vulnerable"), pick("eu", "us"))
	thick, low := 5+r.IntN(45), 40+r.IntN(36)
	careful := r.IntN(2) == 0 // so that some of it may be eaten
	if careful {
		kind, form, thick, low = pick("lean fish", "beef pork lamb", "poultry", "vegetable", "crustacean"), "whole", 5+r.IntN(15), 48+r.IntN(14)
		if kind == "poultry" {
			low = 64 + r.IntN(6)
		}
	}
	fmt.Fprintf(&b, "food: {name: the food, kind: %s, form: %s, shape: slab, thickness: %d mm, start: %d °C%s%s}\n", kind, form, thick, r.IntN(8),
		often(map[bool]float64{true: 1, false: 0.6}[careful], fmt.Sprintf(", frozen: {at: -%d °C, for: %d d, by: supplier}", 18+r.IntN(10), 1+r.IntN(14))), often(0.4, fmt.Sprintf(", composition: {fat: %d %%}", 1+r.IntN(15))))
	b.WriteString("measures: {firmness: {scale: 0 to 10, low: falls apart, high: rubbery}, saltiness: {scale: 0 to 10, role: salt}, liking: {scale: 1 to 9}}\n")
	fmt.Fprintf(&b, "aim: {measure: firmness, target: %s}\n", pick("4 to 6", "2 to 3", "8 to 9"))
	step, arms := 1+r.IntN(7), 2+r.IntN(3)
	b.WriteString(often(0.6, fmt.Sprintf("conclusion: %s\n", pick(
		fmt.Sprintf("At %d °C it is at its best, and safe for everyone.", low-6), fmt.Sprintf("Cook it at %d °C for 10 min.", low+step/2),
		"The optimum is the coldest. It is twice as firm when hot.", fmt.Sprintf("Guests prefer it below %d °C.", low), fmt.Sprintf("Cook it at %d °F.", 100+r.IntN(40)), "They are the same, and this proves it."))))
	b.WriteString(often(0.3, "declared: 2026-02-01\n") + often(0.5, "date: 2026-02-12\n"))
	b.WriteString(often(0.5, fmt.Sprintf("panel: {blind: %s, warm_up: %s, together: %s, assessors: {ann: {cooked: %s}}}\n", pick("yes", "no"), pick("yes", "no"), pick("yes", "no"), pick("yes", "no"))))
	b.WriteString("cooks:\n")
	each, minutes, fahrenheit := 1+r.IntN(3), 15+r.IntN(200), r.IntN(3) == 0
	if careful {
		minutes = 70 + r.IntN(60)
	}
	for i := range arms * each {
		arm := i % arms
		set := fmt.Sprintf("%d °C", low+step*arm)
		if fahrenheit {
			set = fmt.Sprintf("%d °F", int(1.8*float64(low+step*arm)+32))
		}
		at := minutes
		if r.IntN(4) == 0 && !careful {
			at = 15 + r.IntN(200)
		}
		fmt.Fprintf(&b, "  - {id: C%d, set_point: %s, time: %d min, firmness: %d, saltiness: %d, liking: %d%s%s%s%s%s%s%s}\n", i+1, set, at, min(10, 1+2*arm+r.IntN(3)), r.IntN(10), 1+r.IntN(9),
			often(0.7, fmt.Sprintf(", session: s%d", 1+i/arms)), often(0.7, fmt.Sprintf(", order: %d", 1+arm)), often(0.5, ", bath: "+pick("north", "south")),
			often(0.2, ", chilled: "+pick("yes", "no", map[bool]string{true: "no", false: "yes"}[careful])), often(0.3, fmt.Sprintf(", served_at: %d °C", 20+r.IntN(30))),
			often(0.2, ", finish: {sear: 60 s per side}"), often(0.3, fmt.Sprintf(", pieces: [{id: P%d, thickness: %d mm, source: a%d, part: %s}]", i+1, thick+r.IntN(5), r.IntN(3), pick("head", "tail"))))
	}
	return b.String()
}

var (
	degrees     = regexp.MustCompile(`(−?-?[0-9]+(?:\.[0-9]+)?) °([CF])`)
	minutesSaid = regexp.MustCompile(`([0-9]+) min`)
	// mouths are words of fixes that have somebody eat.
	mouths = regexp.MustCompile(`(?i)\b(tast\w*|bite\w*|serve[sd]?|eat\w*|scores?|warm-up|consumers|plate|season|reheat|chill)\b`)
	// dangers are what no fix may ask for.
	dangers = regexp.MustCompile(`(?i)\b(colder|lower (the )?(temperature|set point)|shorter (time|cook|bath)|shorten|less time|cook (it )?less|sooner out|keep (it |them |all )?warm|warm holding|hold (it |them )?warm|` +
		`room temperature|on the (counter|bench|board)|cool (slowly|in air|on the)|chill (slowly|warm)|longer on the plate|thaw (warm|on)|raw|undercook\w*|rare)\b`)
	// leftOut is how a fix begins that is for the other cooks alone.
	leftOut  = regexp.MustCompile(`^Without (.+?), which must not be eaten: `)
	refusals = regexp.MustCompile(`(?i)do not cook|so that it may be eaten|no set point between them is proposed|leave the sentence out|nothing is proposed|no set point is proposed`)
)

// notToBeEaten lists the cooks of a trial that must not be eaten.
func notToBeEaten(tr *trial.Trial) []string {
	var out []string
	for _, v := range safety.OfTrial(tr, heat.OfTrial(tr)).Cooks {
		if v.Verdict == safety.DoNotEat {
			out = append(out, v.Cook)
		}
	}
	return out
}

// fixHolds looks at one sentence that tells somebody what to do next. What has
// somebody eat is for the cooks alone that are not in bad, and names those.
func fixHolds(t *testing.T, tr *trial.Trial, bad []string, who string, s answer.Sentence) {
	t.Helper()
	for _, sys := range []quantity.System{quantity.Metric, quantity.US} {
		said := s.Text(sys)
		if m := dangers.FindString(said); m != "" {
			t.Errorf("%s asks for %q: %s", who, m, said)
		}
		if refusals.MatchString(said) {
			continue
		}
		if m := leftOut.FindStringSubmatch(said); m != nil {
			if m[1] != prose.List(bad) || len(bad) == len(tr.Cooks) {
				t.Errorf("%s leaves out %s, and not %v", who, m[1], bad)
			}
			said = said[len(m[0]):]
		} else if m := mouths.FindString(said); m != "" && len(bad) > 0 {
			t.Errorf("%s has somebody eat (%q) what is not to be eaten: %s", who, m, said)
		}
		for _, m := range degrees.FindAllStringSubmatchIndex(said, -1) {
			v, err := strconv.ParseFloat(strings.ReplaceAll(said[m[2]:m[3]], "−", "-"), 64)
			if err != nil {
				t.Fatal(err)
			}
			if said[m[4]:m[5]] == "F" {
				v = (v - 32) / 1.8
			}
			if strings.Contains(said, "ice water") { // the one temperature of cooling
				if v > 5.1 {
					t.Errorf("%s cools to %g °C: %s", who, v, said)
				}
				continue
			}
			if got := safety.For(tr, v, nil); got.Verdict == safety.DoNotEat {
				t.Errorf("%s proposes %g °C, which is %s: %s", who, v, got.Verdict, said)
			}
		}
	}
}

// Whatever the food, the form, the guests and the carelessness: no fix of a
// check, at any moment, no pick, no next trial, no plan and no schedule asks for
// what the verdict calls do not eat, for less heat, or for more time in the warm.
func TestNoFixIsDangerous(t *testing.T) {
	t.Parallel()
	n := 1200
	if testing.Short() {
		n = 150
	}
	r := rand.New(rand.NewPCG(2026, 11))
	dir := t.TempDir()
	refused, laidOut, scheduled, slugs := 0, 0, 0, map[string]bool{}
	for i := range n {
		text := anyTrialText(r)
		path := filepath.Join(dir, "any.yaml")
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		tr, messages, err := trialfile.Read(path, trialfile.Vocabulary{})
		if err != nil || tr == nil || messages.HasErrors() {
			t.Fatalf("%v %v\n%s", err, messages, text)
		}
		bad := notToBeEaten(tr)
		if len(bad) > 0 {
			refused++
		}
		failedBefore := t.Failed()
		say := func(who string, s answer.Sentence) { fixHolds(t, tr, bad, who, s) }
		_, before := answer.Before(tr, nil)
		res := answer.Of(tr, answer.Options{Options: texture.Options{Draws: 40}})
		for _, list := range [][]fairness.Finding{before.Findings, res.Findings} {
			for k := range list {
				if f := &list[k]; f.Outcome == fairness.Fires {
					slugs[f.Slug] = true
					say(f.Slug, f.Next)
				}
			}
		}
		for _, s := range res.Doubts.Next {
			say("doubts", s)
		}
		for _, s := range res.Text.Next {
			say("next", s)
		}
		pickHolds(t, tr, res)
		next, err := answer.NextTrial(tr, res)
		switch {
		case res.Safety.Verdict == answer.VerdictDoNotEat && !errors.Is(err, answer.ErrNotToBeEaten):
			t.Errorf("a next trial of what is not to be eaten: %v", err)
		case err == nil:
			plan, err := design.Of(next, design.Options{Seed: uint64(i)})
			if err != nil {
				t.Errorf("the next trial cannot be laid out: %v", err)
				break
			}
			laidOut++
			planHolds(t, tr, plan.Trial)
			days, _ := schedule.Of(plan.Trial, schedule.Options{ServeAt: trial.Some(trial.Clock{Minute: 19 * 60})})
			if days != nil {
				scheduled += scheduleHolds(t, plan.Trial, days)
			}
		}
		if t.Failed() && !failedBefore {
			t.Logf("the trial:\n%s", text)
		}
	}
	t.Logf("%d trials, %d not to be eaten, %d laid out again, %d cooks scheduled, %d checks had a fix", n, refused, laidOut, scheduled, len(slugs))
	if refused < n/10 || refused == n || laidOut == 0 || scheduled == 0 || len(slugs) < 20 {
		t.Error("too little was tried")
	}
}

// pickHolds holds the set point that an answer names against the cooks that had
// it: where none of them may be eaten, it is not named, and there is no run sheet.
func pickHolds(t *testing.T, tr *trial.Trial, res *answer.Result) {
	t.Helper()
	said := res.Text.Answer.Text(quantity.Metric)
	refused := refusals.MatchString(said)
	if res.Safety.Verdict == answer.VerdictDoNotEat && (!refused || res.RunSheet != nil) {
		t.Errorf("an answer or a run sheet for what is not to be eaten: %s", said)
	}
	m := degrees.FindStringSubmatch(said)
	if m == nil || refused {
		return
	}
	at, err := strconv.ParseFloat(m[1], 64)
	if err != nil {
		t.Fatal(err)
	}
	long := 0.0 // the time that is named; shorter cooks say nothing of it
	if m := minutesSaid.FindStringSubmatch(said); m != nil {
		long, _ = strconv.ParseFloat(m[1], 64)
	}
	judged := safety.OfTrial(tr, heat.OfTrial(tr))
	cooks, eaten := 0, 0
	for i := range tr.Cooks {
		spent, _ := tr.Cooks[i].BathTime()
		if d := tr.Cooks[i].SetPoint.V.Celsius() - at; d < 0.6 && d > -0.6 && spent.Minutes() >= long {
			cooks++
			if judged.Cooks[i].Verdict != safety.DoNotEat {
				eaten++
			}
		}
	}
	if cooks > 0 && eaten == 0 {
		t.Errorf("none of the cooks at %g °C may be eaten: %s", at, said)
	}
}

// planHolds holds a plan that continues a trial against it: nothing that is not to
// be eaten, nothing outside what was cooked, no shorter time.
func planHolds(t *testing.T, before, plan *trial.Trial) {
	t.Helper()
	coldest, hottest, shortest := 1000.0, 0.0, 1e9
	for i := range before.Cooks {
		c := &before.Cooks[i]
		coldest, hottest = min(coldest, c.SetPoint.V.Celsius()), max(hottest, c.SetPoint.V.Celsius())
		if d, ok := c.BathTime(); ok {
			shortest = min(shortest, d.Minutes())
		}
	}
	judged := safety.OfTrial(plan, heat.OfTrial(plan))
	for i := range plan.Cooks {
		c := &plan.Cooks[i]
		if v := judged.Cooks[i]; v.Verdict == safety.DoNotEat {
			t.Errorf("plan: cook %s at %s is %s", c.ID, c.SetPoint.V, v.Verdict)
		}
		if at := c.SetPoint.V.Celsius(); at < coldest-0.3 || at > hottest+0.3 {
			t.Errorf("plan: %s, and %g to %g °C was cooked", c.SetPoint.V, coldest, hottest)
		}
		if d, ok := c.BathTime(); ok && d.Minutes() < shortest-1e-6 {
			t.Errorf("plan: %g min, and the shortest was %g", d.Minutes(), shortest)
		}
	}
}

// scheduleHolds holds the clock against the plan: no cook is shorter, and the last
// bite comes before what is left is thrown away.
func scheduleHolds(t *testing.T, plan *trial.Trial, s *schedule.Schedule) (cooks int) {
	t.Helper()
	for _, day := range s.Days {
		for _, k := range day.Cooks {
			cooks++
			c := &plan.Cooks[plan.CookIndex()[k.Cook]]
			if d, ok := c.BathTime(); ok && float64(k.Out-k.In)/60 < d.Minutes()-1 {
				t.Errorf("schedule: cook %s is %g min in the bath, and %g were planned", k.Cook, float64(k.Out-k.In)/60, d.Minutes())
			}
			if k.Verdict == safety.DoNotEat && !s.NotTasted {
				t.Errorf("schedule: cook %s is served, and is %s", k.Cook, k.Verdict)
			}
			if k.LastBite != nil && k.Discard != nil && *k.LastBite > *k.Discard {
				t.Errorf("schedule: the last bite of cook %s is after it is thrown away", k.Cook)
			}
		}
	}
	return cooks
}
