package fairness

import (
	"slices"
	"strings"
	"testing"

	"tamis/internal/diag"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// The table of parenthood has no circle: a root stands in the table before it is
// anybody's child, and nothing absorbs itself. Every slug is of the catalogue.
func TestAbsorptionsHaveNoCircle(t *testing.T) {
	t.Parallel()
	children := map[string][]string{}
	for _, a := range absorptions {
		for _, slug := range []string{a.root, a.child} {
			if _, ok := Lookup(slug); !ok {
				t.Errorf("%s is not in the catalogue", slug)
			}
		}
		children[a.root] = append(children[a.root], a.child)
	}
	var below func(slug string, path []string)
	below = func(slug string, path []string) {
		if slices.Contains(path, slug) {
			t.Fatalf("a circle: %v %s", path, slug)
		}
		for _, c := range children[slug] {
			below(c, append(slices.Clone(path), slug))
		}
	}
	for root := range children {
		below(root, nil)
	}
}

func firing(slug string, severity Severity, change ...func(*Finding)) Finding {
	f := Finding{Slug: slug, Outcome: Fires, Severity: severity, About: AboutSetPoint}
	if check, ok := Lookup(slug); ok {
		f.Family, f.About, f.Describes = check.Family, check.about(), check.Describes
	}
	if severity == Blocks {
		f.Kind = Mixed
	}
	for _, c := range change {
		c(&f)
	}
	return f
}

func arms(a ...string) func(*Finding)   { return func(f *Finding) { f.Where.Arms = a } }
func cooks(id ...string) func(*Finding) { return func(f *Finding) { f.Where.Cooks = id } }
func fields(f ...string) func(*Finding) { return func(x *Finding) { x.Where.Fields = f } }
func factor(n string) func(*Finding)    { return func(f *Finding) { f.Factor = n } }
func valued(v, th float64) func(*Finding) {
	return func(f *Finding) { f.Value, f.Threshold = quantity.Num(v), quantity.Num(th) }
}

func TestMerge(t *testing.T) {
	t.Parallel()
	tr := fairTrial(t)
	set, _, err := newSettings(tr, nil)
	if err != nil {
		t.Fatal(err)
	}
	base := Case{Trial: tr, set: set, facts: factsOf(tr, set)}
	c := base.of(base.facts.factors[0])
	for name, w := range map[string]struct {
		in       []Finding
		under    map[string]string
		severity map[string]Severity
	}{
		"single runs absorb what varies between cooks": {
			[]Finding{firing("one-run-per-set-point", Blocks, arms("46 °C", "54 °C")), firing("session-tied-to-set-point", Blocks, arms("46 °C", "54 °C")), firing("bath-tied-to-set-point", Weakens, arms("46 °C")),
				firing("drift-over-runs", Note), firing("source-tied-to-set-point", Blocks)},
			map[string]string{"session-tied-to-set-point": "one-run-per-set-point", "bath-tied-to-set-point": "one-run-per-set-point", "drift-over-runs": "one-run-per-set-point", "source-tied-to-set-point": ""}, nil},
		"an arm that is repeated is not absorbed": {
			[]Finding{firing("one-run-per-set-point", Blocks, arms("46 °C")), firing("bath-tied-to-set-point", Weakens, arms("46 °C", "54 °C"))},
			map[string]string{"bath-tied-to-set-point": ""}, nil},
		"two runs absorb no order": {
			[]Finding{firing("one-run-per-set-point", Weakens, arms("46 °C", "54 °C")), firing("run-order-follows-set-point", Blocks, arms("46 °C", "54 °C"))},
			map[string]string{"run-order-follows-set-point": ""}, nil},
		"chains are flattened, the worst severity rises": {
			[]Finding{firing("ramp-in-one-bath", Weakens, cooks("A", "B")), firing("time-moves-with-set-point", Blocks, cooks("A", "B")), firing("hold-spread", Weakens, cooks("A", "C"))},
			map[string]string{"time-moves-with-set-point": "ramp-in-one-bath", "hold-spread": "ramp-in-one-bath"}, map[string]Severity{"ramp-in-one-bath": Blocks}},
		"another subject lifts nothing": {
			[]Finding{firing("tasters-knew", Weakens, func(f *Finding) { f.About = AboutTasted }), firing("cook-tasted", Blocks, func(f *Finding) { f.About = AboutLiking })},
			map[string]string{"cook-tasted": "tasters-knew"}, map[string]Severity{"tasters-knew": Weakens}},
		"another factor is another root": {
			[]Finding{firing("run-order-follows-set-point", Blocks, factor("recipe")), firing("drift-over-runs", Note)},
			map[string]string{"drift-over-runs": ""}, nil},
		"cold chain: only what goes with the day": {
			[]Finding{firing("session-tied-to-set-point", Blocks), firing("cold-history-differs", Weakens, fields("sources.caught", "pieces.start"))},
			map[string]string{"cold-history-differs": ""}, nil},
		"what does not fire is nobody's child": {
			[]Finding{firing("time-moves-with-set-point", Blocks), {Slug: "hold-spread", Outcome: Clear}},
			map[string]string{"hold-spread": ""}, nil},
		"analyses that turn name their cause": {
			[]Finding{firing("analyses-disagree", Weakens, fields("scores-at-the-end")), firing("scores-at-the-end", Weakens), firing("scores-left-out", Note)},
			map[string]string{"scores-at-the-end": "analyses-disagree", "scores-left-out": ""}, nil},
		"nothing": {nil, nil, nil},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			merge(c, w.in)
			for _, f := range w.in {
				if want, ok := w.under[f.Slug]; ok && f.Under != want {
					t.Errorf("%s is under %q, want %q", f.Slug, f.Under, want)
				}
				if want, ok := w.severity[f.Slug]; ok && f.Severity != want {
					t.Errorf("%s %s, want %s", f.Slug, f.Severity, want)
				}
			}
		})
	}
}

// Each rule of the order decides where those before it do not.
func TestRank(t *testing.T) {
	t.Parallel()
	tr := &trial.Trial{Aims: []trial.Aim{{Measure: "firmness"}}}
	accepted := func(f *Finding) { f.Accepted = &Accepted{Because: "only one delivery this week"} }
	about := func(s Subject) func(*Finding) { return func(f *Finding) { f.About = s } }
	sorted := []Finding{
		firing("safe-words", Blocks),
		firing("tasting-order-uneven", Blocks, about(AboutTasted), func(f *Finding) { f.Where.Measures = []string{"firmness"} }),
		firing("session-tied-to-set-point", Blocks),
		firing("time-moves-with-set-point", Blocks, func(f *Finding) { f.Kind = Bundle }),
		firing("one-tub", Blocks, about(AboutBrine)),
		firing("run-order-follows-set-point", Weakens, valued(0.95, 0.7)),
		firing("part-tied-to-set-point", Weakens, valued(0.4, 0.3)),
		firing("one-run-per-set-point", Weakens, about(AboutLiking), valued(2, 3)),
		firing("tasters-talked", Weakens, about(AboutTasted)),
		firing("proves", Weakens),
		firing("split-run", Note),
		firing("size-differs", Note),
		firing("one-lot", Note),
		firing("source-tied-to-set-point", Blocks, accepted),
		{Slug: "bath-off-set-point", Family: HeatFamily, Outcome: CannotJudge},
		{Slug: "split-run", Family: Replication, Outcome: Clear},
		{Slug: "carry-over", Family: Serving, Outcome: DoesNotApply},
	}
	slugs := func(list []Finding) string {
		var out []string
		for _, f := range list {
			out = append(out, f.Slug)
		}
		return strings.Join(out, " ")
	}
	for shift := range sorted { // whatever the order in which they come
		mixed := append(slices.Clone(sorted[shift:]), sorted[:shift]...)
		slices.Reverse(mixed)
		if got := rank(tr, mixed); slugs(got) != slugs(sorted) {
			t.Errorf("%s\nwant %s", slugs(got), slugs(sorted))
		}
	}
	child := firing("drift-over-runs", Note, func(f *Finding) { f.Under = "session-tied-to-set-point" })
	if got := rank(tr, append([]Finding{child}, sorted...)); got[3].Slug != "drift-over-runs" || len(got) != len(sorted)+1 {
		t.Errorf("a child does not follow its root: %s", slugs(got))
	}
	if got := rank(tr, nil); len(got) != 0 {
		t.Error(got)
	}
}

func TestExcess(t *testing.T) {
	t.Parallel()
	for _, w := range []struct{ value, threshold, want float64 }{{0.9, 0.3, 3}, {-0.9, 0.3, 3}, {1, 3, 3}, {99, 1, 10}, {5, 0, 10}, {0, 0, 10}, {2, 2, 1}} {
		f := firing("one-tub", Note, valued(w.value, w.threshold))
		if got := excess(&f); got != w.want && !(got > w.want-1e-12 && got < w.want+1e-12) {
			t.Errorf("%v of %v: %v, want %v", w.value, w.threshold, got, w.want)
		}
	}
	if f := firing("one-tub", Note); excess(&f) != 1 {
		t.Error("without numbers")
	}
}

func TestAccept(t *testing.T) {
	t.Parallel()
	day := func(s string) trial.Opt[trial.Date] {
		tr := graft(t, "declared: "+s)
		return tr.Declared
	}
	one := func(slug string, change ...func(*trial.Accept)) trial.Accept {
		a := trial.Accept{Finding: slug, Because: trial.Some("only one delivery this week"), At: diag.At(diag.FileNamed("t.yaml"), 9, 3)}
		for _, c := range change {
			c(&a)
		}
		return a
	}
	for name, w := range map[string]struct {
		entry  trial.Accept
		in     []Finding
		taken  bool
		notice string
	}{
		"fires":                   {one("one-lot"), []Finding{firing("one-lot", Note)}, true, ""},
		"does not fire":           {one("one-lot"), []Finding{{Slug: "one-lot", Outcome: Clear}}, false, "accept-idle"},
		"cannot be judged":        {one("one-lot"), []Finding{{Slug: "one-lot", Outcome: CannotJudge}}, false, "accept-idle"},
		"absorbed":                {one("drift-over-runs"), []Finding{firing("drift-over-runs", Note, func(f *Finding) { f.Under = "run-order-follows-set-point" })}, true, "accept-absorbed"},
		"for these cooks":         {one("size-differs", func(a *trial.Accept) { a.Where = []string{"C1", "C2"} }), []Finding{firing("size-differs", Note, cooks("C1", "C2"))}, true, ""},
		"for fewer than it names": {one("size-differs", func(a *trial.Accept) { a.Where = []string{"C1"} }), []Finding{firing("size-differs", Note, cooks("C1", "C2"))}, false, "accept-idle"},
		"ended":                   {one("one-lot", func(a *trial.Accept) { a.Until = day("2026-02-05") }), []Finding{firing("one-lot", Note)}, false, "accept-ended"},
		"not yet ended":           {one("one-lot", func(a *trial.Accept) { a.Until = day("2026-02-12") }), []Finding{firing("one-lot", Note)}, true, ""},
		"unknown":                 {one("no-such-finding"), []Finding{firing("one-lot", Note)}, false, ""},
		"nothing found":           {one("one-lot"), nil, false, "accept-idle"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			tr := fairTrial(t) // its last day is 12 February
			tr.Accept = []trial.Accept{w.entry}
			notices := accept(tr, w.in)
			taken := len(w.in) > 0 && w.in[0].Accepted != nil
			if taken != w.taken {
				t.Errorf("accepted: %v", taken)
			}
			switch {
			case w.notice == "" && len(notices) > 0, w.notice != "" && (len(notices) != 1 || notices[0].Slug != w.notice):
				t.Errorf("notices %v, want %q", notices, w.notice)
			case w.notice != "" && notices[0].Pos != w.entry.At:
				t.Errorf("at %v", notices[0].Pos)
			}
		})
	}
}
