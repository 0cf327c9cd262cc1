package answer

import (
	"math"
	"strings"

	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/trial"
)

// HeatTable is every thickness with every set point.
type HeatTable struct {
	Thicknesses []float64  `json:"thicknesses"` // mm
	SetPoints   []float64  `json:"set_points"`  // °C
	Cells       []HeatCell `json:"cells"`       // by thickness, then by set point
	// Notes give the reasons of the verdicts in the cells, each once.
	Notes []Sentence `json:"notes"`

	cautions []Sentence
}

// HeatCell is one cell: the shortest time in the bath that does what can be done
// there, and its verdict. Where nothing may be eaten, Minutes is when the core is
// there, for what is only weighed and looked at.
type HeatCell struct {
	Thickness float64         `json:"thickness"`
	SetPoint  float64         `json:"set_point"`
	Minutes   quantity.Number `json:"minutes"`
	ComeUp    HeatRange       `json:"come_up"`
	Verdict   string          `json:"verdict"`
	Why       string          `json:"why"`  // slug of what decided
	Word      string          `json:"word"` // the verdict in a word or three
	// Vulnerable says that by calculation it may go to vulnerable people too.
	Vulnerable bool       `json:"vulnerable"`
	Lead       []Sentence `json:"lead"`

	note, parasites Sentence // what is said under the table for all cells of this verdict
}

// Words of a cell.
const (
	WordPasteurised = "pasteurised"
	WordServe       = "serve at once"
	WordTooThick    = "too thick: cut"
	WordDoNotEat    = "do not eat"
	WordNone        = "no verdict"
	WordCannot      = "not computed"
	WordReady       = ""
)

// table computes a table. Every cell is a trial of its own that goes the way of
// every other, so a cell says what a single question says.
func (h *heater) table(t *trial.Trial, g HeatGrid) *HeatTable {
	out := &HeatTable{Thicknesses: []float64{}, SetPoints: []float64{}, Cells: []HeatCell{}}
	for _, s := range g.SetPoints {
		out.SetPoints = append(out.SetPoints, s.Celsius())
	}
	for _, l := range g.Thicknesses {
		out.Thicknesses = append(out.Thicknesses, l.Millimetres())
		for _, s := range g.SetPoints {
			cell, rest := h.cell(t, l, s)
			out.Cells = append(out.Cells, cell)
			out.cautions = append(out.cautions, rest...)
		}
	}
	var notes, parasites []Sentence
	for _, c := range out.Cells {
		if len(c.note) > 0 {
			notes = append(notes, c.note)
		}
		if len(c.parasites) > 0 {
			parasites = append(parasites, c.parasites)
		}
	}
	out.Notes = distinctSentences(append(notes, parasites...))
	out.cautions = distinctSentences(out.cautions)
	return out
}

// cell is the answer to one thickness and one set point.
func (h *heater) cell(t *trial.Trial, l quantity.Length, s quantity.Temperature) (HeatCell, []Sentence) {
	alone := cellTrial(t, l, s)
	out := HeatCell{Thickness: l.Millimetres(), SetPoint: s.Celsius(), Minutes: quantity.Absent("not computed"), Lead: []Sentence{}}
	ht := h.solver.OfTrial(alone)
	comeUp := arrival(alone, 0, &ht.Cooks[0])
	out.ComeUp = rangeOfHeat(comeUp)
	from, _ := h.pasteurisedFrom(alone, 0)
	switch {
	case from.Known():
		alone.Cooks[0].Time = trial.Some(quantity.FromMinutes(from.Or(0)))
	case comeUp.Known:
		alone.Cooks[0].Time = trial.Some(surely(&ht.Cooks[0], comeUp))
	}
	if d := alone.Cooks[0].Time; d.Known {
		out.Minutes = quantity.Num(d.V.Minutes())
	}
	_, r := h.judge(alone)
	v := r.Cooks[0]
	lead, rest := safety.Cautions(alone, v)
	out.Lead, out.Verdict, out.Vulnerable = spoken(lead), v.Verdict.String(), v.Vulnerable
	out.Why = decided(v).Slug
	out.Word = cellWord(v, comeUp.Known)
	if out.Vulnerable && v.Verdict == safety.Pasteurised {
		out.Word += Starred
	}
	if out.Word != WordReady {
		out.note, out.parasites = cellNotes(out.Word, lead)
	}
	return out, spoken(rest)
}

// Starred marks a cell that may go to vulnerable people too.
const Starred = " *"

// cellNotes are what the cautions say of a verdict and of parasites, but for the
// discard time, which every cell has of its own.
func cellNotes(word string, lead []safety.Caution) (verdict, parasites Sentence) {
	if strings.HasSuffix(word, Starred) {
		verdict = Say("* ")
	}
	for i, c := range lead {
		switch s := c.Text.Sentence(); {
		case c.Slug == "discard":
		case c.Slug == "parasites":
			parasites = s
		case i == 0:
			verdict = Say(verdict, s)
		default:
			verdict = Say(verdict, " ", s)
		}
	}
	return verdict, parasites
}

// surely is when a core is there even if everything is slow, up to the next 5 min. A
// bath in which germs grow is given the time of one that is just too hot for them:
// it is the colder one that has to be left sooner, and no verdict shall gain by it.
func surely(c *heat.Cook, there heat.Range) quantity.Duration {
	high := there.High
	if x := c.Likely(); x.Bath < safety.CreditFrom() && c.Around() == heat.Steady && c.ComeUp().Known {
		x.Bath = safety.CreditFrom()
		if r := heat.ComeUpOf(x); r.Known {
			high = max(high, r.High)
		}
	}
	return upToFive(high)
}

// upToFive is a time in the bath as it is told: up to the next 5 min.
func upToFive(minutes float64) quantity.Duration {
	return quantity.MinimumTimeUp(quantity.FromMinutes(max(minutes, 1)))
}

// cellTrial is a trial of one cook of one piece, with the food of t, and bath, bag
// and brine of one of its cooks: of that whose bath may be the furthest below its
// reading.
func cellTrial(t *trial.Trial, l quantity.Length, s quantity.Temperature) *trial.Trial {
	c := trial.Cook{SetPoint: trial.Some(s)}
	like, worst := -1, math.Inf(-1)
	for i := range t.Cooks {
		if k := heat.Planned(t, i, s.Celsius()); k.Cannot == nil && s.Celsius()-k.Bath > worst {
			like, worst = i, s.Celsius()-k.Bath
		}
	}
	switch {
	case like >= 0:
		c.Bath, c.Bag = t.Cooks[like].Bath, t.Cooks[like].Bag
		c.Brine = t.Cooks[like].Brine
	case len(t.Cooks) == 0 && len(t.Baths) == 1:
		c.Bath = trial.Some(t.Baths[0].ID)
	}
	out := with(t, c)
	out.Food.Thickness, out.Food.Sides = trial.Some(l), nil
	out.Deviations = nil
	return out
}

func cellWord(v safety.CookVerdict, computed bool) string {
	if !computed {
		return WordCannot
	}
	return verdictWord(v, false)
}

// verdictWord is a verdict in a word or three. lingered is for food that was in the
// bath for longer than it takes to come up: a thinner piece would be no better.
func verdictWord(v safety.CookVerdict, lingered bool) string {
	switch v.Verdict {
	case safety.DoNotEat:
		if decided(v).Slug == "growth-clock" && !lingered {
			return WordTooThick
		}
		return WordDoNotEat
	case safety.NoVerdict:
		return WordNone
	case safety.NotPasteurised:
		return WordServe
	case safety.Pasteurised:
		return WordPasteurised
	}
	return WordReady
}

// decided is the reason that decided a verdict. That somebody's own values stand
// behind it is put before the reason, and is none itself.
func decided(v safety.CookVerdict) safety.Reason {
	for _, r := range v.Why {
		if r.Slug != "user-values" {
			return r
		}
	}
	return safety.Reason{}
}

func distinctSentences(in []Sentence) []Sentence {
	out := []Sentence{}
	seen := map[string]bool{}
	for _, s := range in {
		if k := s.Text(quantity.Metric); !seen[k] {
			seen[k] = true
			out = append(out, s)
		}
	}
	return out
}
