package report

import (
	"strconv"
	"strings"

	"tamis/internal/answer"
	"tamis/internal/fairness"
	"tamis/internal/figure"
)

// findings are all checks: what fires with its numbers, what was accepted, what
// could not be judged, what is clear and what does not apply.
func (s *science) findings() {
	fs := s.r.Findings
	if len(fs) == 0 {
		return
	}
	s.section("findings", "What else may have done it")
	var fires, accepted, unjudged, clear, apart []*fairness.Finding
	for i := range fs {
		f := &fs[i]
		switch {
		case f.Outcome == fairness.Fires && f.Accepted != nil:
			accepted = append(accepted, f)
		case f.Outcome == fairness.Fires:
			fires = append(fires, f)
		case f.Outcome == fairness.CannotJudge:
			unjudged = append(unjudged, f)
		case f.Outcome == fairness.Clear:
			clear = append(clear, f)
		default:
			apart = append(apart, f)
		}
	}
	s.p(s.r.Doubts.Headline, ". ", count(len(fires), "finding"), "; accepted: ", answer.Quantity{Kind: answer.Count, Value: float64(len(accepted))},
		"; could not be judged: ", answer.Quantity{Kind: answer.Count, Value: float64(len(unjudged))}, "; clear: ", answer.Quantity{Kind: answer.Count, Value: float64(len(clear))},
		"; do not apply: ", answer.Quantity{Kind: answer.Count, Value: float64(len(apart))}, ".")
	if len(fires) > 0 {
		s.part("Findings")
		s.addTable(s.findingTable("Findings, worst first", fires))
		s.details(fires)
	}
	if len(accepted) > 0 {
		s.part("Accepted by the author")
		t := s.table(phrase("Findings that the author knows about"), "Check", "Severity", "Finding", "Why it was accepted")
		for _, f := range accepted {
			t.row(f.Slug, f.Severity.String(), of(f.Text), f.Accepted.Because)
		}
		s.addTable(t)
	}
	if len(unjudged) > 0 {
		s.part("Could not be judged")
		t := s.table(phrase("Checks without an answer, and what would give one"), "Check", "Asks", "Fields missing", "Where", "Too few")
		for _, f := range unjudged {
			var fields, where []string
			for _, m := range f.Missing {
				fields = append(fields, clean(m.Field))
				if len(m.Where) > 0 {
					where = append(where, someOf(m.Where, 6))
				}
			}
			few := ""
			if x := f.TooFew; x != nil {
				few = clean(x.What) + ": " + strconv.Itoa(x.Have) + " of " + strconv.Itoa(x.Need)
			}
			t.row(f.Slug, asks(f.Slug), strings.Join(fields, ", "), strings.Join(where, "; "), few)
		}
		s.addTable(t)
	}
	for _, x := range []struct {
		title string
		list  []*fairness.Finding
	}{{"Clear", clear}, {"Does not apply", apart}} {
		t := s.table(phrase(x.title), "Check", "Asks", "Statistic", "#Value", "#Threshold", "Remark")
		for _, f := range x.list {
			t.row(findingName(f), asks(f.Slug), clean(f.Statistic), s.known(t, f.Value.Known(), f), s.threshold(t, f), of(f.Text))
		}
		s.folded(x.title, t)
	}
	if cs := s.r.Doubts.Changed; len(cs) > 0 {
		s.part("Thresholds that were changed")
		t := s.table(phrase("Thresholds that were changed"), "Threshold", "#Default", "#Here")
		for _, c := range cs {
			t.row(c.Name, c.Default, c.Value)
		}
		s.addTable(t)
	}
	var notices []words
	for _, n := range s.r.Doubts.Notices {
		notices = append(notices, phrase(clean(n)))
	}
	if len(notices) > 0 {
		s.add(block{List: notices})
	}
}

// findingName is the slug of a check, with the factor where it is not the set point.
func findingName(f *fairness.Finding) string {
	if f.Factor == "" {
		return f.Slug
	}
	return f.Slug + " (" + plain(f.Factor) + ")"
}

func asks(slug string) string {
	if c, ok := fairness.Lookup(slug); ok {
		return c.Asks
	}
	return ""
}

func (s *science) known(t *numbered, known bool, f *fairness.Finding) cellView {
	if !known {
		return cellView{}
	}
	return t.brief(f.Value, 3)
}

func (s *science) threshold(t *numbered, f *fairness.Finding) cellView {
	if !f.Threshold.Known() {
		return cellView{}
	}
	c := t.brief(f.Threshold, 3)
	if f.Option != "" {
		c.Words = append(c.Words, piece{Text: " (" + clean(f.Option) + ")"})
	}
	return c
}

// findingTable is what fires; what is part of another finding stands under it.
func (s *science) findingTable(caption string, fs []*fairness.Finding) *numbered {
	t := s.table(phrase(caption), "Check", "Severity", "Finding", "Statistic", "#Value", "#Threshold", "Part of", "Concerns", "What it could explain")
	for _, f := range fs {
		var cost words
		if f.Cost != nil {
			cost = of(f.Cost.Text)
		}
		t.row(findingName(f), f.Severity.String(), of(f.Text), clean(f.Statistic), s.known(t, f.Value.Known(), f), s.threshold(t, f), f.Under, concerns(f.Where), cost)
	}
	return t
}

// details are the further statistics of findings.
func (s *science) details(fs []*fairness.Finding) {
	t := s.table(phrase("Further statistics of the findings"), "Check", "Statistic", "#Value", "Unit", "Remark")
	for _, f := range fs {
		for _, d := range f.Details {
			v := cellView{}
			if d.Value.Known() {
				v = t.brief(d.Value, 4)
			}
			t.row(findingName(f), clean(d.Name), v, clean(d.Unit), clean(d.Words))
		}
	}
	s.addOrFold("Further statistics of the findings", t)
}

// concerns lists where a finding is, the first few of each kind.
func concerns(w fairness.Where) string {
	var out []string
	for _, x := range []struct {
		name string
		ids  []string
	}{{"cooks", w.Cooks}, {"pieces", w.Pieces}, {"sources", w.Sources}, {"sessions", w.Sessions}, {"baths", w.Baths}, {"tasters", w.Assessors}, {"measures", w.Measures}, {"fields", w.Fields}} {
		if len(x.ids) > 0 {
			out = append(out, x.name+" "+someOf(x.ids, 6))
		}
	}
	if w.Quote != "" {
		out = append(out, "“"+clean(w.Quote)+"”")
	}
	return strings.Join(out, "; ")
}

func someOf(ids []string, n int) string {
	more := ""
	if len(ids) > n {
		more = " and " + strconv.Itoa(len(ids)-n) + " more"
		ids = ids[:n]
	}
	return plainList(ids) + more
}

// claim is how wide a sentence about this trial may be, and what the next step
// needs.
func (s *science) claim() {
	c := s.r.Claim
	if c == nil {
		return
	}
	s.section("claim", "How wide a claim may be")
	t := s.table(phrase("The ladder of claims"), "Level", "Holds for", "Reached", "A sentence may say", "It may not say", "What it still needs")
	for l := fairness.L0; l <= fairness.L4; l++ {
		reached, allowed, not := "no", "", ""
		if l <= c.Level {
			reached = "yes"
		}
		if l == c.Level {
			reached, allowed, not = "yes, and no further", strings.Join(c.Allowed, ", "), strings.Join(c.NotAllowed, ", ")
		}
		var lacks []string
		for _, x := range c.Lacks {
			if x.Level != l {
				continue
			}
			text := clean(x.What)
			if x.Have != "" {
				text += ", have " + clean(x.Have)
			}
			if x.Need != "" {
				text += ", need " + clean(x.Need)
			}
			lacks = append(lacks, text)
		}
		t.row(l.String(), l.HoldsFor(), reached, allowed, not, strings.Join(lacks, "; "))
	}
	cause := "No cause may be named."
	if c.Cause {
		cause = "The cause that may be named: " + c.Subject + "."
	}
	confirmed := " “Confirmed” may not be said."
	if c.Confirmed {
		confirmed = " “Confirmed” may be said: it was declared beforehand."
	}
	t.note(cause + confirmed)
	s.addTable(t)
	if hs := all(c.Hedges); len(hs) > 0 {
		s.p("A claim must add:")
		s.add(block{List: hs})
	}
	if rs := all(c.Remarks); len(rs) > 0 {
		s.add(block{List: rs})
	}
	s.contrasts()
	if t := s.rec.Trial; t.Conclusion.Known {
		s.part("What the author concludes")
		s.add(block{Quote: clean(t.Conclusion.V)})
	}
	s.decision()
}

// contrasts groups the comparisons of each measure by their level.
func (s *science) contrasts() {
	type key struct {
		measure string
		level   fairness.Level
	}
	var order []key
	of := map[key][]figure.Text{}
	for _, k := range s.r.Claim.Contrasts {
		id := key{k.Measure, k.Level}
		if of[id] == nil {
			order = append(order, id)
		}
		a, b := figure.Same(plain(k.A)), figure.Same(plain(k.B))
		if m := s.r.Measures.Named(k.Measure); m != nil {
			a, b = levelText(m, k.A), levelText(m, k.B)
		}
		of[id] = append(of[id], joined(a, " and ", b))
	}
	t := s.table(phrase("The level of each comparison"), "Measure", "Level", "#Comparisons", "Which")
	most := map[string]key{} // the level of most comparisons of a measure
	for _, id := range order {
		if m, ok := most[id.measure]; !ok || len(of[id]) > len(of[m]) {
			most[id.measure] = id
		}
	}
	for _, id := range order {
		list := of[id]
		if most[id.measure] == id && len(list) > 3 {
			which := "all"
			for _, other := range order {
				if other.measure == id.measure && other != id {
					which = "all others"
				}
			}
			t.row(capital(plain(id.measure)), id.level.String(), len(list), which)
			continue
		}
		text := list[0]
		for _, x := range list[1:] {
			text = joined(text, "; ", x)
		}
		t.row(capital(plain(id.measure)), id.level.String(), len(list), dual(text))
	}
	s.folded("The level of each comparison", t)
}

// decision is what the kitchen settled on, as written down; not where the food
// is not to be eaten.
func (s *science) decision() {
	d, ok := s.rec.Trial.Decision.Get()
	if !ok {
		return
	}
	s.part("What was decided")
	if s.r.Safety.Verdict == answer.VerdictDoNotEat {
		s.sentences(s.r.Safety.Lead)
		return
	}
	var ds []def
	if d.SetPoint.Known {
		ds = append(ds, def{"Set point", phrase(armTemperature(d.SetPoint.V.Celsius()))})
	}
	if d.Time.Known {
		ds = append(ds, def{"Time", phrase(answer.Quantity{Kind: answer.Duration, Value: d.Time.V.Minutes()})})
	}
	if d.Tolerance.Known {
		ds = append(ds, def{"Tolerance", phrase(answer.Quantity{Kind: answer.Tolerance, Value: d.Tolerance.V.Kelvin()})})
	}
	if d.HoldsFor.Known {
		ds = append(ds, def{"Holds for", phrase(answer.Quantity{Kind: answer.Duration, Value: d.HoldsFor.V.Minutes()})})
	}
	by := clean(d.By.V)
	if d.On.Known {
		by = strings.Join(nonEmpty(by, d.On.V.String()), ", ")
	}
	if by != "" {
		ds = append(ds, def{"By", words{{Text: by}}})
	}
	if len(ds) > 0 {
		s.add(block{Caution: &cautionBox{Label: "Who may eat it", Items: all(cautionsUnderAnswer(s.r))}}, block{Defs: ds})
	}
}

// deviations are what did not go to plan.
func (s *science) deviations() {
	s.section("deviations", "Deviations from the plan")
	t := s.table(phrase("What did not go to plan"), "Cook", "At", "What", "#Minutes")
	for _, d := range s.rec.Trial.Deviations {
		at, minutes := "", ""
		if d.Clock.Known {
			at = d.Clock.V.String()
		}
		if d.Minutes.Known {
			minutes = short(d.Minutes.V)
		}
		t.row(clean(d.Cook.Or("all")), at, clean(d.What.V), minutes)
	}
	l := s.table(phrase("Scores and pieces that were left out or lost"), "What", "Of", "Why")
	numbers := tasterNumbers(s.rec.Trial)
	if p, ok := s.rec.Trial.Panel.Get(); ok {
		for i := range p.Scores {
			x := &p.Scores[i]
			if x.LeftOut.Known && x.LeftOut.V != "" {
				l.row("Scores of "+numbers[x.Assessor], strings.Join(nonEmpty(clean(x.Cook), clean(x.Piece.V)), ", "), clean(x.LeftOut.V))
			}
		}
	}
	for i := range s.rec.Trial.Cooks {
		for _, x := range s.rec.Trial.Cooks[i].Pieces {
			if x.Lost.Known {
				l.row("Piece "+clean(x.ID), clean(s.rec.Trial.Cooks[i].ID), clean(x.Lost.V))
			}
		}
	}
	if len(t.Rows)+len(l.Rows) == 0 {
		s.p("None is written down.")
		return
	}
	s.addTable(t)
	s.addOrFold("What was left out or lost", l)
}
