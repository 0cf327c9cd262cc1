package fairness

import (
	"math"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/stats/dist"
	"tamis/internal/trial"
)

var placeChangesScores = Check{
	Slug:   "place-changes-scores",
	Short:  "place in the order",
	Family: Serving,
	Stage:  Plan,
	About:  AboutTasted,
	Asks:   "Did the first bite, or the late ones, score differently?",
	Needs:  []string{"scores.position", "panel.warm_up", "measures"},
	Finds: "With the means of sittings and samples taken out, three things are looked for in the measures that an aim names: a first bite that " +
		"differs from the rest by more than {first-sd} residual standard deviations with |t| of 1.5 or more; a slope over the places with " +
		"p < {place-p}; and a scatter of the last third of the places that is more than {tired} times that of the first. What is told is the least " +
		"likely by chance. It is a note, and weakens at p < 0.005, shared among the three, where the order was uneven as well. More than {max-samples} samples a sitting, or no warm-up, is a note.",
	Clears:   "None of these, with {min-first} scores or more at the first place.",
	Unjudged: "The position is missing, or the first place has fewer than {min-first} scores.",
	Why: "Nobody has a yardstick at the first bite, and everybody is tired at the ninth. What came first or last is scored for that as well " +
		"as for its cooking.",
	Wording: "First bites of {measure} scored {shift} {higher} than the same samples later. An even order softens this, but it costs precision.",
	Others: map[string]string{
		"slope":   "The later a sample came, the {higher} its {measure}: by {shift} from the first place to the last, whatever it was.",
		"tired":   "Late scores of {measure} scatter {ratio} times as much as early ones. Tasters were tired.",
		"many":    "{n} samples a sitting are more than {most}. Late ones are judged by tired mouths.",
		"warm-up": "There was no warm-up sample, so the first scored bite had no yardstick.",
	},
	Hedge:   "the place in the tasting order changed the scores",
	Next:    "{warm}; at most {most} samples a sitting, with a break between them.",
	Avoid:   "Start with a warm-up piece that is not scored; at most {max-samples} samples a sitting, with a break between them.",
	Eats:    true,
	Fix:     "warm-up",
	Source:  "The number of samples is near published practice; the limits are house rules.",
	Options: []string{"first-sd", "min-first", "place-p", "tired", "max-samples"},
	FiresOn: "panel: {warm_up: no}",
	ClearOn: "panel: {warm_up: yes}",
	Judge:   judgePlace,
	Example: examplePlace,
}

func judgePlace(c *Case) Judgement {
	p, ok := c.panel()
	if !ok || len(c.tastedMeasures()) == 0 {
		return notApplicable("nobody tastes")
	}
	most := c.set.count("max-samples")
	warm := "Start with a warm-up piece that is not scored"
	if p.WarmUp.V {
		warm = "Let the warm-up show both ends of the scale, and serve each sample as often first and last as the others"
	}
	all, lacks := c.sittings()
	fewest := math.MaxInt
	if c.Stage == Scored {
		for _, m := range c.decidingMeasures() {
			if m.Kind == trial.Rank || m.Kind == trial.YesNo {
				continue
			}
			pl := c.placedScores(m)
			fewest = min(fewest, pl.first)
			if pl.first < c.set.count("min-first") {
				continue
			}
			if j, ok := c.placeEffect(m, pl); ok {
				if j.Outcome == Fires {
					j.Fill["most"], j.Fill["warm"] = count(most), warm
				}
				return j
			}
		}
	}
	note := func(variant, statistic, option string, value, limit float64) Judgement {
		return Judgement{Outcome: Fires, Severity: Note, Variant: variant, Statistic: statistic, Value: quantity.Num(value), Threshold: quantity.Num(limit),
			Option: option, Where: Where{At: p.At}, Fill: Fill{"n": count(int(value)), "most": count(most), "warm": warm}}
	}
	if n := largestSitting(all); n > most {
		return note("many", "samples in the longest sitting", "max-samples", float64(n), float64(most))
	}
	if p.WarmUp.Known && !p.WarmUp.V {
		j := note("warm-up", "", "", 0, 0)
		j.Value, j.Threshold = quantity.Absent("no number"), quantity.Absent("no number")
		j.Where.At, j.Where.Fields = p.WarmUp.At, []string{"panel.warm_up"}
		return j
	}
	switch need := c.set.count("min-first"); {
	case len(lacks) > 0:
		return cannot("scores.position", c.persons(lacks)...)
	case c.Stage == Scored && len(all) == 0:
		return cannot("scores.position")
	case c.Stage < Scored && !p.WarmUp.Known:
		return cannot("panel.warm_up")
	case c.Stage < Scored:
		return clear()
	case fewest < need:
		return tooFew("scores at the first place", fewest, need)
	}
	return clear()
}

// placeEffects is how many effects of the place are looked for; they share what
// one test may be wrong about.
const placeEffects = 3

// placeEffect looks for the three effects in one measure.
func (c *Case) placeEffect(m trial.Measure, pl placed) (Judgement, bool) {
	first, along := make([]float64, len(pl.y)), make([]float64, len(pl.y))
	last := 1
	for i, at := range pl.place {
		if at == 1 {
			first[i] = 1
		}
		along[i] = float64(at)
		last = max(last, at)
	}
	all, _ := c.sittings()
	size, _, _ := c.placesOf(all).spread()
	// What is least likely by chance is told; a hint of one must not hide another.
	var found Judgement
	least := math.Inf(1)
	fire := func(variant, statistic, option string, value, limit, p float64, f Fill) {
		if p >= least {
			return
		}
		least, f["measure"] = p, m.Name
		j := Judgement{Outcome: Fires, Severity: Note, Variant: variant, Statistic: statistic, Value: quantity.Num(value), Threshold: quantity.Num(limit),
			Option: option, Where: Where{Measures: []string{m.Name}, At: m.At}, Fill: f, Details: []Detail{{Name: "p", Value: quantity.Num(p)}}}
		if p < weakensBelow/placeEffects && size >= 1-1e-9 {
			j.Severity = Weakens
		}
		found = j
	}
	higher := func(up bool) string {
		if up {
			return "higher"
		}
		return "lower"
	}
	points := func(v float64) prose.Sentence {
		word := ""
		if !m.Unit.Known {
			word = " points"
		}
		return prose.Say(amount(math.Abs(v), m.Unit.V, 1), word)
	}
	if e, _ := pl.effectOf(first); !e.ok {
		return tooFew("scores in which the place and the piece do not go together", 0, 1), true
	} else if math.Abs(e.b)/e.sd > c.set.number("first-sd") && math.Abs(e.t) >= 1.5 {
		p, err := dist.TTwoSided(e.t, float64(e.df))
		if err == nil {
			fire("", "first bite against the rest, in residual SD", "first-sd", e.b/e.sd, c.set.number("first-sd"), p,
				Fill{"shift": points(e.b), "higher": higher(e.b > 0)})
		}
	}
	e, rest := pl.effectOf(along)
	if e.ok {
		if p, err := dist.TTwoSided(e.t, float64(e.df)); err == nil && p < c.set.number("place-p") {
			fire("slope", "p of the slope over the places", "place-p", p, c.set.number("place-p"), p,
				Fill{"shift": points(e.b * float64(last-1)), "higher": higher(e.b > 0)})
		}
	}
	if ratio, p, ok := tiredness(rest, pl.place, last, pl.freedom()); ok && ratio > c.set.number("tired") {
		fire("tired", "scatter of the last third over the first", "tired", ratio, c.set.number("tired"), p, Fill{"ratio": amount(ratio, "", 1)})
	}
	return found, least < math.Inf(1)
}

// tiredness is the scatter of the residuals in the last third of the places over
// that in the first third, with the p of the ratio of variances. The degrees of
// freedom are shared out by the number of rows.
func tiredness(residual []float64, place []int, last, free int) (ratio, p float64, ok bool) {
	if last < 3 {
		return 0, 0, false
	}
	var early, late, ne, nl float64
	for i, at := range place {
		switch {
		case 3*at <= last:
			early, ne = early+residual[i]*residual[i], ne+1
		case 3*at > 2*last:
			late, nl = late+residual[i]*residual[i], nl+1
		}
	}
	share := float64(free) / float64(len(place))
	if ne*share < 2 || nl*share < 2 || early <= 0 {
		return 0, 0, false
	}
	f := late / nl / (early / ne)
	p, err := dist.FUpper(f, nl*share, ne*share)
	return math.Sqrt(f), p, err == nil
}
