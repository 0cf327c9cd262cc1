package fairness

import (
	"slices"

	"tamis/internal/food"
	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

var coldHistoryDiffers = Check{
	Slug:   "cold-history-differs",
	Family: Material,
	Stage:  Plan,
	Short:  "cold history",
	Asks:   "Was some of it frozen, older, or colder at the start?",
	Needs:  []string{"food.frozen", "sources.frozen", "sources.caught", "sources.thawed", "food.start", "pieces.start"},
	Finds: "Pieces are sorted by frozen or not: it blocks where a comparison is lost to that by rank, and weakens where the corrected Cramér's V is above " +
		"{tie-v}. It weakens too where set points differ in the mean temperature to which they were thawed by more than {thaw-gap}, in age on the " +
		"day of the cook by more than {age-gap}, or in start temperature by more than {start-gap}.",
	Clears:   "It is known of everything whether it was frozen, and all that is known is alike.",
	Unjudged: "It is not written down whether the food, or some of it, was frozen; of vegetables, fruit, pulses and eggs in their shells, how cold they went in.",
	Why: "Freezing loosens flesh, and thawing loosens it further: beef thawed to 12 °C instead of −2 °C had a shear force of 6.0 against 7.3 kg " +
		"(published, from abstracts). Age does the same more slowly.",
	Wording: "Some of the {food} had been frozen, and it went to {levels} unevenly. That changes texture before any heat does.",
	Others: map[string]string{
		"thaw":  "The {more} pieces were thawed to {gap} warmer than the {less} ones. That changes texture before any heat does.",
		"age":   "The {more} pieces were {gap} older than the {less} ones when they were cooked. That changes texture before any heat does.",
		"start": "The {more} pieces went in {gap} warmer than the {less} ones, and were warm for longer.",
	},
	Hedge:      "the pieces did not have one past in the cold",
	Next:       "One delivery, one thaw, one age and one start temperature for every {factor}.",
	Fix:        "same-cold",
	Source:     "Thawing and shear force of beef: published abstracts, from memory. Limits are house rules.",
	Options:    []string{"tie-v", "thaw-gap", "age-gap", "start-gap"},
	FiresOn:    "sources: {f1: {lot: L1, frozen: {at: -20 °C, for: 7 d}}, f2: {lot: L2, frozen: no}}\ncooks: [{id: A, set_point: 46 °C, pieces: [{source: f1}]}, {id: B, set_point: 54 °C, pieces: [{source: f2}]}]",
	ClearOn:    "food: {name: trout, frozen: {at: -20 °C, for: 7 d}, start: 4 °C}",
	EachFactor: true,
	Judge:      judgeColdHistory,
	Example:    exampleColdHistory,
}

func judgeColdHistory(c *Case) Judgement {
	if !c.Compares() {
		return notApplicable("nothing is compared")
	}
	frozen := c.frozenRows()
	if len(frozen.level) == 0 {
		return notApplicable("no cook is at a compared " + c.factorWords())
	}
	var found []Judgement
	if len(frozen.lacks) == 0 {
		t := c.together(frozen)
		if j, ok := c.tied(frozen, t); ok {
			if j.Variant = ""; t.Lost > 0 {
				j.Severity = Blocks
			}
			j.Where.Fields = []string{"sources.frozen"}
			j.Fill["food"] = c.foodWords()
			found = append(found, j)
		}
	}
	found = append(found, c.coldGap("thaw", "sources.thawed", "thaw-gap", c.set.kelvin("thaw-gap"), kelvins, c.thawedTo)...)
	found = append(found, c.coldGap("age", "sources.caught", "age-gap", c.set.minutes("age-gap")/1440, days, c.age)...)
	found = append(found, c.coldGap("start", "pieces.start", "start-gap", c.set.kelvin("start-gap"), kelvins, c.startAt)...)
	if len(found) == 0 {
		if len(frozen.lacks) > 0 {
			switch {
			case len(frozen.names) > 0:
				return cannot("sources.frozen", frozen.lacks...)
			case !c.seldomFrozen():
				return cannot("food.frozen")
			}
			// Nobody writes of a carrot that it was never frozen. What is left is how
			// cold it went in.
			if marks, lacks := c.marks(c.startAt); len(marks) == 0 || len(lacks) > 0 {
				return cannot("food.start")
			}
			return clearBut("Nothing says that any of it was ever frozen.")
		}
		return clear()
	}
	// The worst first; the others are in its details and fields.
	j := found[0]
	for _, other := range found[1:] {
		j.Where.Fields = append(j.Where.Fields, other.Where.Fields...)
		j.Details = append(j.Details, Detail{Name: other.Statistic, Value: other.Value})
	}
	return j
}

// seldomFrozen reports whether the food is of a kind that goes into a trial fresh
// and of which nobody writes that down: plants, and eggs in their shells.
func (c *Case) seldomFrozen() bool {
	kind, ok := food.Lookup(c.Trial.Food.Kind.V)
	return ok && c.Trial.Food.Kind.Known && (kind.Rule == food.PlantRule || kind.Rule == food.PulseRule || kind.Rule == food.EggRule)
}

// frozenRows sorts pieces, and cooks without pieces, by whether they had been
// frozen: what the source says goes before what the food says.
func (c *Case) frozenRows() category {
	out := categoryFor(len(c.facts.pieces) + len(c.Trial.Cooks))
	for ci := range c.Trial.Cooks {
		k := &c.Trial.Cooks[ci]
		one := func(p *trial.Piece, pi int) {
			level := c.level(ci, pi)
			if level < 0 {
				return
			}
			is := c.Trial.Food.Frozen
			id := k.ID
			if s := c.sourceOf(p); s != nil {
				id = s.ID
				if s.Frozen.Known {
					is = s.Frozen
				}
			}
			name := "fresh"
			if is.V.Is {
				name = "frozen"
			}
			out.add(ci, level, name, is.Known)
			if !is.Known && !slices.Contains(out.lacks, id) {
				out.lacks = append(out.lacks, id)
			}
		}
		for pi := range k.Pieces {
			one(&k.Pieces[pi], pi)
		}
		if len(k.Pieces) == 0 {
			one(nil, -1)
		}
	}
	return out
}

// coldGap judges the range of the level means of one number. It judges only where
// the number is known of every piece: otherwise the means are of other pieces than
// the levels.
func (c *Case) coldGap(variant, field, option string, limit float64, words func(float64) prose.Quantity, of func(k *trial.Cook, p *trial.Piece, cook, piece int) (float64, bool)) []Judgement {
	marks, lacks := c.marks(of)
	if len(lacks) > 0 || len(marks) == 0 {
		return nil
	}
	g := c.gapOf(marks)
	if g.least == 0 || g.size <= limit {
		return nil
	}
	w := c.whereGap(g)
	w.Fields = []string{field}
	return []Judgement{{
		Outcome: Fires, Severity: Weakens, Variant: variant, Statistic: map[string]string{"thaw": "range of the mean thawing temperatures, K", "age": "range of the mean ages, days",
			"start": "range of the mean start temperatures, K"}[variant], Value: quantity.Num(g.size), Threshold: quantity.Num(limit), Option: option, Where: w,
		Fill: Fill{"more": c.levelWords(g.high), "less": c.levelWords(g.low), "gap": words(g.size), "factor": c.factorWords(), "food": c.foodWords()},
		Cost: c.costOf(marks, g, prose.Say(map[string]string{"thaw": "the thaw", "age": "the age", "start": "the start temperature"}[variant])),
	}}
}

func days(v float64) prose.Quantity { return prose.Quantity{Kind: prose.Duration, Value: 1440 * v} }

func (c *Case) thawedTo(_ *trial.Cook, p *trial.Piece, _, _ int) (float64, bool) {
	s := c.sourceOf(p)
	if s == nil {
		return 0, false
	}
	return s.Thawed.V.To.V.Celsius(), s.Thawed.Known && s.Thawed.V.To.Known
}

// age is the days from the catch to the cook.
func (c *Case) age(k *trial.Cook, p *trial.Piece, _, _ int) (float64, bool) {
	s, day := c.sourceOf(p), c.dayOf(k)
	if s == nil || !s.Caught.Known || day.IsZero() {
		return 0, false
	}
	return float64(day.Days() - s.Caught.V.Days()), true
}

func (c *Case) startAt(_ *trial.Cook, p *trial.Piece, _, _ int) (float64, bool) {
	if p != nil && p.Start.Known {
		return p.Start.V.Celsius(), true
	}
	return c.Trial.Food.Start.V.Celsius(), c.Trial.Food.Start.Known
}

// dayOf is the day of a cook: of its start, its session or the trial.
func (c *Case) dayOf(k *trial.Cook) trial.Date {
	day, _ := dayOf(c.Trial, k)
	return day
}
