package safety

import (
	"math"

	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// A probe log may worsen any verdict. It improves one only where the probe and
// the bath's thermometer were checked within 30 days, the error of the probe is
// stated, and it sat at the centre of the thickest piece from the start to the
// end of the bath.

// longestGap is between two lines of a log that is to speak for a core, minutes.
const longestGap = 5.0

// hotterThanBath is by how much, K, a core may read above its set point.
const hotterThanBath = 3.0

// logCore is the core by the log of a cook that may improve its verdict, lowered
// by the error of the probe, and the index of the piece it was in, -1 for a cook
// without pieces. ok is false where it may not.
func (j *judging) logCore(c *trial.Cook, bath float64) (out *core, piece int, ok bool) {
	p, given := c.Probe.Get()
	if !given || j.o.Any() || p.At.V != trial.ProbeCentre || !p.Reads.Known || !j.fresh(c, p.Checked) || !j.bathFresh(c) {
		return nil, 0, false
	}
	if piece, ok = thickest(j.t, c, p.Piece); !ok {
		return nil, 0, false
	}
	d, ok := c.BathTime()
	if !ok {
		return nil, 0, false
	}
	minutes := d.Minutes()
	if c.Started.Known && piece >= 0 && c.Pieces[piece].Out.Known {
		minutes = math.Min(minutes, c.Pieces[piece].Out.V.MinutesAfter(c.Started.V))
	}
	samples, ok := logSamples(c.Log, minutes, math.Max(0, p.Reads.V.Kelvin()), c.SetPoint)
	if !ok {
		return nil, 0, false
	}
	out = &core{hist: sampledFrom(samples, 0, minutes), logged: true}
	j.count(out)
	out.long = usedSampled(samples, minutes, coldByLog(c.Log))
	out.short = out.long
	return out, piece, true
}

// fresh reports whether a check lies within 30 days before the cook.
func (j *judging) fresh(c *trial.Cook, checked trial.Opt[trial.Date]) bool {
	day := cookedOn(j.t, c)
	if !checked.Known || day.IsZero() {
		return false
	}
	age := day.Days() - checked.V.Days()
	return age >= 0 && age <= checkedDays
}

func (j *judging) bathFresh(c *trial.Cook) bool {
	for i := range j.t.Baths {
		if b := &j.t.Baths[i]; c.Bath.Known && b.ID == c.Bath.V {
			return b.Reads.Known && j.fresh(c, b.Checked)
		}
	}
	return false
}

// thickest reports whether the piece that the probe was in is known to be the
// thickest of the cook, and which it is.
func thickest(t *trial.Trial, c *trial.Cook, named trial.Opt[string]) (piece int, ok bool) {
	switch {
	case len(c.Pieces) == 0:
		return -1, true
	case len(c.Pieces) == 1:
		return 0, !named.Known || named.V == c.Pieces[0].ID
	}
	piece = -1
	for i := range c.Pieces {
		if named.Known && c.Pieces[i].ID == named.V {
			piece = i
		}
	}
	if piece < 0 || !c.Pieces[piece].Thickness.Known {
		return 0, false
	}
	for i := range c.Pieces {
		if th := c.Pieces[i].Thickness; !th.Known || th.V.Millimetres() > c.Pieces[piece].Thickness.V.Millimetres() {
			return 0, false
		}
	}
	return piece, true
}

// logSamples are the readings of the core, less what the probe reads too high,
// every heat.Step minutes. Between two lines the core is taken along the line
// that joins them. ok is false where the log does not reach from the start to
// the end of the bath without a gap, or shows a core that is hotter than any that
// such a bath could give: °F under a heading of °C, or the probe beside the food.
func logSamples(log []trial.LogPoint, minutes, high float64, bath trial.Opt[quantity.Temperature]) (samples []float64, ok bool) {
	var at, core []float64
	for _, l := range log {
		if !l.Core.Known || len(at) > 0 && l.Minutes < at[len(at)-1] {
			continue
		}
		if len(at) > 0 && l.Minutes-at[len(at)-1] > longestGap && at[len(at)-1] < minutes {
			return nil, false
		}
		if bath.Known && l.Core.V.Celsius() > bath.V.Celsius()+hotterThanBath {
			return nil, false
		}
		at, core = append(at, l.Minutes), append(core, l.Core.V.Celsius()-high)
	}
	if len(at) < 2 || !(at[0] <= longestGap) || !(at[len(at)-1] >= minutes) || !(minutes > 0) || minutes > 7*1440 {
		return nil, false
	}
	samples = make([]float64, 1+int(minutes/heat.Step+1e-9))
	i := 0
	for s := range samples {
		m := float64(s) * heat.Step
		for i+1 < len(at)-1 && at[i+1] <= m {
			i++
		}
		switch span := at[i+1] - at[i]; {
		case m <= at[i]:
			samples[s] = core[i]
		case span <= 0:
			samples[s] = math.Min(core[i], core[i+1])
		default:
			samples[s] = core[i] + (core[i+1]-core[i])*math.Min(1, (m-at[i])/span)
		}
	}
	return samples, true
}

// byLog is the verdict that a log may improve to: the piece with the probe by its
// log, every other by calculation. ok is false where the log may not improve it.
func (j *judging) byLog(c *trial.Cook, h *heat.Cook) (CookVerdict, bool) {
	measured, piece, ok := j.logCore(c, h.Bath)
	if !ok {
		return CookVerdict{}, false
	}
	v := j.judgeCore(c, &heat.Cook{Cannot: h.Cannot, SetPoint: h.SetPoint, Start: h.Start, Stated: true, Checked: true}, measured, true)
	if piece < 0 || len(c.Pieces) == 1 {
		return v, true
	}
	// The others, as a cook of their own without the log.
	rest := *j.t
	rest.Cooks = []trial.Cook{*c}
	rest.Cooks[0].Log, rest.Cooks[0].Probe = nil, trial.Opt[trial.Probe]{}
	rest.Cooks[0].Pieces = append(append([]trial.Piece(nil), c.Pieces[:piece]...), c.Pieces[piece+1:]...)
	others := judgingOf(&rest, j.o)
	o := others.judge(&rest.Cooks[0], &heat.OfTrial(&rest).Cooks[0], true)
	w := worst(j.t, []CookVerdict{v, o})
	w.Cook, w.SetPoint = c.ID, h.SetPoint
	return w, true
}

// better reports whether one verdict is better than another in one respect and
// worse in none.
func better(a, b CookVerdict) bool {
	if a.Verdict < b.Verdict || a.Parasites < b.Parasites || b.Vulnerable && !a.Vulnerable {
		return false
	}
	return a.Verdict > b.Verdict || a.Parasites > b.Parasites || a.Vulnerable && !b.Vulnerable || limit(a) > limit(b)
}

// limit is the discard time; hot plants have none.
func limit(v CookVerdict) float64 {
	if v.Verdict == NotAsked && v.Discard == 0 {
		return math.Inf(1)
	}
	return v.Discard
}
