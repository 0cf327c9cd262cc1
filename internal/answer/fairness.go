package answer

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"tamis/internal/fairness"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// Doubts is what the fairness checks say, ready to be read.
type Doubts struct {
	Stage    fairness.Stage     `json:"stage"`
	Roots    []Doubt            `json:"roots"` // what fires, worst first, each with what is part of it
	Accepted []Doubt            `json:"accepted"`
	Unjudged []Sentence         `json:"unjudged"` // one line: how many, and the fields that would settle most
	Clear    int                `json:"clear"`
	Next     []Sentence         `json:"next"` // the fixes of the leading roots, each once, at most five
	Headline Sentence           `json:"headline"`
	Changed  []fairness.Changed `json:"thresholds_changed"`
	Notices  []string           `json:"notices"`
	Show     fairness.Show      `json:"show"` // how many a kitchen page and a terminal show
}

// Doubt is one root cause.
type Doubt struct {
	Slug     string            `json:"slug"`
	Severity fairness.Severity `json:"severity"`
	Text     Sentence          `json:"text"`
	Also     Sentence          `json:"also,omitempty"` // what is part of it, in half a sentence
	Cost     Sentence          `json:"cost,omitempty"`
	Next     Sentence          `json:"next,omitempty"`
	Because  string            `json:"because,omitempty"` // of an accepted finding
}

// DoubtsOf puts the findings of a run in words.
func DoubtsOf(r *fairness.Result) Doubts {
	d := Doubts{Stage: r.Stage, Roots: []Doubt{}, Accepted: []Doubt{}, Unjudged: []Sentence{}, Changed: r.Changed, Notices: []string{}, Show: r.Show}
	if d.Changed == nil {
		d.Changed = []fairness.Changed{}
	}
	for _, n := range r.Notices {
		notice := n.String()
		if n.Hint != "" {
			notice += ": " + n.Hint
		}
		d.Notices = append(d.Notices, notice)
	}
	fields, unjudged, applicable := map[string]int{}, 0, 0
	for i := range r.Findings {
		f := &r.Findings[i]
		switch {
		case f.Outcome == fairness.Clear:
			d.Clear++
		case f.Outcome == fairness.CannotJudge:
			unjudged++
			for _, m := range f.Missing {
				fields[m.Field]++
			}
		case f.Outcome == fairness.Fires && f.Under == "":
			one := Doubt{Slug: f.Slug, Severity: f.Severity, Text: f.Text, Also: alsoOf(r, f), Next: f.Next}
			if f.Cost != nil {
				one.Cost = f.Cost.Text
			}
			if f.Accepted != nil {
				one.Because = f.Accepted.Because
				d.Accepted = append(d.Accepted, one)
			} else {
				d.Roots = append(d.Roots, one)
			}
		}
		if f.Outcome != fairness.DoesNotApply {
			applicable++
		}
	}
	d.Next = fixesOf(r, "")
	if unjudged > 0 {
		d.Unjudged = append(d.Unjudged, unjudgedLine(unjudged, fields))
	}
	switch {
	case len(d.Roots) > 0:
		d.Headline = Say("What else may have done it")
		if r.Stage == fairness.Plan {
			d.Headline = Say("What this plan cannot tell apart")
		}
	case 2*unjudged > applicable:
		d.Headline = Say("Too little was written down to tell what else changed")
	default:
		d.Headline = Say("Nothing else was found that moved along")
	}
	return d
}

// maxFixes is how many things to do next are said.
const maxFixes = 5

// fixesOf lists what to do in the next trial: the fixes of the roots that block
// or weaken in their order, those with one key once. One whose key is said is
// said elsewhere. What changes the author's words and not the trial has no key,
// and stands beside those words.
func fixesOf(r *fairness.Result, said string) []Sentence {
	out := []Sentence{}
	seen := map[string]bool{said: true}
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Fix == "" && (f.About == fairness.AboutWording || f.About == fairness.AboutSafety) {
			continue
		}
		if f.Outcome != fairness.Fires || f.Severity < fairness.Weakens || f.Under != "" || f.Accepted != nil || len(f.Next) == 0 || f.Fix != "" && seen[f.Fix] {
			continue
		}
		seen[f.Fix] = true
		if out = append(out, f.Next); len(out) == maxFixes {
			break
		}
	}
	return out
}

// unjudgedLine is "Could not be judged: 12. Most would be settled by …".
func unjudgedLine(n int, fields map[string]int) Sentence {
	names := make([]string, 0, len(fields))
	for f := range fields {
		names = append(names, f)
	}
	sort.Slice(names, func(i, j int) bool {
		a, b := names[i], names[j]
		if fields[a] != fields[b] {
			return fields[a] > fields[b]
		}
		return a < b
	})
	s := Say("Could not be judged: ", Quantity{Kind: Count, Value: float64(n)})
	if len(names) > 0 {
		s = Say(s, "; missing above all: ", list(names[:min(3, len(names))]))
	}
	return Say(s, ".")
}

// alsoOf names what is part of a root, by the question it asks.
func alsoOf(r *fairness.Result, root *fairness.Finding) Sentence {
	var words []string
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Under == root.Slug && f.Factor == root.Factor && f.Outcome == fairness.Fires && !saysItself(root, f) {
			if w := f.Short(); !slices.Contains(words, w) {
				words = append(words, w)
			}
		}
	}
	if len(words) == 0 {
		return nil
	}
	return Say("Part of the same fault: ", list(words), ".")
}

// saysItself reports whether the sentence of a root names what a part of it would
// name again: the session, the bath and the order of cooks that stand alone.
func saysItself(root, part *fairness.Finding) bool {
	word, ok := map[string]string{"session-tied-to-set-point": "the session", "bath-tied-to-set-point": "the bath", "run-order-follows-set-point": "the order"}[part.Slug]
	_, list, rode := strings.Cut(root.Text.Text(quantity.Metric), "What went along with it here: ")
	return ok && rode && strings.Contains(list, word)
}

// checked runs the fairness checks. An unknown threshold was refused when the
// file or the flag was read, so an error here is a fault of the program.
func checked(in fairness.Inputs) *fairness.Result {
	r, err := fairness.Run(in)
	if err != nil {
		panic(fmt.Sprintf("answer: %v", err))
	}
	return r
}

// ThresholdsKnown reports the first name that is no threshold.
func ThresholdsKnown(over []trial.Threshold) (unknown string, ok bool) {
	for _, th := range over {
		if !slices.ContainsFunc(fairness.Options(), func(o fairness.Option) bool { return o.Name == th.Name }) {
			return th.Name, false
		}
	}
	return "", true
}
