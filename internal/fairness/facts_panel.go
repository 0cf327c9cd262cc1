package fairness

import (
	"slices"

	"tamis/internal/texture"
	"tamis/internal/trial"
)

// weakensBelow is the p below which a check that tests scores weakens; between
// it and the check's own limit there is a note. Fifty checks at 5 % would accuse
// most fair trials of something, so that an accusation needs more than a hint.
const weakensBelow = 0.005

// panel is the panel, and false without one.
func (c *Case) panel() (*trial.Panel, bool) {
	return &c.Trial.Panel.V, c.Trial.Panel.Known
}

// tastedMeasures lists the measures that assessors scored, or, before there are
// scores, those that they will: every measure that is not read in a unit, from
// weights, or from a photo.
func (c *Case) tastedMeasures() []trial.Measure {
	f := &c.facts.lazy
	if !f.tastedKnown {
		f.tasted, f.tastedKnown = c.findTasted(), true
	}
	return f.tasted
}

func (c *Case) findTasted() []trial.Measure {
	if !c.Trial.Panel.Known {
		return nil
	}
	scores := c.Trial.Panel.V.Scores
	var out []trial.Measure
	for _, m := range c.Trial.Measures {
		if m.By.Known && m.By.V == "photo" {
			continue
		}
		scored := slices.ContainsFunc(scores, func(s trial.Score) bool { _, ok := s.Values.Get(m.Name); return ok })
		if scored || len(scores) == 0 && m.Kind != trial.Amount {
			out = append(out, m)
		}
	}
	return out
}

// decidingMeasures are the tasted measures that an aim names, or all of them
// where no aim names one.
func (c *Case) decidingMeasures() []trial.Measure {
	tasted := c.tastedMeasures()
	var out []trial.Measure
	for _, m := range tasted {
		if slices.ContainsFunc(c.Trial.Aims, func(a trial.Aim) bool { return a.Measure == m.Name }) {
			out = append(out, m)
		}
	}
	if out == nil {
		return tasted
	}
	return out
}

// decidingOrLiking are the deciding measures, and after them whatever else asks
// what people like: that is where tasters part, whether it decides or not.
func (c *Case) decidingOrLiking() []trial.Measure {
	out := c.decidingMeasures()
	for _, m := range c.tastedMeasures() {
		if asksLiking(m) && !slices.ContainsFunc(out, func(d trial.Measure) bool { return d.Name == m.Name }) {
			out = append(out, m)
		}
	}
	return out
}

// asksLiking reports whether a measure asks what people like.
func asksLiking(m trial.Measure) bool {
	return m.Kind == trial.JustRight || m.Role.V == "liking" || !m.Role.Known && m.Name == "liking"
}

// Concerns reports whether a finding is about what a measure says of the set
// points: all findings about set points are, those about liking concern measures
// that ask for it, and those about tasted measures what assessors scored.
func Concerns(f *Finding, m trial.Measure, tasted bool) bool {
	switch f.About {
	case AboutSetPoint:
		return true
	case AboutLiking:
		return asksLiking(m)
	case AboutTasted:
		return tasted
	}
	return false
}

func names(ms []trial.Measure) []string {
	out := make([]string, len(ms))
	for i, m := range ms {
		out[i] = m.Name
	}
	return out
}

// fitted is what the fit says of a measure, or nil.
func (c *Case) fitted(name string) *texture.Measure {
	if c.Fit == nil {
		return nil
	}
	return c.Fit.Measures.Named(name)
}

// realName turns the number under which the fit lists a taster into the name of
// the file.
func (c *Case) realName(alias string) string {
	if name, ok := c.Fit.Names[alias]; ok {
		return name
	}
	return alias
}

// tasters lists everybody who scored; before there are scores, everybody of the
// file.
func (c *Case) tasters() []string {
	if ids := c.Trial.AssessorIDs(); len(ids) > 0 {
		return ids
	}
	var out []string
	for _, a := range c.Trial.Panel.V.Assessors {
		out = append(out, a.ID)
	}
	return out
}

// assessor is what the file says of one, or nil.
func (c *Case) assessor(id string) *trial.Assessor {
	for i := range c.Trial.Panel.V.Assessors {
		if a := &c.Trial.Panel.V.Assessors[i]; a.ID == id {
			return a
		}
	}
	return nil
}
