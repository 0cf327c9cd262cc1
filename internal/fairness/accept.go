package fairness

import (
	"fmt"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

// accept marks the findings that the author knows about, and says which entries
// of the file match nothing. An accepted finding is computed and counted all
// the same; it comes last and trips nothing.
//
// An entry ends with its day until: the trial's own last day counts, never the
// day on which the program runs, so that the same file gives the same bytes.
func accept(t *trial.Trial, findings []Finding) diag.List {
	var notices diag.List
	say := func(a trial.Accept, slug, text, hint string) {
		notices.Add(diag.Message{Severity: diag.Warning, Slug: slug, Pos: a.At, Text: text, Hint: hint})
	}
	last := lastDay(t)
	for _, a := range t.Accept {
		if _, known := Lookup(a.Finding); !known {
			continue // the reader of the file has said so
		}
		if a.Until.Known && !last.IsZero() && last.Days() > a.Until.V.Days() {
			say(a, "accept-ended", fmt.Sprintf("this ended on %s and counts no more", a.Until.V), "look at the finding again, then move the day or remove the entry")
			continue
		}
		matched, under, lacks := false, "", ""
		for i := range findings {
			f := &findings[i]
			if f.Slug == a.Finding && f.Outcome == CannotJudge {
				lacks = f.lacking()
			}
			if f.Slug != a.Finding || f.Outcome != Fires || !covers(a.Where, f.Where) {
				continue
			}
			if f.Under != "" {
				under = f.Under
			}
			matched = true
			f.Accepted = &Accepted{Because: strings.TrimSpace(a.Because.V), At: a.At}
		}
		switch {
		case under != "":
			say(a, "accept-absorbed", fmt.Sprintf("%s is part of %s, which is not accepted with it", a.Finding, under), "accept "+under+" if you know about it")
		case !matched && lacks != "":
			say(a, "accept-unjudged", a.Finding+" is accepted but could not be judged, and that cannot be accepted", "fill in "+lacks)
		case !matched:
			say(a, "accept-idle", fmt.Sprintf("%s is accepted but does not fire%s", a.Finding, onlyThere(a.Where)), "remove it, or look why")
		}
	}
	return notices
}

// lacking is what a check that could not judge would need.
func (f *Finding) lacking() string {
	var fields []string
	for _, m := range f.Missing {
		fields = append(fields, m.Field)
	}
	if f.TooFew != nil {
		fields = append(fields, fmt.Sprintf("more %s: %d, and %d are needed", f.TooFew.What, f.TooFew.Have, f.TooFew.Need))
	}
	return strings.Join(fields, ", ")
}

func onlyThere(where []string) string {
	if len(where) == 0 {
		return ""
	}
	return " for " + strings.Join(where, ", ") + " alone"
}

// covers reports whether an entry narrowed to ids covers all that a finding
// concerns. An entry that is not narrowed covers everything.
func covers(ids []string, w Where) bool {
	if len(ids) == 0 {
		return true
	}
	concerned := 0
	for _, list := range [][]string{w.Cooks, w.Pieces, w.Sources, w.Assessors, w.Measures} {
		if len(list) == 0 {
			continue
		}
		concerned++
		if among(list, ids) {
			return true
		}
	}
	return concerned == 0
}

// lastDay is the last day that the trial names for its cooks or its decision.
func lastDay(t *trial.Trial) trial.Date {
	days := []trial.Opt[trial.Date]{t.Date}
	for _, s := range t.Sessions {
		days = append(days, s.Date)
	}
	if t.Decision.Known {
		days = append(days, t.Decision.V.On)
	}
	var last trial.Date
	for _, d := range days {
		if d.Known && (last.IsZero() || d.V.Days() > last.Days()) {
			last = d.V
		}
	}
	return last
}
