package design

import (
	"errors"
	"math"
	"slices"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/heat"
	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/trial"
)

// Options of a plan.
type Options struct {
	// Seed is where every draw starts from, above 0.
	Seed uint64
	// LongestSession is how long a day at the baths may be, in minutes; 0 is the
	// house rule of that name.
	LongestSession float64
	// Again lays out anew a trial that has cooks, provided nothing of them was
	// cooked yet.
	Again bool
}

// Plan is a trial that was laid out, and what there is to know about it.
type Plan struct {
	Trial *trial.Trial // with cooks, pieces, key and score rows; the input is not altered
	Seed  uint64
	// OrderWithin is the largest correlation of run order and set point that was
	// allowed; R and Rho are those of the order drawn, by value and by rank.
	OrderWithin, R, Rho float64
	Arms                []Arm
	Balance             []Balance
	Meetings            []Meeting
	Serving             *Serving         // nil without assessors
	Triangles           *Triangles       // nil where the design asks for none
	Taken               []prose.Sentence // what the design left open and how it was decided
	Confounded          []Remark         // what the layout does not take apart
	Spare               []string         // pieces that are left over, such as "fish-2, tail"
	// NotTasted says that this must not be eaten and is laid out only to be weighed
	// and sheared.
	NotTasted bool
}

// Arm is one set point of a plan.
type Arm struct {
	SetPoint  quantity.Temperature
	Cooks     []int // indices into Trial.Cooks
	Pieces    int
	Mass      quantity.Number // mean, g
	Thickness quantity.Number // mean, mm
	Verdict   safety.CookVerdict
}

// Remark is one thing to know, with a slug that is never reused.
type Remark struct {
	Slug string
	Text prose.Sentence
}

// Cooked reports whether anything of a trial happened already: then it is never
// laid out again.
func Cooked(t *trial.Trial) bool {
	if s := t.Status; s.Known && (s.V == trial.Cooked || s.V == trial.Decided) {
		return true
	}
	some := func(values trial.Readings) bool {
		for _, v := range values {
			if !v.Missing {
				return true
			}
		}
		return false
	}
	for i := range t.Cooks {
		c := &t.Cooks[i]
		if c.Started.Known || c.Out.Known || c.Served.Known || c.ServedAt.Known || c.LogFile.Known || some(c.Values) {
			return true
		}
		for j := range c.Pieces {
			p := &c.Pieces[j]
			if p.Brined.Known || p.After.Known || p.Out.Known || p.Served.Known || p.ServedAt.Known || p.Lost.Known || some(p.Values) {
				return true
			}
		}
	}
	for i := range t.Panel.V.Scores {
		if some(t.Panel.V.Scores[i].Values) {
			return true
		}
	}
	if slices.ContainsFunc(t.Panel.V.Triangles, func(x trial.TriangleSet) bool { return x.Odd.Known }) {
		return true
	}
	return len(t.Tests) > 0 || t.Decision.Known || len(t.Deviations) > 0
}

// Of lays a trial out. The error is a *Refusal where the plan cannot exist.
func Of(t *trial.Trial, o Options) (*Plan, error) {
	switch {
	case Cooked(t):
		return nil, refuse(ErrPlanned, diag.Pos{}, say("some of it was cooked or tasted, and that is never overwritten"), say("copy the design into a file of its own"))
	case !t.Design.Known:
		return nil, refuse(ErrNoDesign, diag.Pos{}, say("it has no design"), say("add design: {set_points: [48 °C, 52 °C], times: [60 min]}"))
	case len(t.Cooks) > 0 && !o.Again:
		return nil, refuse(ErrPlanned, t.Cooks[0].At, say("it has cooks already"), nil)
	}
	s, err := sizesOf(t, MostRuns)
	if err != nil {
		return nil, err
	}
	l, err := newLayout(t, s, o.LongestSession)
	for errors.Is(err, ErrRuns) && !s.d.CooksEach.Known && s.each > 1 {
		// Nobody asked for so many repeats: take as many as the baths hold.
		if s, err = sizesOf(t, s.each-1); err != nil {
			return nil, err
		}
		l, err = newLayout(t, s, o.LongestSession)
	}
	if err != nil {
		return nil, err
	}
	if err := l.settle(o.Seed); err != nil {
		return nil, err
	}
	out := l.trial(t)
	p := &Plan{Trial: out, Seed: o.Seed, OrderWithin: l.when.Bound, R: l.when.R, Rho: l.when.Rho, Taken: s.taken,
		Balance: l.balances(), Meetings: l.meetings()}
	if p.Serving, err = l.serve(out, o.Seed); err != nil {
		return nil, err
	}
	if p.Triangles, err = l.triangles(out, o.Seed); err != nil {
		return nil, err
	}
	for _, f := range s.d.Factors {
		if !slices.ContainsFunc(out.Factors, func(g trial.Factor) bool { return g.Name == f.Name }) {
			out.Factors = append(slices.Clone(out.Factors), f)
		}
	}
	if len(s.people) > 0 {
		panel := out.Panel.V
		if !panel.Blind.Known {
			panel.Blind = trial.Some(true)
		}
		switch {
		case p.Serving == nil: // triangles alone
		case p.Serving.Complete:
			panel.Plan = trial.Some(trial.Complete)
		default:
			panel.Plan = trial.Some(trial.IncompleteBlocks)
		}
		out.Panel.V = panel
	}
	out.Drawn = trial.Some(trial.Drawn{Order: trial.Some(true), Pieces: trial.Some(true), Seed: trial.Some(o.Seed), OrderWithin: trial.Some(l.when.Bound)})
	if !out.Status.Known || out.Status.V == trial.Idea {
		out.Status = trial.Some(trial.Planned)
	}
	p.spare(l)
	if err := p.judge(l); err != nil {
		return nil, err
	}
	p.confounded(l)
	return p, nil
}

// judge takes the verdict on every cook and refuses what must not be eaten,
// unless nobody tastes.
func (p *Plan) judge(l *layout) error {
	t := p.Trial
	verdicts := safety.OfTrial(t, heat.OfTrial(t)).Cooks
	tasted := len(l.s.people) > 0 || len(t.Measures) == 0 || slices.ContainsFunc(t.Measures, Tasted)
	refused := []quantity.Temperature{}
	var why prose.Sentence
	for i, point := range l.s.points {
		a := Arm{SetPoint: point}
		var mass, thickness []float64
		for c := range t.Cooks {
			if l.s.armOf(t.Cooks[c].SetPoint.V) != i {
				continue
			}
			if v := verdicts[c]; len(a.Cooks) == 0 || v.Verdict < a.Verdict.Verdict {
				a.Verdict = v
			}
			a.Cooks = append(a.Cooks, c)
			for _, x := range t.Cooks[c].Pieces {
				a.Pieces++
				if x.Before.Known {
					mass = append(mass, x.Before.V.Grams())
				}
				if thick := x.Thickness.Or(t.Food.Thickness.V); x.Thickness.Known || t.Food.Thickness.Known {
					thickness = append(thickness, thick.Millimetres())
				}
			}
		}
		a.Mass, a.Thickness = mean(mass), mean(thickness)
		p.Arms = append(p.Arms, a)
		if a.Verdict.Verdict == safety.DoNotEat {
			refused = append(refused, point)
			if len(why) == 0 && len(a.Verdict.Why) > 0 {
				why = a.Verdict.Why[0].Text.Sentence()
			}
		}
	}
	if len(refused) == 0 {
		return nil
	}
	if !tasted {
		p.NotTasted = true
		return nil
	}
	safe := slices.DeleteFunc(slices.Clone(l.s.points), func(x quantity.Temperature) bool { return slices.Contains(refused, x) })
	return unsafe(l.s.d.At, refused, safe, why)
}

// unsafe refuses the set points that must not be eaten, with the reason, and
// says what may be compared without them.
func unsafe(at diag.Pos, points, safe []quantity.Temperature, why prose.Sentence) *Refusal {
	text := prose.Say(listed("what is cooked at ", points), " must not be eaten nor tasted")
	hint := say("what must not be eaten is only ever weighed and sheared: then list no assessors and no scores")
	if len(safe) > 1 {
		hint = prose.Say(listed("compare what may be eaten, ", safe), "; ", hint)
	}
	return refuse(ErrUnsafe, at, because(text, why), hint)
}

// UnsafeText says as a sentence that what is cooked at these set points must not
// be eaten.
func UnsafeText(points []quantity.Temperature, why prose.Sentence) prose.Sentence {
	return prose.Say(because(listed("Do not eat and do not taste what is cooked at ", points), why), ".")
}

func listed(lead string, points []quantity.Temperature) prose.Sentence {
	text := say(lead)
	for i, r := range points {
		if i > 0 {
			text = append(text, say(map[bool]string{true: " and ", false: ", "}[i == len(points)-1])...)
		}
		text = append(text, say(r)...)
	}
	return text
}

func because(text, why prose.Sentence) prose.Sentence {
	if len(why) == 0 {
		return text
	}
	return prose.Say(text, ": ", why)
}

// Unsafe are the set points of a trial, or of its design, that must not be eaten
// nor tasted, each once, and why the first of them must not.
func Unsafe(t *trial.Trial) (points []quantity.Temperature, why prose.Sentence) {
	t = AsCooked(t)
	for i, v := range safety.OfTrial(t, heat.OfTrial(t)).Cooks {
		p := t.Cooks[i].SetPoint
		if v.Verdict != safety.DoNotEat || !p.Known || slices.Contains(points, p.V) {
			continue
		}
		points = append(points, p.V)
		if len(why) == 0 && len(v.Why) > 0 {
			why = v.Why[0].Text.Sentence()
		}
	}
	return points, why
}

func mean(x []float64) quantity.Number {
	if len(x) == 0 {
		return quantity.Absent("it is not stated")
	}
	var sum float64
	for _, v := range x {
		sum += v
	}
	return quantity.Num(sum / float64(len(x)))
}

// spare lists the pieces that nobody needs.
func (p *Plan) spare(l *layout) {
	used := make([]bool, len(l.s.stock))
	for _, i := range l.holds {
		used[i] = true
	}
	for i, x := range l.s.stock {
		if !used[i] {
			name := x.source
			if x.part != "" {
				name += ", " + x.part
			}
			p.Spare = append(p.Spare, name)
		}
	}
}

// confounded says what the layout cannot take apart.
func (p *Plan) confounded(l *layout) {
	add := func(slug string, text prose.Sentence) { p.Confounded = append(p.Confounded, Remark{slug, text}) }
	s := l.s
	if s.each == 1 {
		add("cooked-once", say("Everything is cooked once: whatever else was special about that run", p.rodeAlong(), " looks like the set point. Pieces and tasters do not change this."))
	} else if s.each < defaultEach {
		add("cooked-twice", say("Everything is cooked twice: the second run shows whether the first was an accident, and gives a rough idea of the spread between runs, no more."))
	}
	if len(s.sessions) == 1 {
		add("one-session", say("Everything happens in one session: what that day did is in all results alike, and another day may differ."))
	}
	words := map[string]string{"session": "session", "bath": "bath", "source": "source", "part": "part"}
	for _, m := range p.Meetings {
		what, ok := words[m.What]
		switch {
		case !ok && m.Lost > 0, !ok && m.Low == 0:
			add("not-crossed", say("Not every set point gets every "+m.What+": that the two simply add up has to be believed."))
		case !ok || s.each == 1 && (m.What == "session" || m.What == "bath"): // said above
		case m.Lost == len(s.points)-1 && m.Levels > 1:
			add(m.What+"-tied", say("The "+what+" and the set point go together: what one did cannot be told from what the other did."))
		case m.Lost > 0:
			add(m.What+"-partly-tied", say("Some set points never share a "+what+", so that their difference cannot be told from that of the "+what+"s."))
		case m.Levels == 1 && m.What == "source":
			add("one-source", say("All pieces come from one source: the result holds for that one."))
		case m.V > 0.3:
			add(m.What+"-uneven", say("Set points meet the "+what+"s unevenly (", m.Low, " to ", m.High, " times each); the analysis has to take the "+what+" in."))
		}
	}
	if p.OrderWithin > 0.5 {
		add("order-follows", say("The run order still goes along with the set point: a correlation of ", prose.Quantity{Kind: prose.Amount, Value: math.Max(math.Abs(p.R), math.Abs(p.Rho)), Digits: 2},
			". With so few runs in a session no order that was drawn does better than ", prose.Quantity{Kind: prose.Amount, Value: p.OrderWithin, Digits: 1}, "."))
	}
	p.unbalanced(add)
	if len(s.stock) == 0 {
		add("no-sources", say("The design names no sources: which piece comes from which animal or lot is left to chance and to the notes."))
	} else {
		p.sizesKnown(l, add)
	}
	if slices.ContainsFunc(s.d.Brine, func(b trial.Brine) bool { return b.Kind == trial.WetBrine }) {
		add("tubs", say("A wet brine is one tub of it: mix three small ones and split every source over them, or what that tub did is what the brine did."))
	}
	if (p.Serving != nil || p.Triangles != nil) && !p.Trial.Panel.V.Bite.Known {
		add("bite-unknown", say("Whether the pieces feed the panel is not known: the mass of a bite is not stated (panel.bite)."))
	}
	p.servingRemarks()
	l.triangleRemarks(p.Triangles, add)
}

// unbalanced says which sizes are not balanced.
func (p *Plan) unbalanced(add func(string, prose.Sentence)) {
	for _, b := range p.Balance {
		what := "set points"
		if b.Factor != "set_point" {
			what = "treatments within a cook"
		}
		d, ok := b.D.Get()
		switch {
		case !ok || d <= Balanced:
		case b.Size == inOrder:
			add("early-and-late", say("Set points are not early and late alike: their mean places in the run order lie ", prose.Quantity{Kind: prose.Amount, Value: d, Digits: 2},
				" standard deviations apart. What the hour does is then a part of the difference."))
		default:
			add("size-uneven", say("The "+b.Size+" differs between "+what+" by ", prose.Quantity{Kind: prose.Amount, Value: d, Digits: 2},
				" standard deviations, more than ", prose.Quantity{Kind: prose.Amount, Value: Balanced, Digits: 2}, "; with these pieces and what is fixed no better deal was found."))
		}
	}
}

// rodeAlong names the baths and sessions that set points which are cooked once do not
// share.
func (p *Plan) rodeAlong() string {
	var with []string
	for _, m := range p.Meetings {
		if (m.What == "bath" || m.What == "session") && m.Lost > 0 {
			with = append(with, "its "+m.What)
		}
	}
	if len(with) == 0 {
		return ""
	}
	return ", such as " + strings.Join(with, " and ") + ","
}

// sizesKnown says which sizes are not known.
func (p *Plan) sizesKnown(l *layout, add func(string, prose.Sentence)) {
	mass, thickness := true, true
	for _, i := range l.holds {
		mass, thickness = mass && l.s.stock[i].before.Known, thickness && l.s.stock[i].thickness.Known
	}
	if !mass || !thickness {
		add("sizes-unknown", say("Sizes are balanced only as far as they are stated: weigh and measure the pieces and write them in the design, as {part: head, thickness: 18 mm, before: 102 g}."))
	}
}
