package fairness

import (
	"math"
	"slices"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

var brineDoseDiffers = Check{
	Slug:   "brine-dose-differs",
	Short:  "dose of the brine",
	Family: Brining,
	Stage:  Plan,
	About:  AboutBrine,
	Asks:   "Did all brined pieces take up about the same?",
	Needs:  []string{"pieces.before", "pieces.brined", "brine.for", "brine.salt"},
	Finds: "Uptake is the gain in the brine as a share of the raw mass. It fires where the uptakes of one brine have a coefficient of variation " +
		"above {uptake-cv} (a standard deviation above {uptake-sd} where the mean uptake is below 1 %), where the mean uptakes of two set points " +
		"differ by more than {uptake-gap}, or where soaking time or strength differ between set points by more than {soak-gap}.",
	Clears:   "All of these are within their limits, with the uptake of three pieces or more of each brine.",
	Unjudged: "The mass before or after the brine is missing.",
	Why: "A tub weakens with use, and a busy cook pulls late: the last pieces got another brine than the first. Where the dose follows the " +
		"set point, the salt is tasted as cooking.",
	Wording: "Brined pieces took up between {low} % and {high} % of their weight. Some were brined more than others.",
	Others: map[string]string{
		"arms": "The {more} pieces took up {gap} points more in the brine than the {less} ones. The salt moved along with the {factor}.",
		"time": "The {more} pieces soaked for {longer}, the {less} ones for {shorter}. The brine moved along with the {factor}.",
		"salt": "The {more} pieces had a brine of {stronger}, the {less} ones of {weaker}. The brine moved along with the {factor}.",
	},
	Hedge:   "some pieces took up more brine than others",
	Next:    "Weigh brine and flesh to a fixed ratio, cold and fresh each time, soak by the clock, and weigh each piece before and after.",
	Fix:     "same-brine",
	Source:  "House rules.",
	Options: []string{"uptake-cv", "uptake-sd", "uptake-gap", "soak-gap"},
	FiresOn: "cooks: [{id: A, set_point: 58 °C, brine: {salt: 6 %, for: 30 min}, pieces: [{before: 120 g, brined: 122 g}, {before: 118 g, brined: 123 g}, {before: 121 g, brined: 122 g}]}]",
	ClearOn: "cooks: [{id: A, set_point: 58 °C, brine: {salt: 6 %, for: 30 min}, pieces: [{before: 120 g, brined: 123 g}, {before: 118 g, brined: 121 g}, {before: 121 g, brined: 124 g}]}]",
	Judge:   judgeBrineDose,
	Example: exampleBrineDose,
}

// leastUptakes is how many uptakes of a brine are needed to call it even.
const leastUptakes = 3

func judgeBrineDose(c *Case) Judgement {
	rows := c.brinedRows()
	var brined []brinedRow
	for _, r := range rows {
		if r.brine.Known && r.brine.V.Kind != trial.NoBrine {
			brined = append(brined, r)
		}
	}
	if len(brined) == 0 {
		return notApplicable("nothing was brined")
	}
	if j, ok := c.doseByLevel(brined); ok {
		return j
	}
	if j, ok := c.uptakeSpread(); ok {
		return j
	}
	var lacks []string
	for _, r := range brined {
		if _, ok := uptake(r.p); !ok {
			lacks = append(lacks, c.Trial.Cooks[r.cook].ID)
		}
	}
	for _, r := range c.allRecipes() {
		if r.brine.Kind == trial.NoBrine {
			continue
		}
		n := 0
		for _, row := range r.rows {
			if _, ok := uptake(row.p); ok {
				n++
			}
		}
		if n >= leastUptakes {
			continue
		}
		if len(r.rows) >= leastUptakes {
			return c.cannotTellUptake(r.rows)
		}
		return tooFew("brined pieces that were weighed before and after", n, leastUptakes)
	}
	if len(lacks) > 0 {
		return cannot("pieces.brined", slices.Compact(lacks)...)
	}
	return clear()
}

// cannotTellUptake names the mass that is missing.
func (c *Case) cannotTellUptake(rows []brinedRow) Judgement {
	var before, after []string
	for _, r := range rows {
		id := c.Trial.Cooks[r.cook].ID
		if r.p == nil || !r.p.Before.Known {
			before = append(before, id)
		}
		if r.p == nil || !r.p.Brined.Known {
			after = append(after, id)
		}
	}
	j := Judgement{Outcome: CannotJudge}
	if len(before) > 0 {
		j.Missing = append(j.Missing, Missing{"pieces.before", slices.Compact(before)})
	}
	if len(after) > 0 {
		j.Missing = append(j.Missing, Missing{"pieces.brined", slices.Compact(after)})
	}
	return j
}

// doseByLevel compares uptake, soaking time and strength between the levels of
// the compared factor, wet brines and dry ones apart.
func (c *Case) doseByLevel(rows []brinedRow) (Judgement, bool) {
	if !c.Compares() {
		return Judgement{}, false
	}
	for _, kind := range []trial.BrineKind{trial.WetBrine, trial.DryBrine} {
		read := func(of func(r brinedRow) (float64, bool)) (gap, []float64) {
			var marks []mark
			for _, r := range rows {
				if level := c.level(r.cook, r.piece); level >= 0 && r.brine.V.Kind == kind {
					if v, ok := of(r); ok {
						marks = append(marks, mark{r.cook, r.piece, level, v})
					}
				}
			}
			mean, _ := c.levelMeans(marks)
			return c.gapOf(marks), mean
		}
		found := func(g gap, variant, statistic, option string, value, limit float64, f Fill) Judgement {
			f["more"], f["less"], f["factor"] = c.levelWords(g.high), c.levelWords(g.low), c.factorWords()
			return Judgement{Outcome: Fires, Severity: Weakens, About: AboutSetPoint, Variant: variant, Statistic: statistic,
				Value: quantity.Num(value), Threshold: quantity.Num(limit), Option: option, Where: c.whereGap(g), Fill: f}
		}
		// The dose that was taken up says more than what was meant.
		if g, _ := read(func(r brinedRow) (float64, bool) { return uptake(r.p) }); g.size > c.set.number("uptake-gap") {
			return found(g, "arms", "range of the mean uptakes, points", "uptake-gap", g.size, c.set.number("uptake-gap"),
				Fill{"gap": amount(g.size, "", 1)}), true
		}
		soak := c.set.number("soak-gap")
		if g, m := read(func(r brinedRow) (float64, bool) { return r.brine.V.For.V.Minutes(), r.brine.V.For.Known }); g.low >= 0 && g.size > soak*m[g.high]+1e-9 {
			return found(g, "time", "range of the mean soaking times, as a share of the longest", "soak-gap", g.size/m[g.high], soak,
				Fill{"longer": minutes(m[g.high]), "shorter": minutes(m[g.low])}), true
		}
		if g, m := read(func(r brinedRow) (float64, bool) { return r.brine.V.Salt.V.Percent(), r.brine.V.Salt.Known }); g.low >= 0 && g.size > soak*m[g.high]+1e-9 {
			return found(g, "salt", "range of the mean strengths, as a share of the strongest", "soak-gap", g.size/m[g.high], soak,
				Fill{"stronger": saltWords(m[g.high]), "weaker": saltWords(m[g.low])}), true
		}
	}
	return Judgement{}, false
}

func saltWords(percent float64) any {
	return amount(percent, "%", decimals(percent))
}

// uptakeSpread looks at the uptakes within one brine.
func (c *Case) uptakeSpread() (Judgement, bool) {
	for _, r := range c.allRecipes() {
		if r.brine.Kind == trial.NoBrine {
			continue
		}
		var v []float64
		var known []brinedRow
		for _, row := range r.rows {
			if u, ok := uptake(row.p); ok {
				v, known = append(v, u), append(known, row)
			}
		}
		if len(v) < leastUptakes {
			continue
		}
		mean, ss := meanSS(v)
		sd := math.Sqrt(ss / float64(len(v)-1))
		value, limit, option, statistic := sd, c.set.number("uptake-sd"), "uptake-sd", "SD of the uptakes, points"
		if mean >= 1 {
			value, limit, option, statistic = sd/mean, c.set.number("uptake-cv"), "uptake-cv", "coefficient of variation of the uptakes"
		}
		if value <= limit {
			continue
		}
		cooks, pieces := c.idsOf(known)
		return Judgement{Outcome: Fires, Severity: Weakens, Statistic: statistic, Value: quantity.Num(value), Threshold: quantity.Num(limit),
			Option: option, Where: Where{Cooks: cooks, Pieces: pieces, At: known[0].p.At},
			Fill: Fill{"low": amount(slices.Min(v), "", 1), "high": amount(slices.Max(v), "", 1)}}, true
	}
	return Judgement{}, false
}
