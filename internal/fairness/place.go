package fairness

import (
	"path"
	"path/filepath"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

// besideTrial names the files of all places as seen from the trial: where its
// folder lies is nothing that a result may depend on.
func besideTrial(t *trial.Trial, r *Result) {
	folder := path.Dir(filepath.ToSlash(t.Title.At.File.String())) + "/"
	name := func(at *diag.Pos) {
		at.File = diag.FileNamed(strings.TrimPrefix(filepath.ToSlash(at.File.String()), folder))
	}
	for i := range r.Findings {
		f := &r.Findings[i]
		name(&f.Where.At)
		if f.Accepted != nil {
			name(&f.Accepted.At)
		}
	}
	for i := range r.Changed {
		name(&r.Changed[i].At)
	}
	for i := range r.Notices {
		name(&r.Notices[i].Pos)
	}
}

// placeOf is where in the file a finding begins that has no place yet: at the
// first thing that it names, from the smallest to the largest, and at the group
// of the field that is missing; else at the title, which every trial has.
func (c *Case) placeOf(w Where, missing []Missing) diag.Pos {
	t := c.Trial
	ids := [][]string{w.Pieces, w.Cooks, w.Sources, w.Baths, w.Sessions, w.Assessors, w.Measures}
	for _, m := range missing {
		ids = append(ids, m.Where)
	}
	for _, list := range ids {
		if len(list) > 0 {
			if at := c.placeOfID(list[0]); !at.IsZero() {
				return at
			}
		}
	}
	for _, m := range missing {
		group, rest, _ := strings.Cut(m.Field, ".")
		var at diag.Pos
		switch group {
		case "food":
			at = t.Food.Name.At
		case "panel", "scores":
			at = t.Panel.At
		case "measures":
			name, _, _ := strings.Cut(rest, ".")
			if at = c.placeOfID(name); at.IsZero() && len(t.Measures) > 0 {
				at = t.Measures[0].At
			}
		case "baths":
			if len(t.Baths) > 0 {
				at = t.Baths[0].At
			}
		case "sources":
			if len(t.Sources) > 0 {
				at = t.Sources[0].At
			}
		case "sessions":
			if len(t.Sessions) > 0 {
				at = t.Sessions[0].At
			}
		case "cooks", "pieces", "finish", "brine":
			if len(t.Cooks) > 0 {
				at = t.Cooks[0].At
			}
		case "language", "conclusion":
			at = t.Conclusion.At
		}
		if !at.IsZero() {
			return at
		}
	}
	if len(w.Arms) > 0 && len(c.facts.runs) > 0 {
		for _, r := range c.runs() {
			if c.label(r.Level) == w.Arms[0] {
				return t.Cooks[r.Cooks[0]].At
			}
		}
	}
	return t.Title.At
}

// placeOfID is where the thing with an id is described.
func (c *Case) placeOfID(id string) diag.Pos {
	t := c.Trial
	if ci, ok := c.facts.cookAt[id]; ok {
		return t.Cooks[ci].At
	}
	for _, p := range c.facts.pieces {
		if p.P.ID == id {
			return p.P.At
		}
	}
	for i := range t.Sources {
		if t.Sources[i].ID == id {
			return t.Sources[i].At
		}
	}
	for i := range t.Baths {
		if t.Baths[i].ID == id {
			return t.Baths[i].At
		}
	}
	for i := range t.Sessions {
		if t.Sessions[i].ID == id {
			return t.Sessions[i].At
		}
	}
	for i := range t.Panel.V.Assessors {
		if a := &t.Panel.V.Assessors[i]; a.ID == id {
			return a.At
		}
	}
	for i := range t.Measures {
		if t.Measures[i].Name == id {
			return t.Measures[i].At
		}
	}
	return diag.Pos{}
}
