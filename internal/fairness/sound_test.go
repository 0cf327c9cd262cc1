package fairness

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"

	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/texture"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

// williams is a square of orders of six samples: each stands once at each place
// and once after each other one (Williams 1949; made by the zigzag 0 1 5 2 4 3
// and its shifts).
func williams() [6][6]int {
	var out [6][6]int
	for i := range out {
		for j, k := range [6]int{0, 1, 5, 2, 4, 3} {
			out[i][j] = (k + i) % 6
		}
	}
	return out
}

// soundText is a trial without a fault in serving, panel and data: three set
// points in three sessions, two pieces a cook, one of them from a wet brine of
// which each session had its own tub, six tasters who taste all six pieces of a
// session in the orders of a Williams square.
var soundText = sync.OnceValue(func() map[string]string {
	var b, sheet, key strings.Builder
	b.WriteString(`tamis: 1
title: Trout, 46 to 54 °C
question: Which set point holds on the plate?
date: 2026-02-12
status: cooked
declared: 2026-02-09
left_out_rule: sheet unfinished
aim:
  - {measure: firmness, target: 5 to 6.5}
food: {name: trout, kind: oily fish, form: whole, shape: slab, thickness: 18 mm, start: 4 °C}
measures:
  firmness: {scale: 0 to 10}
  liking: {scale: 1 to 9, role: liking}
  saltiness: {scale: 0 to 10, role: salt}
sessions: {s1: {date: 2026-02-10}, s2: {date: 2026-02-11}, s3: {date: 2026-02-12}}
cooks:
`)
	sheet.WriteString("assessor,session,position,code,firmness,liking,saltiness\n")
	key.WriteString("code,piece\n")
	people := []string{"anna", "ben", "cleo", "dora", "emil", "freya"}
	random := rand.New(rand.NewPCG(7, 11))
	code := 100
	orders := williams()
	for s := 1; s <= 3; s++ {
		var codes []string
		var firm, salt []float64
		for a, set := range []int{46, 50, 54} {
			id := fmt.Sprintf("C%d%d", s, a+1)
			at := 10*60 + 20*((a+s)%3)
			fmt.Fprintf(&b, "  - id: %s\n    set_point: %d °C\n    time: 45 min\n    session: s%d\n    order: %d\n    bath: b%d\n    finish: none\n    chilled: no\n", id, set, s, 1+(a+s)%3, 1+(a+s)%3)
			fmt.Fprintf(&b, "    started: %02d:%02d\n    out: %02d:%02d\n    served: %02d:%02d\n    served_at: %.1f °C\n    pieces:\n",
				at/60, at%60, (at+45)/60, (at+45)%60, (at+50)/60, (at+50)%60, 40+0.3*float64((a+s)%3))
			for p := range 2 {
				piece := fmt.Sprintf("%s%c", id, 'a'+p)
				fmt.Fprintf(&b, "      - {id: %s, source: f%d, thickness: %d mm, before: 120 g, ", piece, s, 18+(a+p+s)%2)
				if p == 0 {
					b.WriteString("brine: none}\n")
				} else {
					fmt.Fprintf(&b, "brined: %.1f g, brine: {salt: 5 %%, of: water, for: 20 min, tub: t%d}}\n", 122.4+0.1*float64(a), s)
				}
				code++
				fmt.Fprintf(&key, "%d,%s\n", code, piece)
				codes = append(codes, fmt.Sprint(code))
				firm = append(firm, 3.6+1.4*float64(a)+0.3*float64(p))
				salt = append(salt, 3.5+0.05*float64(p))
			}
		}
		for i, who := range people {
			bias := 0.4*float64(i%3) - 0.4
			for place, k := range orders[(i+s)%6] {
				round := func(v, low, high float64) float64 { return math.Max(low, math.Min(high, math.Round(2*v)/2)) }
				f := round(firm[k]+bias+0.5*random.NormFloat64(), 0, 10)
				l := round(5.5+0.3*float64(k/2)+bias+0.9*random.NormFloat64(), 1, 9)
				fmt.Fprintf(&sheet, "%s,s%d,%d,%s,%g,%g,%g\n", who, s, place+1, codes[k], f, l, round(salt[k]-bias+0.6*random.NormFloat64(), 0, 10))
			}
		}
	}
	b.WriteString("panel:\n  scores: scores.csv\n  key: key.csv\n  blind: yes\n  looks_masked: red light\n  together: no\n  plan: complete\n  warm_up: yes\n" +
		"  guessed: {answers: 12, correct: 5, of: 3}\n  rinse: {with: water, gap: 2 min}\n  assessors:\n")
	for _, who := range people {
		fmt.Fprintf(&b, "    %s: {kind: trained, cooked: no, chose: no}\n", who)
	}
	return map[string]string{"trial.yaml": b.String(), "scores.csv": sheet.String(), "key.csv": key.String()}
})

// sound reads soundText; swaps are old, new, old, new … in the trial file.
func sound(t testing.TB, swaps ...string) *trial.Trial {
	t.Helper()
	text := soundText()["trial.yaml"]
	for i := 0; i+1 < len(swaps); i += 2 {
		if !strings.Contains(text, swaps[i]) {
			t.Fatalf("there is no %q to swap", swaps[i])
		}
		text = strings.ReplaceAll(text, swaps[i], swaps[i+1])
	}
	return readText(t, text, soundText())
}

// readText reads a trial from text, with the files beside it.
func readText(t testing.TB, text string, beside map[string]string) *trial.Trial {
	t.Helper()
	dir := t.TempDir()
	put := func(name, data string) {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(data), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for name, data := range beside {
		put(name, data)
	}
	put("trial.yaml", text)
	tr, messages, err := trialfile.Read(filepath.Join(dir, "trial.yaml"), trialfile.Vocabulary{})
	if err != nil {
		t.Fatal(err)
	}
	if tr == nil {
		t.Fatalf("the trial was not read: %+v", messages)
	}
	return tr
}

// small reads a snippet in the trial format with a head that it lacks.
func small(t testing.TB, snippet string) *trial.Trial {
	t.Helper()
	for _, part := range []struct{ key, text string }{
		{"food:", "food: {name: trout}\n"}, {"measures:", "measures: {firmness: {scale: 0 to 10}}\n"},
		{"cooks:", "cooks: [{id: A, set_point: 46 °C, time: 30 min}, {id: B, set_point: 52 °C, time: 30 min}]\n"},
	} {
		if !strings.Contains(snippet, part.key) {
			snippet = part.text + snippet
		}
	}
	snippet = regexp.MustCompile(`set_point: \S+ °C`).ReplaceAllString(snippet, "$0, time: 30 min")
	snippet = strings.ReplaceAll(snippet, "time: 30 min, time: 30 min", "time: 30 min")
	return readText(t, "tamis: 1\ntitle: t\n"+snippet, nil)
}

// ask runs all checks and gives the finding of one, about one factor ("" for the
// set point).
func ask(t testing.TB, slug, factor string, tr *trial.Trial, stage Stage) Finding {
	t.Helper()
	in := Inputs{Trial: tr, Heat: heat.OfTrial(tr)}
	if stage == Scored {
		options := texture.Options{Draws: 2}
		if len(tr.Aims) > 0 { // what no aim names is not judged, but for liking, and takes its time
			options.Measures = []string{tr.Aims[0].Measure}
			for _, m := range tr.Measures {
				if asksLiking(m) {
					options.Measures = append(options.Measures, m.Name)
				}
			}
		}
		in.Fit = texture.Analyse(tr, options)
	}
	r, err := Run(in)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range r.Findings {
		if f.Slug == slug && f.Factor == factor {
			return f
		}
	}
	return Finding{}
}

// expect is the outcome of one check on one trial.
type expect struct {
	name     string
	trial    func(t testing.TB) *trial.Trial
	stage    Stage
	factor   string
	outcome  Outcome
	severity Severity
	value    float64 // 0: not held
	says     string  // part of the text, in metric
	missing  string  // field
	few      string
	about    Subject
}

func outcomes(t *testing.T, slug string, cases []expect) {
	t.Helper()
	for _, w := range cases {
		t.Run(w.name, func(t *testing.T) {
			t.Parallel()
			f := ask(t, slug, w.factor, w.trial(t), w.stage)
			text := f.Text.Text(quantity.Metric)
			if f.Outcome != w.outcome || f.Severity != w.severity {
				t.Fatalf("%s %s, want %s %s: %s %+v %+v %v", f.Outcome, f.Severity, w.outcome, w.severity, text, f.Missing, f.TooFew, f.Value)
			}
			if v := f.Value.Or(0); w.value != 0 && math.Abs(v-w.value) > 0.006*math.Abs(w.value) {
				t.Errorf("value %v, want %v", v, w.value)
			}
			if !strings.Contains(text, w.says) {
				t.Errorf("text %q does not say %q", text, w.says)
			}
			if w.missing != "" && (len(f.Missing) == 0 || f.Missing[0].Field != w.missing) {
				t.Errorf("missing %+v, want %s", f.Missing, w.missing)
			}
			if w.few != "" && (f.TooFew == nil || !strings.Contains(f.TooFew.What, w.few)) {
				t.Errorf("too few %+v, want %s", f.TooFew, w.few)
			}
			if w.about != "" && f.About != w.about {
				t.Errorf("about %s, want %s", f.About, w.about)
			}
			if f.Outcome == Fires && (f.Hedge == nil || f.Next == nil || f.Fix == "") {
				t.Errorf("no hedge, next or fix: %+v", f)
			}
			if us := f.Text.Text(quantity.US); f.Outcome == Fires && strings.Contains(us, "°C") {
				t.Errorf("°C for a reader of °F: %q", us)
			}
		})
	}
}

// changed is a sound trial with a change to the record.
func changed(change func(*trial.Trial)) func(testing.TB) *trial.Trial {
	return func(t testing.TB) *trial.Trial {
		tr := sound(t)
		change(tr)
		return tr
	}
}

func swapped(swaps ...string) func(testing.TB) *trial.Trial {
	return func(t testing.TB) *trial.Trial { return sound(t, swaps...) }
}

func snippet(text string) func(testing.TB) *trial.Trial {
	return func(t testing.TB) *trial.Trial { return small(t, text) }
}

// TestSoundTrialIsNotAccused holds that no check of these families fires above a
// note on the sound trial.
func TestSoundTrialIsNotAccused(t *testing.T) {
	t.Parallel()
	tr := sound(t)
	r, err := Run(Inputs{Trial: tr, Heat: heat.OfTrial(tr), Fit: texture.Analyse(tr, texture.Options{Draws: 20})})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range r.Findings {
		switch f.Family {
		case Brining, Finishing, Serving, Assessors, Data:
			if f.Outcome == Fires || f.Outcome == CannotJudge {
				t.Errorf("%s (%s) %s %s: %s %+v %+v", f.Slug, f.Factor, f.Outcome, f.Severity, f.Text.Text(quantity.Metric), f.Missing, f.TooFew)
			}
		}
	}
}
