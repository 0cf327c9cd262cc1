package trialfile

import (
	"fmt"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

var compositionTable = object[trial.Composition]{noun: "a composition", flow: true, fields: []field[trial.Composition]{
	opt("water", "share of the mass", share, func(c *trial.Composition) *trial.Opt[quantity.Share] { return &c.Water }),
	opt("protein", "share of the mass", share, func(c *trial.Composition) *trial.Opt[quantity.Share] { return &c.Protein }),
	opt("fat", "share of the mass", share, func(c *trial.Composition) *trial.Opt[quantity.Share] { return &c.Fat }),
	opt("carbohydrate", "share of the mass", share, func(c *trial.Composition) *trial.Opt[quantity.Share] { return &c.Carbohydrate }),
	opt("fibre", "share of the mass", share, func(c *trial.Composition) *trial.Opt[quantity.Share] { return &c.Fibre }),
	opt("ash", "share of the mass", share, func(c *trial.Composition) *trial.Opt[quantity.Share] { return &c.Ash }),
	opt("salt", "share of the mass", share, func(c *trial.Composition) *trial.Opt[quantity.Share] { return &c.Salt }),
}, finish: func(r *reader, it *item, c *trial.Composition) {
	sum := 0.0
	for _, s := range []trial.Opt[quantity.Share]{c.Water, c.Protein, c.Fat, c.Carbohydrate, c.Fibre, c.Ash, c.Salt} {
		sum += s.V.Percent()
	}
	if sum > 100.5 { // half a percent for rounding
		r.fail(it.at, "out-of-range", fmt.Sprintf("the shares add up to %s %%", formatNumber(sum)), "they cannot be more than 100 % together")
	}
}}

// kindHint is what to write for a food that is no kind: what its name points to
// goes before what it is spelled like, since "wild fish" is not oily fish.
func (r *reader) kindHint(s string) string {
	if r.vocab.KindsNamed != nil {
		if kinds := r.vocab.KindsNamed(s); len(kinds) > 0 {
			return "write " + strings.Join(kinds, " or ")
		}
	}
	return r.nearest(s, newNames(r.vocab.FoodKinds))
}

// foodKind is a kind of the vocabulary.
var foodKind = codec[string]{
	read: func(r *reader, it *item) (string, bool) {
		s, ok := text.read(r, it)
		if ok && len(r.vocab.FoodKinds) > 0 && !contains(r.vocab.FoodKinds, s) {
			r.say(diag.Error, it.at, "unknown-kind", fmt.Sprintf("%s is not a kind of food that is known", quote(s)), "", r.kindHint(s))
			return "", false
		}
		return s, ok
	},
	write: textItem, schema: func() js { return js{"type": "string"} },
}

var foodTable = object[trial.Food]{noun: "a food", fields: []field[trial.Food]{
	must(opt("name", "what was cooked, in your words", shortText, func(f *trial.Food) *trial.Opt[string] { return &f.Name })),
	opt("kind", "row of the food table, such as lean fish; properties and risks follow from it", foodKind, func(f *trial.Food) *trial.Opt[string] { return &f.Kind }),
	opt("form", "whole, minced, tenderised, injected, rolled or stuffed; absent = not known", words(trial.Forms...), func(f *trial.Food) *trial.Opt[trial.Form] { return &f.Form }),
	opt("shape", "slab, cylinder, sphere or block", words(trial.Shapes...), func(f *trial.Food) *trial.Opt[trial.Shape] { return &f.Shape }),
	many("sides", "the three sides of a block", length, func(f *trial.Food) *[]quantity.Length { return &f.Sides }),
	opt("thickness", "of a slab; diameter of a cylinder or sphere", length, func(f *trial.Food) *trial.Opt[quantity.Length] { return &f.Thickness }),
	opt("start", "core temperature before the bath", temperature, func(f *trial.Food) *trial.Opt[quantity.Temperature] { return &f.Start }),
	opt("frozen", "yes, no, or {at: -20 °C, for: 7 d, by: supplier}", frozen, func(f *trial.Food) *trial.Opt[trial.Frozen] { return &f.Frozen }),
	opt("histamine", "yes for a fish that forms histamine when it is kept warm, such as tuna or mackerel", yesNo, func(f *trial.Food) *trial.Opt[bool] { return &f.Histamine }),
	opt("composition", "shares of the mass; beats the food table", compositionTable.codec(), func(f *trial.Food) *trial.Opt[trial.Composition] { return &f.Composition }),
}, finish: func(r *reader, it *item, f *trial.Food) {
	if n, s := len(f.Sides), it.get("sides"); n != 0 && n != 3 && !s.bad {
		r.fail(s.at, "bad-sides", fmt.Sprintf("a block has three sides, found %d", n), "write sides: [60 mm, 40 mm, 30 mm]")
	}
	r.block(it, f)
}}

var frozenTable = object[trial.Frozen]{noun: "freezing", flow: true, fields: []field[trial.Frozen]{
	opt("at", "temperature of the freezer", temperature, func(f *trial.Frozen) *trial.Opt[quantity.Temperature] { return &f.Tmp }),
	opt("then", "temperature at which it was held once it was solid, where that is another", temperature, func(f *trial.Frozen) *trial.Opt[quantity.Temperature] { return &f.Then }),
	opt("for", "how long", span, func(f *trial.Frozen) *trial.Opt[quantity.Duration] { return &f.For }),
	opt("by", "who froze it", shortText, func(f *trial.Frozen) *trial.Opt[string] { return &f.By }),
}, finish: func(_ *reader, _ *item, f *trial.Frozen) { f.Is = true }}

// frozen is yes, no, or how.
var frozen = codec[trial.Frozen]{
	read: func(r *reader, it *item) (trial.Frozen, bool) {
		if it.kind == mapping {
			return frozenTable.codec().read(r, it)
		}
		v, ok := yesNo.read(r, it)
		return trial.Frozen{Is: v}, ok
	},
	write: func(f trial.Frozen) *item {
		if !f.Tmp.Known && !f.Then.Known && !f.For.Known && !f.By.Known {
			return yesNo.write(f.Is)
		}
		return frozenTable.toItem(&f)
	},
	schema: func() js { return js{"anyOf": []js{yesNo.schema(), frozenTable.toSchema()}} },
}

var thawedTable = object[trial.Thawed]{noun: "thawing", flow: true, fields: []field[trial.Thawed]{
	opt("to", "temperature after thawing", temperature, func(f *trial.Thawed) *trial.Opt[quantity.Temperature] { return &f.To }),
	opt("for", "how long it thawed", span, func(f *trial.Thawed) *trial.Opt[quantity.Duration] { return &f.For }),
}}

var parasitesTable = object[trial.Parasites]{noun: "parasite control", flow: true, fields: []field[trial.Parasites]{
	opt("control", "frozen, feed, exempt or none", words(trial.ParasiteControls...), func(p *trial.Parasites) *trial.Opt[trial.ParasiteControl] { return &p.Control }),
	opt("record", "where that is written down", shortText, func(p *trial.Parasites) *trial.Opt[string] { return &p.Record }),
}}

var sourceTable = object[trial.Source]{noun: "a source", flow: true, fields: []field[trial.Source]{
	opt("lot", "delivery or batch it came with", idCodec, func(s *trial.Source) *trial.Opt[string] { return &s.Lot }),
	opt("caught", "day of catch, slaughter or harvest", date, func(s *trial.Source) *trial.Opt[trial.Date] { return &s.Caught }),
	opt("frozen", "yes, no, or {at: -20 °C, for: 7 d, by: supplier}", frozen, func(s *trial.Source) *trial.Opt[trial.Frozen] { return &s.Frozen }),
	opt("thawed", "{to: 2 °C, for: 18 h}", thawedTable.codec(), func(s *trial.Source) *trial.Opt[trial.Thawed] { return &s.Thawed }),
	opt("parasites", "{control: frozen, record: …}", parasitesTable.codec(), func(s *trial.Source) *trial.Opt[trial.Parasites] { return &s.Parasites }),
	opt("kept_at", "storage temperature before the trial", temperature, func(s *trial.Source) *trial.Opt[quantity.Temperature] { return &s.KeptAt }),
}}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}
