package cli

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/size"
)

// sizeText prints the answer first, then the curve, then what it rests on.
type sizeText struct {
	fitText
	r *size.Result
}

func renderSize(r *size.Result, sys quantity.System) string {
	s := &sizeText{fitText: fitText{sys: sys}, r: r}
	s.head()
	if len(r.Text.Danger) > 0 {
		s.paragraph(r.Text.Danger)
		s.blank()
	}
	s.paragraph(r.Text.Answer)
	if r.Cooks != nil {
		s.cookCurve(r.Cooks)
	} else {
		s.answerCurve(r.Answers)
	}
	s.paragraph(r.Text.Cheap)
	s.paragraph(r.Text.Why)
	s.heading("What this rests on")
	s.list(r.Text.Assumed)
	if len(r.Text.Checked) > 0 {
		s.heading("Checked by simulation")
		s.list(r.Text.Checked)
	}
	return s.text()
}

func (s *sizeText) head() {
	title := "What a trial can see"
	switch {
	case s.r.Answers != nil && s.r.Answers.Similarity:
		title = "Similarity: " + testName(s.r.Answers)
	case s.r.Answers != nil:
		title = prose.Upper(testName(s.r.Answers))
	case s.r.Trial != nil:
		title = prose.Upper(strings.ReplaceAll(s.r.Trial.Measure, "_", " ")) + ": " + diag.Clean(s.r.Trial.Title)
	}
	for _, l := range diag.Wrap(title, columns) {
		s.line(l)
	}
	s.blank()
}

// testName is what a panel calls the test.
func testName(a *size.Answers) string {
	name := strings.ReplaceAll(a.Test, "afc", "AFC") + " test"
	if a.TwoSided {
		name = "paired test, two-sided"
	}
	return name
}

// barCells is the width of a bar of the curve.
const barCells = 30

// bar draws a share between 0 and 1 with a mark where the goal lies; below 0
// there is no goal.
func bar(v, goal float64) string {
	row := make([]rune, barCells)
	full := int(math.Round(min(1, max(0, v)) * barCells))
	for i := range row {
		row[i] = '·'
		if i < full {
			row[i] = '█'
		}
	}
	if at := int(math.Round(goal * barCells)); goal > 0 && at < barCells {
		if at >= full {
			row[at] = '│'
		}
	}
	return string(row)
}

// cookCurve shows, for numbers of cooks, the smallest visible difference and the
// chance to see the one that was named.
func (s *sizeText) cookCurve(c *size.Cooks) {
	named := c.Question.Effect > 0
	var most float64
	for _, p := range c.Curve {
		most = max(most, p.Visible.Or(0))
	}
	g := grid{right: []bool{true, true}}
	unit := c.Unit
	if named {
		g.add("cooks", "visible", fmt.Sprintf("chance to see %s %s", trimmed(c.Question.Effect, 6), singular(c.Question.Effect, unit)), "", "")
	} else {
		g.add("cooks", "visible", "smallest difference that is seen", "", "")
	}
	for _, p := range c.Curve {
		visible, chance := "–", ""
		if v, ok := p.Visible.Get(); ok {
			visible = upward(v)
		}
		row := ""
		switch v, ok := p.Power.Get(); {
		case named && ok:
			row, chance = bar(v, c.Question.Power), towards(v, c.Question.Power)
		case named:
			row, chance = bar(0, c.Question.Power), "–"
		case p.Visible.Known():
			row = strings.TrimRight(bar(p.Visible.Or(0)/most, 0), "·")
		}
		mark := ""
		switch {
		case c.Needed != nil && p.Design.Cooks == c.Needed.Design.Cooks && p.Design.Cooks == c.Design.Cooks:
			mark = "what you have, enough"
		case p.Design.Cooks == c.Design.Cooks:
			mark = "what you have"
		case c.Needed != nil && p.Design.Cooks == c.Needed.Design.Cooks:
			mark = "enough"
		}
		g.add(strconv.Itoa(p.Design.Cooks), visible, row, chance, mark)
	}
	s.blank()
	for _, l := range g.lines("  ") {
		s.line(l)
	}
	foot := fmt.Sprintf("cooks: per %s; visible: the difference seen in %s", c.Arm, percent(c.Question.Power))
	if named {
		foot += "; │ " + percent(c.Question.Power)
	}
	s.prose(foot, "  ", "  ")
	s.blank()
}

// answerCurve shows what numbers of answers can show.
func (s *sizeText) answerCurve(a *size.Answers) {
	g := grid{right: []bool{true, true}}
	critical := "must be right"
	switch {
	case a.Similarity:
		critical = "at most right"
	case a.TwoSided:
		critical = "must agree"
	}
	named := a.Share.Known()
	head := ""
	if named {
		head = "chance to succeed"
	}
	g.add("answers", critical, head, "", "")
	for _, p := range a.Curve {
		k, row, chance, mark := "–", "", "", ""
		if v, ok := p.Critical.Get(); ok {
			k = strconv.Itoa(int(v))
		}
		if v, ok := p.Power.Get(); ok {
			row, chance = bar(v, a.Target), towards(v, a.Target)
		} else if named {
			row, chance = bar(0, a.Target), "–"
		}
		have := a.Now != nil && a.Now.Answers == p.Answers
		enough := a.Needed != nil && a.Needed.Answers == p.Answers
		switch {
		case have && enough:
			mark = "what you have, enough"
		case have:
			mark = "what you have"
		case enough:
			mark = "enough"
		}
		g.add(strconv.Itoa(p.Answers), k, row, chance, mark)
	}
	s.blank()
	for _, l := range g.lines("  ") {
		s.line(l)
	}
	if len(a.Others) > 0 {
		var words []string
		for _, o := range a.Others {
			if n, ok := o.Answers.Get(); ok {
				words = append(words, strings.ReplaceAll(o.Test, "afc", "AFC")+" "+strconv.Itoa(int(n)))
			}
		}
		s.prose("Answers for the same distance by other tests: "+strings.Join(words, ", ")+".", "  ", "  ")
	}
	s.blank()
}

// upward prints a difference with two digits, rounded up.
func upward(v float64) string {
	r, d := size.RoundUp(v)
	return prose.Fixed(r, d)
}

// towards prints a chance beside its goal: one that falls short never looks as
// if it did not.
func towards(v, goal float64) string {
	s := percent(v)
	for d := 1; v < goal && s == percent(goal) && d < 6; d++ {
		if t := prose.Fixed(100*v, d) + " %"; t != prose.Fixed(100*goal, d)+" %" {
			return t
		}
	}
	return s
}

// percent prints a chance in whole percents, never 0 or 100 for what is neither.
func percent(v float64) string {
	switch {
	case v > 0.995 && v < 1:
		return "> 99 %"
	case v > 0 && v < 0.005:
		return "< 1 %"
	}
	return prose.Fixed(100*v, 0) + " %"
}

func singular(v float64, unit string) string {
	if unit == "points" && v == 1 {
		return "point"
	}
	return unit
}
