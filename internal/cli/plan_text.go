package cli

import (
	"fmt"
	"math"
	"path/filepath"
	"strings"

	"tamis/internal/answer"
	"tamis/internal/design"
	"tamis/internal/diag"
	"tamis/internal/prose"
	"tamis/internal/quantity"
)

// planText prints what was laid out, who may eat it, how even it is, and what
// stays confounded.
type planText struct {
	fitText
	p *design.Plan
}

func renderPlan(p *design.Plan, files *planFiles, sys quantity.System) string {
	s := &planText{fitText: fitText{sys: sys}, p: p}
	s.head()
	s.heading("Who may eat it")
	if p.NotTasted {
		s.item("Do not eat it and do not taste it. It is laid out only to be weighed and sheared.")
	}
	seen := answer.Summarise(p.Trial, nil)
	s.fitText.verdicts(seen.Verdicts)
	s.arms()
	s.even()
	s.tasting()
	s.triangles()
	if len(p.Taken) > 0 {
		s.heading("Decided here")
		s.list(p.Taken)
	}
	if len(p.Confounded) > 0 {
		s.heading("What stays confounded")
		for _, r := range p.Confounded {
			s.item(r.Text.Text(sys))
		}
	}
	if seen.Doubts != nil {
		s.elsewhere = "tamis check --all"
		s.doubts(*seen.Doubts, seen.Findings)
	}
	s.blank()
	for _, w := range files.wrote {
		apart := ""
		if w == filepath.Join(filepath.Dir(files.to), filepath.FromSlash(files.key)) {
			apart = "    keep it apart until the ballots are in"
		}
		s.line("wrote " + diag.Clean(w) + apart)
	}
	s.line("next: tamis check " + diag.Clean(files.to))
	return s.text()
}

func (s *planText) head() {
	t := s.p.Trial
	for _, l := range diag.Wrap(diag.Clean(t.Title.V), columns) {
		s.line(l)
	}
	s.blank()
	pieces := 0
	for _, a := range s.p.Arms {
		pieces += a.Pieces
	}
	sessions, baths := map[string]bool{}, map[string]bool{}
	for i := range t.Cooks {
		sessions[t.Cooks[i].Session.V] = true
		baths[t.Cooks[i].Bath.V] = true
	}
	line := fmt.Sprintf("%s in %s and %s, %s.", counted(len(t.Cooks), "cook"), counted(len(sessions), "session"), counted(len(baths), "bath"), counted(pieces, "piece"))
	if n := len(s.p.Spare); n > 0 {
		line += fmt.Sprintf(" Left over: %s.", strings.Join(limited(s.p.Spare, 6), "; "))
	}
	s.prose(line, "  ", "  ")
	s.prose(fmt.Sprintf("Drawn by lot with seed %d; the run order only among those with a correlation to the set point of at most %s (drawn: %s, by rank %s).",
		s.p.Seed, prose.Fixed(s.p.OrderWithin, 1), prose.Fixed(s.p.R, 2), prose.Fixed(s.p.Rho, 2)), "  ", "  ")
}

// limited cuts a list that is too long to be read.
func limited(list []string, most int) []string {
	if len(list) <= most {
		return list
	}
	return append(append([]string(nil), list[:most]...), fmt.Sprintf("%d more", len(list)-most))
}

// counted says 1 cook or 3 cooks.
func counted(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %ss", n, one)
}

// arms is one line a set point, the verdict beside it.
func (s *planText) arms() {
	g := grid{right: []bool{false, true, true, true, true, false}}
	g.add("set point", "cooks", "pieces", "mass", "thickness", "verdict")
	for _, a := range s.p.Arms {
		mass, thick := "–", "–"
		if v, ok := a.Mass.Get(); ok {
			mass = quantity.Grams(v).FormatDigits(s.sys, 1)
		}
		if v, ok := a.Thickness.Get(); ok {
			d := 1
			if s.sys == quantity.US {
				d = 2
			}
			thick = quantity.Millimetres(v).FormatDigits(s.sys, d)
		}
		verdict := a.Verdict.Verdict.Short()
		if !a.Verdict.Parasites.Controlled() {
			verdict += "; parasites " + a.Verdict.Parasites.String()
		}
		g.add(s.temperature(a.SetPoint.Celsius()), fmt.Sprint(len(a.Cooks)), fmt.Sprint(a.Pieces), mass, thick, verdict)
	}
	s.heading("What was laid out")
	s.out = append(s.out, g.lines("  ")...)
}

// even is the table of balance.
func (s *planText) even() {
	if len(s.p.Meetings) == 0 && len(s.p.Balance) == 0 {
		return
	}
	s.heading("How even it is")
	g := grid{right: []bool{false, true, false}}
	for _, m := range s.p.Meetings {
		each := fmt.Sprintf("%d to %d times", m.Low, m.High)
		if m.Low == m.High {
			each = counted(m.Low, "time")
		}
		g.add("each set point meets each "+m.What, fmt.Sprintf("of %d", m.Levels), each)
	}
	s.out = append(s.out, g.lines("  ")...)
	g = grid{right: []bool{false, true, true, false}}
	for _, b := range s.p.Balance {
		d, ok := b.D.Get()
		if !ok {
			continue
		}
		between := "set points"
		if b.Factor != "set_point" {
			between = "treatments"
		}
		share := ""
		if v, ok := b.Share.Get(); ok && !b.Place() {
			share = prose.Fixed(100*v, 1) + " %"
		}
		word := ""
		if d > design.Balanced {
			word = fmt.Sprintf("more than %s", prose.Fixed(design.Balanced, 2))
		}
		g.add(b.Size+" between "+between, prose.Fixed(d, 2)+" SD", share, word)
	}
	if len(g.rows) > 0 {
		s.blank()
		s.out = append(s.out, g.lines("  ")...)
		s.item("Differences of means, in standard deviations within groups.")
	}
}

func (s *planText) tasting() {
	v := s.p.Serving
	if v == nil {
		return
	}
	s.heading("Who tastes what")
	people := map[string]bool{}
	for _, x := range design.Sittings(s.p.Trial) {
		people[x.Assessor] = true
	}
	each := fmt.Sprintf("%s with %s a sitting, %s in all", counted(len(people), "taster"), counted(v.PerPerson, "sample"), counted(v.Sittings, "sitting"))
	if v.Complete {
		each += "; everybody tastes everything of a session"
	}
	s.item(each + ".")
	s.item(fmt.Sprintf("Each sample gets %s, each taster meets each set point %s.", spanOf(v.TasteLow, v.TasteHigh, "taster"), spanOf(v.MeetLow, v.MeetHigh, "time")))
	if v.PlaceSpread == 0 && v.AfterSpread == 0 {
		s.item("Every set point stands equally often at every place and right after every other one.")
	} else {
		s.item(fmt.Sprintf("Counts of set points differ by at most %d at any place of the order, and by at most %d in what comes right after what.", v.PlaceSpread, v.AfterSpread))
	}
	if e, ok := v.Efficiency.Get(); ok {
		s.item(fmt.Sprintf("Two methods share %s; efficiency against complete sittings: %s.", spanOf(v.PairLow, v.PairHigh, "sitting"), prose.Fixed(math.Floor(100*e)/100, 2)))
	}
}

// triangles says what there is of triangle tests.
func (s *planText) triangles() {
	v := s.p.Triangles
	if v == nil {
		return
	}
	s.heading("Which is the odd one")
	s.item(fmt.Sprintf("%s of three portions, %s for each taster: two of one method and one of the other.", counted(v.Sets, "set"), counted(v.PerPerson, "set")))
	s.item(fmt.Sprintf("Each of the six orders (AAB, ABA, BAA, BBA, BAB, ABB) comes up %s. Every portion has a code of its own.", spanOf(v.OrderLow, v.OrderHigh, "time")))
}

func spanOf(low, high int, what string) string {
	if low == high {
		return counted(low, what)
	}
	return fmt.Sprintf("%d to %d %ss", low, high, what)
}
