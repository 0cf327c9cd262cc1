package fairness

import (
	"math"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/stats/dist"
	"tamis/internal/trial"
)

var scoresAtTheEnd = Check{
	Slug:      "scores-at-the-end",
	Short:     "scores at the end of the scale",
	Family:    Data,
	Stage:     Scored,
	About:     AboutTasted,
	Describes: true,
	Asks:      "Did the scores pile up at one end of the scale?",
	Needs:     []string{"measures.scale", "panel.scores"},
	Finds: "At each set point the share of scores in an end category is counted (the outer 5 % of a scale that is marked as a line). It " +
		"fires at {end-share} or more, and where a mean lies nearer to an end than one standard deviation, pooled within set points. " +
		"Measures that an aim names are judged, or all that were tasted. It is a note where the aim is a target or a limit that lies away from that end.",
	Clears:   "Neither, with eight scores or more at each set point.",
	Unjudged: "There are fewer than eight scores at a set point, or the measure has no scale.",
	Why: "Beyond the end of the scale a difference cannot be written down. Means are squeezed together there, and so is the scatter by " +
		"which they are judged.",
	Wording: "{share} of the {measure} scores at {level} sit at the {end} of the scale. Larger differences had nowhere to go.",
	Others: map[string]string{
		"near": "The {measure} scores at {level} lie within their own scatter of the {end} of the scale. Larger differences had nowhere to go.",
	},
	Hedge:   "many scores sit at the end of the scale",
	Next:    "Use a wider scale or a line, with its ends fixed by a taste-through, or rank the samples.",
	Eats:    true,
	Fix:     "wider-scale",
	Source:  "House rules.",
	Options: []string{"end-share"},
	FiresOn: "measures: {firmness: {scale: 0 to 5}}\n# firmness at 46 °C: 0, 0, 0, 1, 0, 1, 0, 2",
	ClearOn: "measures: {firmness: {scale: 0 to 10}}\n# firmness at 46 °C: 3, 4, 4, 5, 3, 4, 5, 4; at 54 °C: 5, 6, 6, 7, 5, 6, 7, 6",
	Judge:   judgeScoresAtTheEnd,
	Example: func() prose.Sentence {
		a, b := cutOff(9, 1, 10), cutOff(11, 1, 10)
		return prose.Say("Two set points would score 9.0 and 11.0 with a scatter of 1.0, if the scale went on. On a scale that ends at 10 their means are ", amount(a, "", 1),
			" and ", amount(b, "", 1), ": of 2.0 points ", amount(b-a, "", 1), " are left.")
	},
}

// cutOff is the mean of a normal score that is written down as the end of the
// scale where it lies beyond: E min(X, end) = mean·Φ(z) + end·(1−Φ(z)) − sd·φ(z),
// z = (end − mean)/sd.
func cutOff(mean, sd, end float64) float64 {
	z := (end - mean) / sd
	return mean*dist.NormalCDF(z) + end*dist.NormalUpper(z) - sd*dist.NormalPDF(z)
}

const (
	leastScores = 8    // at a set point, to say that nothing piles up
	outerShare  = 0.05 // of a line scale that counts as its end
)

func judgeScoresAtTheEnd(c *Case) Judgement {
	deciding := c.decidingMeasures()
	if len(deciding) == 0 || !c.Compares() {
		return notApplicable("nothing that is compared was tasted")
	}
	few, scales := leastScores, 0
	var best *Judgement
	for _, m := range deciding {
		if m.Kind != trial.ScaleScore || !(m.Scale.Width() > 0) {
			continue
		}
		scales++
		scores := c.scoresByLevel(m)
		if j, ok := c.atTheEnd(m, scores); ok {
			if best == nil {
				best = &j
			} else {
				best.Where.Measures = append(best.Where.Measures, m.Name)
			}
		}
		for _, v := range scores {
			few = min(few, len(v))
		}
	}
	switch {
	case best != nil:
		return *best
	case scales == 0:
		return notApplicable("no deciding measure is scored on a scale")
	case few < leastScores:
		return tooFew("scores at a set point", few, leastScores)
	}
	return clear()
}

// scoresByLevel are the scores of a measure at each level, without those left out.
func (c *Case) scoresByLevel(m trial.Measure) [][]float64 {
	out := make([][]float64, c.Levels())
	for _, r := range c.facts.scores {
		v, ok := r.S.Values.Get(m.Name)
		if level := c.level(r.Cook, r.Piece); ok && !v.Missing && !leftOut(r.S) && level >= 0 {
			out[level] = append(out[level], v.V)
		}
	}
	return out
}

func leftOut(s *trial.Score) bool { return s.LeftOut.Known && s.LeftOut.V != "" }

// atTheEnd finds the level with the largest share at an end, else one whose mean
// lies within its scatter of an end.
func (c *Case) atTheEnd(m trial.Measure, scores [][]float64) (Judgement, bool) {
	limit := c.set.number("end-share")
	margin := outerShare * m.Scale.Width()
	if stepped(scores) {
		margin = 1e-9
	}
	var ss, df float64
	for _, v := range scores {
		_, s := meanSS(v)
		ss, df = ss+s, df+math.Max(0, float64(len(v)-1))
	}
	sd := 0.0
	if df > 0 {
		sd = math.Sqrt(ss / df)
	}
	share, level, end := 0.0, -1, ""
	near, nearLevel, nearEnd := 1.0, -1, ""
	for l, v := range scores {
		if len(v) == 0 {
			continue
		}
		low, high := 0, 0
		for _, x := range v {
			if x <= m.Scale.Low+margin {
				low++
			}
			if x >= m.Scale.High-margin {
				high++
			}
		}
		mean, _ := meanSS(v)
		for _, e := range []struct {
			name   string
			n      int
			remain float64
		}{{lowEnd, low, mean - m.Scale.Low}, {highEnd, high, m.Scale.High - mean}} {
			if s := float64(e.n) / float64(len(v)); s > share {
				share, level, end = s, l, e.name
			}
			if sd > 0 && e.remain/sd < near {
				near, nearLevel, nearEnd = e.remain/sd, l, e.name
			}
		}
	}
	switch {
	case level >= 0 && share >= limit:
		severity := c.endMatters(m, end)
		w := c.whereLevels(level)
		w.Measures = []string{m.Name}
		return Judgement{Outcome: Fires, Severity: severity, Statistic: "share of the scores at an end", Value: quantity.Num(share),
			Threshold: quantity.Num(limit), Option: "end-share", Where: w,
			Fill: Fill{"share": percent(share), "measure": measureWords(m.Name), "level": c.levelWords(level), "end": end}}, true
	case nearLevel >= 0:
		w := c.whereLevels(nearLevel)
		w.Measures = []string{m.Name}
		return Judgement{Outcome: Fires, Severity: c.endMatters(m, nearEnd), Variant: "near", Statistic: "distance of a mean from an end, in SD", Value: quantity.Num(near),
			Threshold: quantity.Num(1), Where: w,
			Fill: Fill{"measure": measureWords(m.Name), "level": c.levelWords(nearLevel), "end": nearEnd}}, true
	}
	return Judgement{}, false
}

// The two ends in words.
const (
	lowEnd  = "low end"
	highEnd = "high end"
)

// endMatters is how bad scores at an end are. An aim that names a target or a limit
// asks on which side of it a score lies, and a score at an end that lies away from
// the target or limit answers that however much further it would have gone: a
// note. Everything else compares sizes, which the end cuts off.
func (c *Case) endMatters(m trial.Measure, end string) Severity {
	for _, a := range c.Trial.Aims {
		if a.Measure != m.Name || a.Best.Known {
			continue
		}
		var limits []float64
		if a.Target.Known {
			limits = append(limits, a.Target.V.Low, a.Target.V.High)
		}
		if a.AtMost.Known {
			limits = append(limits, a.AtMost.V)
		}
		if a.AtLeast.Known {
			limits = append(limits, a.AtLeast.V)
		}
		near := outerShare * m.Scale.Width()
		away := len(limits) > 0
		for _, l := range limits {
			if end == lowEnd && l <= m.Scale.Low+near || end == highEnd && l >= m.Scale.High-near {
				away = false
			}
		}
		if away {
			return Note
		}
	}
	return Weakens
}

// stepped reports whether all scores are whole or half points: the scale then
// has categories, and is no line.
func stepped(scores [][]float64) bool {
	for _, v := range scores {
		for _, x := range v {
			if math.Abs(2*x-math.Round(2*x)) > 1e-9 {
				return false
			}
		}
	}
	return true
}
