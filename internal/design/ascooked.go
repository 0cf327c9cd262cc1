package design

import (
	"strconv"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// AsCooked is a trial with the cooks that its design would have: one for each set
// point with each time or hold in each bath, with a piece for each brine where
// brines are compared. Cooks are named after what they are. A trial that has cooks
// is left as it is.
func AsCooked(t *trial.Trial) *trial.Trial {
	d, ok := t.Design.Get()
	if !ok || len(t.Cooks) > 0 {
		return t
	}
	out := *t
	baths := []trial.Opt[string]{{}}
	if len(d.Baths) > 0 {
		baths = baths[:0]
		for _, b := range d.Baths {
			baths = append(baths, trial.Some(b))
		}
	}
	for _, s := range d.SetPoints {
		for _, b := range baths {
			c := trial.Cook{ID: s.String(), SetPoint: trial.Some(s), Bath: b, Bag: d.Bag}
			if len(baths) > 1 {
				c.ID += ", " + b.V
			}
			for i := range d.Brine {
				c.Pieces = append(c.Pieces, trial.Piece{ID: "brine " + strconv.Itoa(i+1), Treatment: trial.Treatment{Brine: trial.Some(d.Brine[i])}})
			}
			add := func(many bool, m quantity.Duration, to func(*trial.Cook) *trial.Opt[quantity.Duration]) {
				x := c
				*to(&x) = trial.Some(m)
				if many {
					x.ID += ", " + m.String()
				}
				out.Cooks = append(out.Cooks, x)
			}
			many := len(d.Times)+len(d.Holds) > 1
			for _, m := range d.Times {
				add(many, m, func(c *trial.Cook) *trial.Opt[quantity.Duration] { return &c.Time })
			}
			for _, m := range d.Holds {
				add(many, m, func(c *trial.Cook) *trial.Opt[quantity.Duration] { return &c.Hold })
			}
			if len(d.Times)+len(d.Holds) == 0 {
				out.Cooks = append(out.Cooks, c)
			}
		}
	}
	return &out
}

// NotEaten refuses to count tasters and scores for what must not be eaten: a
// Refusal of ErrUnsafe where any cook of the trial, or of its design, has that
// verdict and the measure is tasted or somebody tastes; nil otherwise.
func NotEaten(t *trial.Trial, m trial.Measure, assessors int) *Refusal {
	if assessors == 0 && !Tasted(m) {
		return nil
	}
	points, why := Unsafe(t)
	if len(points) == 0 {
		return nil
	}
	at := t.Design.V.At
	for _, c := range t.Cooks {
		if c.SetPoint.Known && c.SetPoint.V == points[0] {
			at = c.SetPoint.At
			if at.IsZero() {
				at = c.At
			}
			break
		}
	}
	return unsafe(at, points, nil, why)
}
