package cli

import (
	"fmt"
	"strconv"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/fairness"
)

// evidence is what a finding rests on, as --all prints it: the statistic with its
// value and threshold, what it concerns by id, and the place in the file.
func evidence(x *fairness.Finding) string {
	var out []string
	if v, ok := x.Value.Get(); ok && x.Statistic != "" {
		s := diag.Clean(x.Statistic) + ": " + short(v)
		if limit, ok := x.Threshold.Get(); ok {
			s += ", threshold " + short(limit)
		}
		if x.Option != "" {
			s += " (" + x.Option + ")"
		}
		out = append(out, s)
	}
	out = append(out, concerned(x.Where)...)
	if !x.Where.At.IsZero() {
		out = append(out, x.Where.At.String())
	}
	return strings.Join(out, "; ")
}

// mostIDs is how many ids of a kind are listed.
const mostIDs = 8

// concerned lists ids by kind.
func concerned(w fairness.Where) []string {
	var out []string
	for _, k := range []struct {
		one, many string
		ids       []string
	}{
		{"cook", "cooks", w.Cooks}, {"piece", "pieces", w.Pieces}, {"source", "sources", w.Sources}, {"session", "sessions", w.Sessions},
		{"bath", "baths", w.Baths}, {"taster", "tasters", w.Assessors}, {"measure", "measures", w.Measures},
	} {
		if len(k.ids) > 0 {
			name := k.many
			if len(k.ids) == 1 {
				name = k.one
			}
			out = append(out, name+" "+someIDs(k.ids))
		}
	}
	return out
}

func someIDs(ids []string) string {
	more := ""
	if len(ids) > mostIDs {
		more = fmt.Sprintf(" and %d more", len(ids)-mostIDs)
		ids = ids[:mostIDs]
	}
	return diag.Clean(strings.Join(ids, ", ")) + more
}

// short is a number with three digits that count, and never with an exponent
// where a person would not write one.
func short(v float64) string {
	if v < 0 {
		return "−" + short(-v)
	}
	if v != 0 && v < 0.0001 {
		return strconv.FormatFloat(v, 'g', 2, 64)
	}
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 3, 64), 64)
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}

// unjudged lists what could not be judged, and what would settle it.
func (f *fitText) unjudged(findings []fairness.Finding) {
	for i := range findings {
		x := &findings[i]
		if x.Outcome != fairness.CannotJudge {
			continue
		}
		var lacks []string
		for _, m := range x.Missing {
			s := diag.Clean(m.Field) + " is missing"
			if len(m.Where) > 0 {
				s += " (" + someIDs(m.Where) + ")"
			}
			lacks = append(lacks, s)
		}
		if few := x.TooFew; few != nil {
			lacks = append(lacks, fmt.Sprintf("too few %s: %d, and %d are needed", diag.Clean(few.What), few.Have, few.Need))
		}
		f.prose(slugOf(x)+": "+strings.Join(lacks, "; "), "    ", "      ")
	}
}

// under lists what is part of a root, each with what it rests on.
func (f *fitText) under(root *fairness.Finding, findings []fairness.Finding) {
	pad := strings.Repeat(" ", 11)
	for i := range findings {
		x := &findings[i]
		if x.Outcome == fairness.Fires && x.Under == root.Slug && x.Factor == root.Factor {
			f.prose(x.Text.Text(f.sys)+" ["+slugOf(x)+"]", pad+"part of it, "+x.Severity.String()+": ", pad+"  ")
			f.prose(evidence(x), pad+"  ", pad+"  ")
		}
	}
}

// slugOf is the slug of a finding, with the factor where it is not the set point.
func slugOf(x *fairness.Finding) string {
	if x.Factor == "" {
		return x.Slug
	}
	return x.Slug + ", " + diag.Clean(x.Factor)
}

// applies counts the findings of an outcome.
func applies(findings []fairness.Finding, o fairness.Outcome) (n int) {
	for i := range findings {
		if findings[i].Outcome == o {
			n++
		}
	}
	return n
}

// rootsOf are the findings that roots and accepted ones stand for, in their order.
func rootsOf(findings []fairness.Finding, accepted bool) []*fairness.Finding {
	var out []*fairness.Finding
	for i := range findings {
		if x := &findings[i]; x.Outcome == fairness.Fires && x.Under == "" && (x.Accepted != nil) == accepted {
			out = append(out, x)
		}
	}
	return out
}
