package fairness

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"gopkg.in/yaml.v3"

	"tamis/internal/diag"
	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

// The complete fair trial: three set points, each cooked once in each of three
// sessions, with baths, order, sources and parts balanced, everything recorded,
// declared and blind, and tasted in balanced orders. Tests graft a fault onto it.
//
// A snippet in the trial format goes over it:
//
//   - groups are merged key by key;
//   - a list of cooks takes the place of the nine, and what a cook or one of its
//     pieces does not say is as in the fair trial: the same session, bath, order
//     and so on as the cook in the same place of the list. `key: ~` takes a value
//     away. A cook is never given both time and hold;
//   - baths, sessions and sources that the cooks name and nobody describes are
//     described like the others;
//   - logs and scores are made to fit, unless the snippet has `scores:`, the text
//     of the score sheet, which is no key of the format. `log: none` means no log.
const fairHead = `
tamis: 1
title: Pollack loin, 48 to 56 °C
question: At which set point does it flake and still hold?
date: 2026-02-12
by: test kitchen
status: cooked
declared: 2026-02-01
disclosure: Invented data.
aim: {measure: firmness, target: 4 to 6}
serve: [public]
rules: eu
food: {name: pollack loin, kind: lean fish, form: whole, shape: slab, thickness: 15 mm, start: 4 °C, frozen: {at: -20 °C, for: 7 d, by: supplier}}
measures:
  firmness: {scale: 0 to 10, low: falls apart, high: rubbery, matters: 2, spread: 0.3}
  cook_loss: {unit: "%", from: weights}
parts: [head, middle, tail]
sources: {}
baths: {}
sessions: {}
drawn: {order: yes, pieces: yes, seed: 7}
panel:
  scores: scores.csv
  blind: yes
  looks_masked: red light
  together: no
  warm_up: yes
  plan: complete
  rinse: {with: water and cracker, gap: 2 min}
  assessors:
    anna: {kind: trained, cooked: no, chose: no}
    ben: {kind: trained, cooked: no, chose: no}
    cleo: {kind: trained, cooked: no, chose: no}
    dora: {kind: trained, cooked: no, chose: no}
    emil: {kind: trained, cooked: no, chose: no}
    freya: {kind: trained, cooked: no, chose: no}
`

var (
	fairSessions = []string{"first", "second", "third"}
	fairBaths    = []string{"north", "south", "east"}
	fairParts    = []string{"head", "middle", "tail"}
	fairTasters  = []string{"anna", "ben", "cleo", "dora", "emil", "freya"}
	// fairArms are the set points by session and order: a Latin square in which
	// order and set point do not go together.
	fairArms = [3][3]int{{52, 48, 56}, {48, 56, 52}, {56, 52, 48}}
)

// fairTrial is a fresh complete fair trial.
func fairTrial(t testing.TB) *trial.Trial { return graft(t, "") }

// graft is the fair trial with snippets grafted onto it, read through the trial
// format. A message above a note fails the test.
func graft(t testing.TB, snippets ...string) *trial.Trial {
	t.Helper()
	dir := t.TempDir()
	path := filepath.Join(dir, "trial.yaml")
	for name, text := range graftFiles(t, snippets...) {
		if err := os.MkdirAll(filepath.Dir(filepath.Join(dir, name)), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	tr, messages, err := trialfile.Read(path, trialfile.Vocabulary{})
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range messages {
		if m.Severity == diag.Error || tr == nil {
			t.Fatalf("%v\n%s", m, graftFiles(t, snippets...)["trial.yaml"])
		}
	}
	return tr
}

// graftFiles are the files of a grafted trial, by name.
func graftFiles(t testing.TB, snippets ...string) map[string]string {
	t.Helper()
	root := parseYAML(t, fairHead)
	var cooks *yaml.Node
	scores := ""
	for _, s := range snippets {
		snippet := parseYAML(t, s)
		for i := 0; snippet != nil && i < len(snippet.Content); i += 2 {
			switch key, v := snippet.Content[i].Value, snippet.Content[i+1]; key {
			case "cooks":
				cooks = v
			case "scores":
				scores = v.Value
			default:
				mergeNode(root, key, v)
			}
		}
	}
	if cooks == nil {
		cooks = &yaml.Node{Kind: yaml.SequenceNode}
		for range 9 {
			cooks.Content = append(cooks.Content, &yaml.Node{Kind: yaml.MappingNode})
		}
	}
	files := map[string]string{}
	for i, c := range cooks.Content {
		fairCook(i, c)
		if log := textAt(c, "log"); log == "none" {
			removeKey(c, "log")
		} else if log != "" {
			files[log] = fairLog(c)
		}
		describeID(root, "baths", textAt(c, "bath"), "{reads: 0.0 °C high, checked: 2026-02-01, volume: 20 l}")
		n := len(nodeAt(root, "sessions").Content) / 2
		describeID(root, "sessions", textAt(c, "session"), fmt.Sprintf("{date: 2026-02-%d}", 10+n))
		for _, p := range nodeAt(c, "pieces").Content {
			n := len(nodeAt(root, "sources").Content) / 2
			describeID(root, "sources", textAt(p, "source"), fmt.Sprintf("{lot: L%d, caught: 2026-01-%d}", n/3+1, min(29, 20+n/3)))
		}
	}
	root.Content = append(root.Content, scalarNode("cooks"), cooks)
	if textAt(nodeAt(root, "panel"), "scores") != "" {
		if scores == "" {
			scores = fairScores(cooks)
		}
		files["scores.csv"] = scores
	}
	var b bytes.Buffer
	if err := yaml.NewEncoder(&b).Encode(root); err != nil {
		t.Fatal(err)
	}
	files["trial.yaml"] = b.String()
	return files
}

// fairCook fills in what a cook in place i of the list does not say.
func fairCook(i int, c *yaml.Node) {
	session, place := i/3%3, i%3
	has := func(key string) bool { return nodeAt(c, key) != nil }
	said := func(key string) bool { return has(key) && textAt(c, key) != "" }
	fallback(c, "id", string(rune('A'+i%26)))
	fallback(c, "set_point", fmt.Sprintf("%d °C", fairArms[session][place]))
	for k := range 3 { // the bath goes round, so that each meets each set point once
		if fairArms[session][place] == 48+4*k {
			fallback(c, "bath", fairBaths[(k+session)%3])
		}
	}
	fallback(c, "session", fairSessions[session])
	fallback(c, "order", strconv.Itoa(place+1))
	out := has("out")
	if !has("hold") && !(out && said("started")) {
		fallback(c, "time", "50 min")
	}
	fallback(c, "started", clockText(600+70*session+20*place))
	if began, ok := clockMinutes(textAt(c, "started")); ok && !out {
		fallback(c, "out", clockText(began+int(spanMinutes(c))))
	}
	if pulled, ok := clockMinutes(textAt(c, "out")); ok {
		fallback(c, "served", clockText(pulled+3))
	}
	for _, kv := range [][2]string{
		{"served_at", "40 °C"}, {"brine", "none"}, {"finish", "none"}, {"chilled", "no"}, {"bag", "chamber"}, {"vacuum", "90 %"},
		{"log", "logs/" + textAt(c, "id") + ".csv"},
	} {
		fallback(c, kv[0], kv[1])
	}
	if !has("pieces") {
		pieces := &yaml.Node{Kind: yaml.SequenceNode}
		for range 3 {
			pieces.Content = append(pieces.Content, &yaml.Node{Kind: yaml.MappingNode})
		}
		c.Content = append(c.Content, scalarNode("pieces"), pieces)
	}
	for j, p := range nodeAt(c, "pieces").Content {
		fallback(p, "id", textAt(c, "id")+strconv.Itoa(j+1))
		fallback(p, "source", fmt.Sprintf("fish-%d", 3*session+j%3+1))
		fallback(p, "part", fairParts[(j+place+session)%3])
		fallback(p, "thickness", fmt.Sprintf("%.1f mm", 15+0.2*float64((j+i)%3-1)))
		before := 80 + float64((2*j+i)%3)
		fallback(p, "before", fmt.Sprintf("%.0f g", before))
		loss := 0.08 + 0.002*(typedCelsius(textAt(c, "set_point"))-48) + 0.004*wobble(i, j)
		fallback(p, "after", fmt.Sprintf("%.1f g", before*(1-loss)))
	}
}

// fairLog is a core that arrives after 25 min in a bath that stands still.
func fairLog(c *yaml.Node) string {
	bath, minutes := typedCelsius(textAt(c, "set_point")), spanMinutes(c)
	tau := 25 / math.Log((bath-4)/0.5)
	b := "time (min),core (°C),bath (°C)\n"
	for m := 0.0; m <= minutes; m += 2.5 {
		b += fmt.Sprintf("%.1f,%.2f,%.2f\n", m, bath-(bath-4)*math.Exp(-m/tau), bath)
	}
	return b
}

// fairScores is a sheet on which everybody tastes each cook of a session once, in
// orders that go round and back, so that each cook has each place equally often.
func fairScores(cooks *yaml.Node) string {
	b := "assessor,session,position,cook,piece,firmness\n"
	var sessions []string
	in := map[string][]*yaml.Node{}
	for _, c := range cooks.Content {
		s := textAt(c, "session")
		if in[s] == nil {
			sessions = append(sessions, s)
		}
		in[s] = append(in[s], c)
	}
	for k, s := range sessions {
		n := len(in[s])
		for a, name := range fairTasters {
			for pos := range n {
				i := (pos + a) % n
				if a%(2*n) >= n { // every second round backwards
					i = n - 1 - i
				}
				c := in[s][i]
				pieces, piece := nodeAt(c, "pieces"), ""
				if pieces != nil && len(pieces.Content) > 0 {
					piece = textAt(pieces.Content[a%len(pieces.Content)], "id")
				}
				// Tasters differ more than runs do: their deviations go round, and come to
				// nothing over the six, and over the two who share a piece.
				own := [6]float64{-0.5, 0.3, 0.1, 0.5, -0.3, -0.1}[(a+i+2*k)%6]
				firmness := 3.5 + 0.35*(typedCelsius(textAt(c, "set_point"))-48) + own + 0.1*wobble(i, k)
				b += fmt.Sprintf("%s,%s,%d,%s,%s,%.1f\n", name, s, pos+1, textAt(c, "id"), piece, math.Max(0, math.Min(10, firmness)))
			}
		}
	}
	return b
}

// wobble is a number between -1 and 1 that looks like chance and is none.
func wobble(i, j int) float64 { return math.Sin(12.9898*float64(i+1) + 78.233*float64(j+1)) }

// runOn runs the checks up to the cook on a trial.
func runOn(t testing.TB, tr *trial.Trial) *Result {
	t.Helper()
	r, err := Run(Inputs{Trial: tr, Heat: heat.OfTrial(tr)})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// judged grafts snippets and asks one check about the set point, with all stages
// open, before anything is merged.
func judged(t testing.TB, slug string, snippets ...string) Finding {
	t.Helper()
	return judgedAbout(t, slug, trial.SetPointFactor, graft(t, snippets...))
}

// judgedAbout asks one check about one compared factor of a trial.
func judgedAbout(t testing.TB, slug, factor string, tr *trial.Trial) Finding {
	t.Helper()
	check, ok := Lookup(slug)
	if !ok {
		t.Fatalf("there is no check %s", slug)
	}
	set, _, err := newSettings(tr, nil)
	if err != nil {
		t.Fatal(err)
	}
	c := &Case{Trial: tr, Heat: heat.OfTrial(tr), Stage: Scored, set: set, facts: factsOf(tr, set)}
	for _, f := range c.facts.factors {
		if f.Name == factor {
			return findingOf(check, c.of(f), check.Judge(c.of(f)))
		}
	}
	t.Fatalf("%s is not compared", factor)
	return Finding{}
}

// grafted is what one check must say of the fair trial with snippets grafted onto
// it.
type grafted struct {
	name     string
	snippets []string
	outcome  Outcome
	severity Severity
	says     string // in the finding, in metric units
	missing  string // the field that a check that cannot judge names
	few      string // what there is too little of
	value    float64
}

func runGrafts(t *testing.T, slug string, cases []grafted) {
	t.Helper()
	for _, w := range cases {
		t.Run(w.name, func(t *testing.T) {
			t.Parallel()
			f := judged(t, slug, w.snippets...)
			wants(t, f, w.outcome, w.severity)
			said := f.Text.Text(quantity.Metric)
			if !strings.Contains(said, w.says) {
				t.Errorf("%q does not say %q", said, w.says)
			}
			if w.missing != "" {
				lacks(t, f, w.missing)
			}
			if w.few != "" && (f.TooFew == nil || !strings.Contains(f.TooFew.What, w.few)) {
				t.Errorf("too few %+v, want %s", f.TooFew, w.few)
			}
			if v := f.Value.Or(math.NaN()); w.value != 0 && !(math.Abs(v-w.value) <= 0.006*math.Abs(w.value)) {
				t.Errorf("value %v, want %v", v, w.value)
			}
			if f.Outcome == Fires {
				if f.Hedge == nil || f.Next == nil || f.Fix == "" || !f.Threshold.Known() && f.Option == "" && f.Severity != Blocks {
					t.Errorf("incomplete: %+v", f)
				}
				if us := f.Text.Text(quantity.US) + f.Next.Text(quantity.US) + f.Hedge.Text(quantity.US); strings.Contains(us, "°C") {
					t.Errorf("°C for a reader of °F: %q", us)
				}
			}
		})
	}
}

// on is a list of one snippet, for tables.
func on(snippets ...string) []string { return snippets }

// Every example of these families is what it says, grafted onto the fair trial.
func TestExamplesOnTheFairTrial(t *testing.T) {
	t.Parallel()
	for _, family := range [][]*Check{replicationChecks, heatChecks, materialChecks} {
		for _, check := range family {
			t.Run(check.Slug, func(t *testing.T) {
				t.Parallel()
				if f := judged(t, check.Slug, check.FiresOn); f.Outcome != Fires {
					t.Errorf("%s on FiresOn: %v %v, %s", f.Outcome, f.Missing, f.TooFew, f.Text.Text(quantity.Metric))
				}
				tr := graft(t, check.ClearOn)
				if f := judgedAbout(t, check.Slug, trial.SetPointFactor, tr); f.Outcome != Clear {
					t.Errorf("%s on ClearOn: %v %v, %s", f.Outcome, f.Missing, f.TooFew, f.Text.Text(quantity.Metric))
				}
			})
		}
	}
}

// wants fails where a finding has another outcome or severity.
func wants(t testing.TB, f Finding, outcome Outcome, severity Severity) {
	t.Helper()
	if f.Outcome != outcome || f.Severity != severity {
		t.Errorf("%s: %s %s, want %s %s: %s (value %v, missing %v)", f.Slug, f.Outcome, f.Severity, outcome, severity, f.Text.Text(quantity.Metric), f.Value, f.Missing)
	}
}

// lacks fails where a finding does not name the missing field.
func lacks(t testing.TB, f Finding, field string) {
	t.Helper()
	wants(t, f, CannotJudge, None)
	for _, m := range f.Missing {
		if m.Field == field {
			return
		}
	}
	t.Errorf("%s names %v, not %s", f.Slug, f.Missing, field)
}

// nineDigits fails where got is not want to nine digits. source says where want is from.
func nineDigits(t testing.TB, name string, got, want float64, source string) {
	t.Helper()
	if !(math.Abs(got-want) <= 1e-9*math.Abs(want)) {
		t.Errorf("%s = %.15g, want %.15g (%s)", name, got, want, source)
	}
}

// Nothing above a note is said of the fair trial.
func TestFairTrialIsFair(t *testing.T) {
	t.Parallel()
	for _, f := range runOn(t, fairTrial(t)).Findings {
		if f.Outcome == Fires && f.Severity > Note {
			t.Errorf("%s: %s: %s", f.Slug, f.Severity, f.Text.Text(quantity.Metric))
		}
		if f.Outcome == CannotJudge {
			t.Logf("cannot judge %s: %v %v", f.Slug, f.Missing, f.TooFew)
		}
	}
}

// The rest is about YAML nodes, which keep every scalar as it is typed.

func parseYAML(t testing.TB, s string) *yaml.Node {
	t.Helper()
	var doc yaml.Node
	if err := yaml.Unmarshal([]byte(s), &doc); err != nil {
		t.Fatalf("%v in %s", err, s)
	}
	if len(doc.Content) == 0 {
		return nil
	}
	return doc.Content[0]
}

func scalarNode(s string) *yaml.Node { return &yaml.Node{Kind: yaml.ScalarNode, Value: s} }

func nodeAt(m *yaml.Node, key string) *yaml.Node {
	for i := 0; m != nil && i+1 < len(m.Content); i += 2 {
		if m.Content[i].Value == key {
			return m.Content[i+1]
		}
	}
	return nil
}

func textAt(m *yaml.Node, key string) string {
	if n := nodeAt(m, key); n != nil && n.Kind == yaml.ScalarNode && n.Tag != "!!null" {
		return n.Value
	}
	return ""
}

func removeKey(m *yaml.Node, key string) {
	for i := 0; i+1 < len(m.Content); i += 2 {
		if m.Content[i].Value == key {
			m.Content = append(m.Content[:i], m.Content[i+2:]...)
			return
		}
	}
}

func fallback(m *yaml.Node, key, value string) {
	if nodeAt(m, key) == nil {
		m.Content = append(m.Content, scalarNode(key), scalarNode(value))
	}
}

func describeID(root *yaml.Node, group, id, flow string) {
	g := nodeAt(root, group)
	if id == "" || g == nil || g.Kind != yaml.MappingNode || nodeAt(g, id) != nil {
		return
	}
	var doc yaml.Node
	if err := yaml.Unmarshal([]byte(flow), &doc); err != nil {
		panic(err) // written above
	}
	g.Content = append(g.Content, scalarNode(id), doc.Content[0])
}

func mergeNode(m *yaml.Node, key string, v *yaml.Node) {
	have := nodeAt(m, key)
	switch {
	case have == nil:
		m.Content = append(m.Content, scalarNode(key), v)
	case have.Kind == yaml.MappingNode && v.Kind == yaml.MappingNode:
		for i := 0; i < len(v.Content); i += 2 {
			mergeNode(have, v.Content[i].Value, v.Content[i+1])
		}
	default:
		*have = *v
	}
}

func typedCelsius(s string) float64 {
	v, err := quantity.ParseTemperature(s)
	if err != nil {
		return 50
	}
	return v.Celsius()
}

// spanMinutes is the time in the bath of a cook; a hold comes after 25 min.
func spanMinutes(c *yaml.Node) float64 {
	if from, ok := clockMinutes(textAt(c, "started")); ok {
		if to, ok := clockMinutes(textAt(c, "out")); ok {
			return float64((to - from + 1440) % 1440) // over midnight too
		}
	}
	if d, err := quantity.ParseDuration(textAt(c, "time")); err == nil {
		return d.Minutes()
	}
	if d, err := quantity.ParseDuration(textAt(c, "hold")); err == nil {
		return 25 + d.Minutes()
	}
	return 50
}

// clockMinutes reads a clock time, with or without a day before it.
func clockMinutes(s string) (int, bool) {
	s = s[strings.LastIndexByte(s, ' ')+1:]
	h, m, ok := strings.Cut(s, ":")
	hours, err := strconv.Atoi(h)
	minutes, err2 := strconv.Atoi(m)
	return 60*hours + minutes, ok && err == nil && err2 == nil
}

func clockText(minutes int) string { return fmt.Sprintf("%02d:%02d", minutes/60%24, minutes%60) }
