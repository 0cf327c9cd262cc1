package fairness

import (
	"tamis/internal/heat"
	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/stats/alias"
	"tamis/internal/trial"
)

var sizeDiffers = Check{
	Slug:   "size-differs",
	Family: Material,
	Stage:  Plan,
	Short:  "the size of the pieces",
	Asks:   "Were the pieces of one set point thicker or heavier than those of another?",
	Needs:  []string{"pieces.thickness", "pieces.before"},
	Finds: "The mean thickness of the pieces at each set point: it weakens when the range of the means, relative to their mean, is above {thick-rel}. " +
		"Above {thick-floor} with a standardised difference above {balance-d} it is a note, and weakens where pieces dealt out by lot would hardly " +
		"ever differ so much (p < 0.005 by the studentised range): a few pieces cut to one gauge differ by that much by chance. The same of the raw " +
		"mass ({mass-rel}, {mass-floor}) is a note, and so is a scatter of thickness within a set point (CV) above {thick-cv}.",
	Clears:   "Thickness is known for at least four in five pieces of each set point, and nothing of this holds.",
	Unjudged: "Thickness is missing for more than one in five of the pieces of a set point, or no pieces are listed.",
	Why: "The time to the core grows nearly with the square of the thickness. A thick piece is cooked less in the same time, and served warmer " +
		"inside.",
	Wording: "The {more} pieces were {rel} thicker than the {less} ones. That alone changes the time to the core by about {time}.",
	Others: map[string]string{
		"mass":   "The {more} pieces were {rel} heavier than the {less} ones. Heavier pieces may be cooked less, and lose less of their weight.",
		"spread": "Thin and thick pieces were mixed at one {factor}: their thickness scatters by {cv} around its mean. They were not cooked alike.",
	},
	Hedge:      "thicker or heavier pieces may explain part of it",
	Next:       "Cut all pieces to one thickness, and share out the thick and the thin ones evenly over the {factor}s.",
	Fix:        "balance-pieces",
	Source:     "Heat conduction; imbalance as in the design of comparisons (standardised difference). Limits are house rules.",
	Options:    []string{"balance-d", "thick-rel", "thick-floor", "thick-cv", "mass-rel", "mass-floor"},
	FiresOn:    "cooks: [{id: A, set_point: 62 °C, pieces: [{thickness: 30 mm}, {thickness: 31 mm}]}, {id: B, set_point: 68 °C, pieces: [{thickness: 25 mm}, {thickness: 26 mm}]}]",
	ClearOn:    "cooks: [{id: A, set_point: 62 °C, pieces: [{thickness: 28 mm}, {thickness: 29 mm}]}, {id: B, set_point: 68 °C, pieces: [{thickness: 29 mm}, {thickness: 28 mm}]}]",
	EachFactor: true,
	Judge:      judgeSize,
	Example:    exampleSize,
}

// unknownSizes is the share of the pieces of a level whose size may be unknown.
const unknownSizes = 0.2

func judgeSize(c *Case) Judgement {
	if !c.Compares() {
		return notApplicable("nothing is compared")
	}
	if len(c.facts.pieces) == 0 {
		return cannot("pieces")
	}
	thick := c.sizes("pieces.thickness", func(p *trial.Piece) (float64, bool) { return p.Thickness.V.Millimetres(), p.Thickness.Known })
	mass := c.sizes("pieces.before", func(p *trial.Piece) (float64, bool) { return p.Before.V.Grams(), p.Before.Known })
	if j, ok := c.uneven(thick, "thick-rel", "thick-floor", Weakens, ""); ok {
		low, high := thick.spread.Means[thick.spread.Low], thick.spread.Means[thick.spread.High]
		j.Fill["time"] = percent(c.extraTime(thick.spread.High, low, high))
		j.Cost = c.costOf(thick.marks, gap{size: high - low, low: thick.spread.Low, high: thick.spread.High}, prose.Say("the thickness"))
		return j
	}
	if j, ok := c.uneven(mass, "mass-rel", "mass-floor", Note, "mass"); ok {
		return j
	}
	if limit := c.set.number("thick-cv"); thick.spread != nil && thick.spread.CV > limit {
		return Judgement{
			Outcome: Fires, Severity: Note, Variant: "spread", Statistic: "largest CV of thickness within a level", Value: quantity.Num(thick.spread.CV),
			Threshold: quantity.Num(limit), Option: "thick-cv", Where: c.whereSize(thick, allLevels(c)...),
			Fill: Fill{"cv": percent(thick.spread.CV), "factor": c.factorWords()},
		}
	}
	if thick.spread == nil {
		return cannot("pieces.thickness", thick.lacks...)
	}
	if mass.spread == nil {
		return clearBut("The mass of the pieces is not known and was not judged.")
	}
	return clear()
}

// sizes is one size of the pieces at the compared levels.
type sizes struct {
	field  string
	marks  []mark
	lacks  []string      // pieces for which it is not known
	spread *alias.Spread // nil where too many are not known at some level
}

func (c *Case) sizes(field string, of func(p *trial.Piece) (float64, bool)) sizes {
	s := sizes{field: field}
	groups, all := make([][]float64, c.Levels()), make([]int, c.Levels())
	for _, r := range c.facts.pieces {
		level := c.level(r.Cook, r.Piece)
		if level < 0 {
			continue
		}
		all[level]++
		v, ok := of(r.P)
		if !ok {
			s.lacks = append(s.lacks, r.P.ID)
			continue
		}
		groups[level] = append(groups[level], v)
		s.marks = append(s.marks, mark{r.Cook, r.Piece, level, v})
	}
	for l, g := range groups {
		if all[l] == 0 || float64(all[l]-len(g)) > unknownSizes*float64(all[l]) {
			return s
		}
	}
	if spread, err := alias.Imbalance(groups); err == nil {
		s.spread = spread
	}
	return s
}

// uneven judges the level means of a size.
func (c *Case) uneven(s sizes, relName, floorName string, severity Severity, variant string) (Judgement, bool) {
	if s.spread == nil || !s.spread.HasRel {
		return Judgement{}, false
	}
	rel, floor, d := c.set.number(relName), c.set.number(floorName), c.set.number("balance-d")
	limit, option := rel, relName
	p, tested := s.byChance()
	switch {
	case s.spread.Rel > rel:
	case s.spread.HasD && s.spread.D > d && s.spread.Rel > floor:
		limit, option = floor, floorName
		if p >= weakensBelow {
			severity = Note
		}
	default:
		return Judgement{}, false
	}
	j := Judgement{
		Outcome: Fires, Severity: severity, Variant: variant, Statistic: "range of the level means over their mean", Value: quantity.Num(s.spread.Rel),
		Threshold: quantity.Num(limit), Option: option, Where: c.whereSize(s, s.spread.Low, s.spread.High),
		Fill: Fill{"more": c.levelWords(s.spread.High), "less": c.levelWords(s.spread.Low), "factor": c.factorWords(),
			// Of the smaller mean, as one says that a piece is thicker than another.
			"rel": percent(s.spread.Range / s.spread.Means[s.spread.Low])},
		Details: []Detail{{Name: "largest CV within a level", Value: quantity.Num(s.spread.CV)}},
	}
	if s.spread.HasD {
		j.Details = append(j.Details, Detail{Name: "standardised difference", Value: quantity.Num(s.spread.D)})
	}
	if tested {
		j.Details = append(j.Details, Detail{Name: "p of the range of the means", Value: quantity.Num(p)})
	}
	return j, true
}

// byChance is how likely the level means of the pieces lie as far apart by chance
// alone.
func (s sizes) byChance() (p float64, ok bool) {
	n := make([]int, len(s.spread.Means))
	for _, m := range s.marks {
		n[m.level]++
	}
	return rangeByChance(s.spread, n)
}

func (c *Case) whereSize(s sizes, levels ...int) Where {
	w := c.whereLevels(levels...)
	for _, m := range s.marks {
		for _, l := range levels {
			if m.level == l {
				w.Pieces = append(w.Pieces, c.Trial.Cooks[m.cook].Pieces[m.piece].ID)
			}
		}
	}
	w.Fields = []string{s.field}
	return w
}

// extraTime is how much longer the core of a piece of high mm takes than one of
// low mm at a level, as a share: by the heat model where it can say, else by the
// square of the thickness, which is the limit of a surface that resists nothing.
func (c *Case) extraTime(level int, low, high float64) float64 {
	h := c.heat()
	for ci := range h.Cooks {
		x := h.Cooks[ci].Likely()
		if c.Factor.Cook[ci] != level || x.Thickness <= 0 || x.Shape == trial.Block {
			continue
		}
		x.Thickness = low
		short := heat.ComeUpOf(x)
		x.Thickness = high
		if long := heat.ComeUpOf(x); short.Known && long.Known && short.Mid > 0 {
			return long.Mid/short.Mid - 1
		}
	}
	return high*high/(low*low) - 1
}
