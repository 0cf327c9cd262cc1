package schedule

import (
	"path"
	"slices"

	"tamis/internal/design"
	"tamis/internal/heat"
	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/trial"
)

// Of puts a planned trial on the clock. Days that have no schedule are left out and
// their conflicts returned, and the schedule is nil where no day has one.
func Of(t *trial.Trial, o Options) (*Schedule, []Conflict) {
	o, c := o.settled(t)
	if c != nil {
		return nil, []Conflict{*c}
	}
	if len(t.Cooks) == 0 {
		return nil, []Conflict{{Slug: NoCooks, Text: say("there are no cooks to schedule"), Hint: say("lay the trial out first: tamis plan FILE")}}
	}
	k := &kitchen{original: t, t: again(t), o: o}
	k.tasted = len(design.Sittings(t)) > 0 || len(t.Panel.V.Triangles) > 0 || t.Panel.Known && len(t.Panel.V.Assessors) > 0 ||
		t.Design.Known && len(t.Design.V.Assessors) > 0 || len(t.Measures) == 0 || slices.ContainsFunc(t.Measures, design.Tasted)
	if cs := k.heatAndVerdicts(); len(cs) > 0 {
		return nil, cs
	}
	if cs := k.chill(); len(cs) > 0 {
		return nil, cs
	}
	k.sittings = design.Sittings(t)
	if cs := k.setsOf(); len(cs) > 0 {
		return nil, cs
	}
	s := &Schedule{Tamis: Schema, Title: t.Title.V, File: path.Base(t.Origin.File), NotTasted: k.notTasted, Taken: []prose.Sentence{}, Remarks: []prose.Sentence{}, Conflicts: []Conflict{}}
	for _, d := range k.days() {
		day, cs := k.day(d)
		if len(cs) > 0 {
			s.Conflicts = append(s.Conflicts, cs...)
			continue
		}
		s.Days = append(s.Days, *day)
	}
	across(s)
	if len(s.Days) == 0 {
		return nil, s.Conflicts
	}
	s.Taken, s.Remarks = append(s.Taken, k.taken...), append(s.Remarks, k.remarks...)
	for _, c := range k.lead {
		s.Lead = append(s.Lead, c.Text.Sentence())
	}
	return s, s.Conflicts
}

// again is the trial as it would be cooked again: without times, logs and what
// went wrong. The original is not altered.
func again(t *trial.Trial) *trial.Trial {
	n := *t
	n.Deviations = nil
	n.Cooks = slices.Clone(t.Cooks)
	n.Panel.V.Scores = slices.Clone(t.Panel.V.Scores)
	for i := range n.Panel.V.Scores {
		n.Panel.V.Scores[i].Clock = trial.Opt[trial.Clock]{}
	}
	for i := range n.Cooks {
		c := &n.Cooks[i]
		if d, ok := c.BathTime(); ok {
			c.Time, c.Hold = trial.Some(d), trial.Opt[quantity.Duration]{}
		}
		c.Started, c.Out, c.Served, c.ServedAt = trial.Opt[trial.Clock]{}, trial.Opt[trial.Clock]{}, trial.Opt[trial.Clock]{}, trial.Opt[quantity.Temperature]{}
		c.LogFile, c.Log, c.Probe, c.Chill, c.Reheat = trial.Opt[string]{}, nil, trial.Opt[trial.Probe]{}, trial.Opt[trial.Chill]{}, trial.Opt[trial.Reheat]{}
		c.Pieces = slices.Clone(c.Pieces)
		for j := range c.Pieces {
			p := &c.Pieces[j]
			p.Out, p.Served, p.ServedAt, p.Lost = trial.Opt[trial.Clock]{}, trial.Opt[trial.Clock]{}, trial.Opt[quantity.Temperature]{}, trial.Opt[string]{}
		}
	}
	return &n
}

// kitchen is what is known of a trial before anything is placed.
type kitchen struct {
	original, t *trial.Trial
	o           Options
	heat        *heat.Trial
	verdicts    []safety.CookVerdict
	lead        []safety.Caution
	overall     safety.CookVerdict
	soak        []float64 // minutes in the bath
	held        []bool    // the time follows from a hold
	tasted      bool
	notTasted   bool
	sittings    []design.Sitting
	sets        []tableSet
	together    []int // for each cook the first of those that are served with it
	warm        *warming
	taken       []prose.Sentence
	remarks     []prose.Sentence
}

// heatAndVerdicts finds how long every cook is in its bath and who may eat it.
func (k *kitchen) heatAndVerdicts() []Conflict {
	var out []Conflict
	k.heat = heat.OfTrial(k.t)
	timed := *k.t
	timed.Cooks = slices.Clone(k.t.Cooks)
	holds := false
	for i := range k.t.Cooks {
		c, h := &k.t.Cooks[i], &k.heat.Cooks[i]
		k.soak, k.held = append(k.soak, 0), append(k.held, false)
		switch {
		case c.Time.Known:
			k.soak[i] = c.Time.V.Minutes()
		case c.Hold.Known && h.ComeUp().Known:
			// A hold counts from the core's arrival; by the unfavourable end of the
			// come-up it has certainly begun.
			k.soak[i], k.held[i], holds = whole(h.ComeUp().High)+c.Hold.V.Minutes(), true, true
		default:
			why := "neither its time in the bath nor its hold is stated"
			if c.Hold.Known && h.ComeUp().Why != nil {
				why = "its hold counts from the core's arrival, and " + h.ComeUp().Why.Why
			}
			out = append(out, Conflict{Slug: CannotTime, Session: c.Session.V, First: "cook " + c.ID, Text: say("cook " + c.ID + " cannot be timed: " + why)})
			continue
		}
		if !(k.soak[i] > 0 && k.soak[i] <= 14*1440) {
			out = append(out, Conflict{Slug: BadNumber, Session: c.Session.V, First: "cook " + c.ID, Text: say("the time of cook " + c.ID + " in the bath is not between a second and two weeks")})
		}
		timed.Cooks[i].Time, timed.Cooks[i].Hold = trial.Some(quantity.FromMinutes(k.soak[i])), trial.Opt[quantity.Duration]{}
	}
	if len(out) > 0 {
		return out
	}
	judged := safety.OfTrial(k.t, k.heat)
	k.verdicts = judged.Cooks
	k.lead, k.overall = judged.Lead, judged.Overall
	if holds { // the worse of the hold as stated and of the time that is planned for it
		again := safety.OfTrial(&timed, heat.OfTrial(&timed))
		if o := again.Overall; o.Verdict < k.overall.Verdict || o.Discard > 0 && o.Discard < k.overall.Discard {
			o.Vulnerable = o.Vulnerable && k.overall.Vulnerable
			k.overall = o
			k.lead, _ = safety.Cautions(k.t, o)
		}
		for i, v := range again.Cooks {
			if v.Verdict < k.verdicts[i].Verdict {
				k.verdicts[i] = v
			} else if v.Discard > 0 && v.Discard < k.verdicts[i].Discard {
				k.verdicts[i].Discard = v.Discard
			}
		}
	}
	for i, v := range k.verdicts {
		if v.Verdict != safety.DoNotEat {
			continue
		}
		if !k.tasted {
			k.notTasted = true
			continue
		}
		text := say("cook "+k.t.Cooks[i].ID+", ", sp(k.t.Cooks[i]), ", must not be eaten nor tasted")
		if len(v.Why) > 0 {
			text = append(text, say(": ", v.Why[0].Text.Sentence())...)
		}
		out = append(out, Conflict{Slug: DoNotEat, Session: k.t.Cooks[i].Session.V, First: "cook " + k.t.Cooks[i].ID, Text: text,
			Hint: say("what must not be eaten is only ever weighed and sheared: then list no assessors and no scores")})
	}
	return out
}

// sp is the set point of a cook for a sentence.
func sp(c trial.Cook) prose.Sentence {
	if !c.SetPoint.Known {
		return say("without a set point")
	}
	return say(c.SetPoint.V)
}
