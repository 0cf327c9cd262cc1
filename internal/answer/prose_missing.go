package answer

import (
	"slices"

	"tamis/internal/trial"
)

// missing lists what the trial does not say and a later reader will want.
func (b *builder) missing() []Sentence {
	t := b.t
	var words []string
	lacks := func(what string, has func(c *trial.Cook) bool) {
		for i := range t.Cooks {
			if !has(&t.Cooks[i]) {
				words = append(words, what)
				return
			}
		}
	}
	bath := t.Medium.Or(trial.WaterBath) == trial.WaterBath
	if bath {
		lacks("the time in the bath", func(c *trial.Cook) bool { _, ok := c.BathTime(); return ok || c.Hold.Known })
	}
	lacks("the session", func(c *trial.Cook) bool { return c.Session.Known || c.Block.Known })
	lacks("the run order", func(c *trial.Cook) bool { return c.Order.Known || c.Started.Known })
	if bath {
		lacks("the bath", func(c *trial.Cook) bool { return c.Bath.Known })
	}
	warmth := func(c *trial.Cook) bool { return c.ServedAt.Known }
	clock := func(c *trial.Cook) bool { return c.Served.Known }
	switch all := func(has func(c *trial.Cook) bool) bool {
		for i := range t.Cooks {
			if !has(&t.Cooks[i]) {
				return false
			}
		}
		return true
	}; {
	case all(clock):
		lacks("how warm each cook was served", warmth)
	case all(warmth):
		lacks("when each cook was served", clock)
	default:
		lacks("when and how warm each cook was served", func(c *trial.Cook) bool { return warmth(c) && clock(c) })
	}
	if bath {
		lacks("a probe log", func(c *trial.Cook) bool { return c.LogFile.Known })
	}
	if bath && !t.Food.Thickness.Known && len(t.Food.Sides) == 0 && !b.everyPiece(func(p *trial.Piece) bool { return p.Thickness.Known }) {
		words = append(words, "the thickness")
	}
	if bath && !b.everyPiece(func(p *trial.Piece) bool { return p.Source.Known }) {
		words = append(words, "what each piece was cut from")
	}
	if p, ok := t.Panel.Get(); ok {
		if !p.Blind.Known {
			words = append(words, "whether the tasters knew")
		}
		if !p.LooksMasked.Known {
			words = append(words, "whether they could see the difference")
		}
	} else if slices.ContainsFunc(t.Measures, func(m trial.Measure) bool { return m.Kind != trial.Amount }) {
		words = append(words, "who scored")
	}
	if !t.Declared.Known {
		words = append(words, "when question and aim were fixed")
	}
	if len(words) == 0 {
		return nil
	}
	return []Sentence{Say("Write down next time: ", list(words), ".")}
}

func (b *builder) everyPiece(has func(p *trial.Piece) bool) bool {
	n := 0
	for i := range b.t.Cooks {
		for j := range b.t.Cooks[i].Pieces {
			n++
			if !has(&b.t.Cooks[i].Pieces[j]) {
				return false
			}
		}
	}
	return n > 0
}
