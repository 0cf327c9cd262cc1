package answer

import (
	"strings"

	"tamis/internal/fairness"
	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

// Options of an answer. The zero value asks for every default.
type Options struct {
	texture.Options
	// Thresholds go over those of the trial file.
	Thresholds []trial.Threshold
}

// Of asks everything of one trial. It never fails: what cannot be answered is
// an absence in the result, with its reason.
func Of(t *trial.Trial, opt Options) *Result {
	r := &Result{
		Tamis:   FitSchema,
		Version: Version,
		Trial:   refOf(t),
		Result:  *texture.Analyse(t, opt.Options),
	}
	h := heat.OfTrial(t)
	judged := safety.OfTrial(t, h)
	doubts := checked(fairness.Inputs{Trial: t, Heat: h, Safety: judged, Fit: &r.Result, Thresholds: opt.Thresholds})
	r.Findings, r.Claim, r.Doubts = doubts.Findings, doubts.Claim, DoubtsOf(doubts)
	if r.OneCookEach() { // what to cook next says so already
		r.Doubts.Next = fixesOf(doubts, "repeat-runs")
	}
	r.Safety = safetyOf(t, r, judged)
	r.RunSheet = runSheetOf(t, r)
	r.Text = proseOf(t, r)
	return r
}

// Before asks what can be asked before anything is tasted: who may eat it, and
// what the design and the cook leave in doubt.
func Before(t *trial.Trial, over []trial.Threshold) (*safety.Result, *fairness.Result) {
	h := heat.OfTrial(t)
	judged := safety.OfTrial(t, h)
	return judged, checked(fairness.Inputs{Trial: t, Heat: h, Safety: judged, Thresholds: over})
}

// OneCookEach reports whether no set point was cooked twice: whatever was odd
// about a cook then looks like its set point, and there is no window.
func (r *Result) OneCookEach() bool {
	for _, u := range r.Units {
		if u.Factor == trial.SetPointFactor {
			return u.N <= len(u.Levels)
		}
	}
	return false
}

func refOf(t *trial.Trial) Ref {
	ref := Ref{
		File: t.Origin.Base, SHA256: t.Origin.SHA256, Title: t.Title.V, Question: t.Question.V, By: t.By.V,
		Food: t.Food.Name.V, Kind: t.Food.Kind.V, Medium: string(t.Medium.Or(trial.WaterBath)),
		Disclosure: t.Disclosure.V, Notes: strings.TrimSpace(t.Notes.V), Files: append([]string{}, t.Origin.Files...),
		Aims: []Aim{},
	}
	if t.Date.Known {
		ref.Date = t.Date.V.String()
	}
	for _, a := range t.Aims {
		out := Aim{Measure: a.Measure, For: a.For.V, Best: string(a.Best.V)}
		if a.Target.Known {
			low, high := a.Target.V.Low, a.Target.V.High
			out.Low, out.High = &low, &high
		}
		if a.AtLeast.Known {
			v := a.AtLeast.V
			out.Low = &v
		}
		if a.AtMost.Known {
			v := a.AtMost.V
			out.High = &v
		}
		ref.Aims = append(ref.Aims, out)
	}
	return ref
}

// aimWords puts one aim in words: "firmness 5 to 6.5".
func aimWords(a Aim) string {
	name := measureWords(a.Measure)
	switch {
	case a.Low != nil && a.High != nil:
		return name + " " + short(*a.Low) + " to " + short(*a.High)
	case a.Low != nil:
		return name + " at least " + short(*a.Low)
	case a.High != nil:
		return name + " at most " + short(*a.High)
	case a.Best != "":
		return name + " as " + map[string]string{"highest": "high", "lowest": "low"}[a.Best] + " as it gets"
	}
	return name
}

// measureWords turns a name of the file into words: surface_protein is surface
// protein.
func measureWords(name string) string { return strings.ReplaceAll(name, "_", " ") }

// factorWords names a factor.
func factorWords(name string) string {
	parts := strings.Split(name, ":")
	for i, p := range parts {
		parts[i] = measureWords(p)
	}
	return strings.Join(parts, " × ")
}

// short prints a number as a person types it.
func short(v float64) string {
	return strings.Replace(quantity.Num(v).String(), "-", "−", 1)
}
