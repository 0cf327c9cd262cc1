package answer

import (
	"cmp"
	"math"

	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/trial"
)

// rangeOfHeat turns a predicted range into numbers of a result.
func rangeOfHeat(r heat.Range) HeatRange {
	if !r.Known {
		why := "not predicted"
		if r.Why != nil {
			why = r.Why.Why
		}
		return noHeatRange(why)
	}
	return HeatRange{quantity.Num(r.Low), quantity.Num(r.Mid), quantity.Num(r.High)}
}

func noHeatRange(why string) HeatRange {
	return HeatRange{quantity.Absent(why), quantity.Absent(why), quantity.Absent(why)}
}

// cook puts one cook together.
func (h *heater) cook(t *trial.Trial, i int, c *heat.Cook, v safety.CookVerdict) HeatCook {
	tc := &t.Cooks[i]
	out := HeatCook{
		Cook: tc.ID, SetPoint: quantity.Absent("not stated"), Shape: string(t.Food.Shape.Or(trial.Slab)),
		Thickness: quantity.Absent("not stated"), Start: quantity.Absent("not stated"), Minutes: quantity.Absent("not stated"),
		ComeUp: rangeOfHeat(c.ComeUp()), Hold: rangeOfHeat(c.Hold()), Dip: c.Dip, Recovery: c.Recovery,
		Bath: string(cmp.Or(c.Around(), heat.Steady)), Pieces: []HeatPiece{}, Course: []HeatSample{}, Kills: []HeatKill{}, Quoted: []HeatQuote{}, verdict: v,
	}
	if tc.SetPoint.Known {
		out.SetPoint = quantity.Num(tc.SetPoint.V.Celsius())
	}
	if c.Likely().Thickness > 0 {
		out.Thickness = quantity.Num(c.Likely().Thickness)
	}
	if x := c.Likely(); c.ComeUp().Known && x.Start[0] == x.Start[2] {
		out.Start = quantity.Num(x.Start[1])
	}
	if d, ok := tc.BathTime(); ok {
		out.Minutes = quantity.Num(d.Minutes())
	}
	for _, p := range c.Pieces() {
		piece := HeatPiece{Piece: p.ID, Thickness: quantity.Absent("not stated"), ComeUp: rangeOfHeat(p.ComeUp), Hold: rangeOfHeat(p.Hold)}
		if p.Thickness > 0 {
			piece.Thickness = quantity.Num(p.Thickness)
		}
		out.Pieces = append(out.Pieces, piece)
	}
	out.CoreAtOut = noHeatRange("the time in the bath is not stated")
	if m, ok := out.Minutes.Get(); ok {
		out.CoreAtOut = noHeatRange(rangeOfHeat(c.ComeUp()).Mid.Reason())
		if s := c.Trace([]float64{m}); len(s) == 1 {
			out.CoreAtOut = HeatRange{quantity.Num(s[0].Low), quantity.Num(s[0].Mid), quantity.Num(s[0].High)}
		}
	}
	for _, s := range c.Trace(courseOf(&out)) {
		out.Course = append(out.Course, HeatSample{s.Minutes, HeatRange{quantity.Num(s.Low), quantity.Num(s.Mid), quantity.Num(s.High)}, s.Surface})
	}
	out.Limits = heatLimits(c)
	for _, k := range v.Kills {
		out.Kills = append(out.Kills, HeatKill{k.Organism, k.Decades, k.Got, k.D, k.At, k.Z, k.F, k.Source, k.Memory, k.Outside})
	}
	for _, q := range v.Quoted {
		x := HeatQuote{Authority: q.Authority, Edition: q.Edition, Place: q.Place, For: q.For, Met: q.Met, Memory: q.Memory,
			Celsius: quantity.Absent("no row may be relied on"), Minutes: quantity.Absent("no row may be relied on")}
		if q.Row.Celsius > 0 {
			x.Celsius, x.Minutes = quantity.Num(q.Row.Celsius), quantity.Num(q.Row.Minutes)
		}
		out.Quoted = append(out.Quoted, x)
	}
	out.KillLikely = quantity.Absent("there is no published table for it, or it is not reached within a day")
	if x := c.Likely(); out.Start.Known() && tc.SetPoint.Known && t.Medium.Or(trial.WaterBath) == trial.WaterBath && (!t.Food.Form.Known || t.Food.Form.V == trial.Whole) {
		if m := safety.NewPlanner(t, h.opt.Own.Override).LikelyAfter(x.Bath, x.Thickness, x.Start[1]); !math.IsInf(m, 1) {
			out.KillLikely = quantity.Num(m)
		}
	}
	out.PasteurisedFrom, out.never = h.pasteurisedFrom(t, i)
	lead, rest := safety.Cautions(t, v)
	out.Safety = Safety{Verdict: v.Verdict.String(), Lead: spoken(lead), Cautions: spoken(rest)}
	if len(v.Why) > 0 {
		out.Safety.Why = v.Why[0].Text.Sentence().Text(quantity.Metric)
	}
	out.Vulnerable, out.DiscardAt = v.Vulnerable, v.DiscardAt
	switch out.Discard = quantity.Absent("not to be said"); {
	case v.Verdict == safety.DoNotEat:
		out.Discard, out.DiscardAt = quantity.Absent("it must not be eaten at any time"), ""
	case v.Discard > 0:
		out.Discard = quantity.Num(v.Discard)
	}
	lingered := c.ComeUp().Known && out.Minutes.Or(0) > surely(c, c.ComeUp()).Minutes() && out.never != "too-thick"
	out.Word, out.Parasites = verdictWord(v, lingered), v.Parasites.String()
	if b, ok := heat.BiteOf(t, i, c); ok {
		out.Bite = &HeatBite{Minutes: b.Minutes, Core: b.Core, Mean: b.Mean, Surface: b.Surface, Text: biteText(b)}
		for _, s := range b.Stages {
			out.Bite.Stages = append(out.Bite.Stages, string(s))
		}
	}
	if r := heat.FromFrozen(t, i, c); r.Known {
		out.ComeUp = rangeOfHeat(r)
		out.Hold = noHeatRange("a frozen start has no verdict, and no hold")
	}
	out.Log = heatLog(t, c, &out)
	out.Text = heatText(&out)
	return out
}

// heatLimits is what speaks against the prediction of a cook. Where there is none,
// it is what stands in its way, and what would only make it rougher is left out.
func heatLimits(c *heat.Cook) []HeatLimit {
	out := []HeatLimit{}
	for _, l := range c.Limits() {
		if c.ComeUp().Known || l.Voids {
			out = append(out, HeatLimit{Slug: string(l.Slug), Field: l.Field, Voids: l.Voids, Text: limitWords(l)})
		}
	}
	if why := c.ComeUp().Why; !c.ComeUp().Known && why != nil && len(out) == 0 {
		out = append(out, HeatLimit{Slug: "not-predicted", Field: why.Field, Voids: true, Text: Say("The core is not predicted: " + why.Why + ".")})
	}
	return out
}

// coursePoints is at most how many moments the course of a cook has.
const coursePoints = 150

// courseOf are the minutes at which the course of a cook is told: from the start
// to its end in the bath, or a little past the slowest arrival, in whole steps.
func courseOf(c *HeatCook) []float64 {
	end := c.Minutes.Or(0)
	if arrives, ok := c.ComeUp.High.Get(); ok {
		if hold, ok := c.Hold.High.Get(); ok && !c.Minutes.Known() {
			end = arrives + hold
		}
		end = math.Max(end, 1.1*arrives)
	}
	if !(end > 0) {
		return nil
	}
	step := courseStep(end)
	var at []float64
	for m := 0.0; m < end+step/2; m += step {
		at = append(at, m)
	}
	return at
}

// courseStep is the finest of a few steps that a course of so many minutes has.
func courseStep(end float64) float64 {
	for _, s := range []float64{0.5, 1, 5, 15} {
		if end/s <= coursePoints {
			return s
		}
	}
	return 60 * math.Ceil(end/coursePoints/60)
}

// heatLog is what the log of a cook says; nil without one.
func heatLog(t *trial.Trial, hc *heat.Cook, c *HeatCook) *HeatLog {
	l := hc.Log
	if l == nil {
		return nil
	}
	lines := func(in []heat.LogLine) []HeatReading {
		out := make([]HeatReading, len(in))
		for i, x := range in {
			out[i] = HeatReading(x)
		}
		return out
	}
	out := &HeatLog{BathMean: l.BathMean, BathSD: l.BathSD, BathLow: l.BathLow, BackAt: l.Returned, CoreMax: l.CoreMax,
		Reached: l.Reached, Arrived: l.Arrived, Offset: l.Offset, Core: lines(l.Core), Bath: lines(l.Bath)}
	m := heat.MeasuredOf(t, hc)
	out.Diffusivity = HeatRange{m.Diffusivity[0], m.Diffusivity[1], m.Diffusivity[2]}
	out.Coefficient = HeatRange{m.Transfer[0], m.Transfer[1], m.Transfer[2]}
	out.Residual = m.Residual
	out.Lag, out.ProbeOffset = HeatRange{m.Lag[0], m.Lag[1], m.Lag[2]}, HeatRange{m.Offset[0], m.Offset[1], m.Offset[2]}
	out.Text, out.Measured = logText(out, c), measuredText(out)
	return out
}
