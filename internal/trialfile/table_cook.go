package trialfile

import (
	"fmt"
	"strconv"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// brineTable reads a brine that was written out. Salt and dry salt share one
// place in the record; the key tells which brine it was.
var brineTable = object[trial.Brine]{noun: "a brine", flow: true, fields: []field[trial.Brine]{
	saltField("salt", trial.WetBrine),
	saltField("dry salt", trial.DryBrine, "dry_salt"),
	opt("of", "what the salt is a share of: water, brine, flesh, or flesh and water", words(trial.BrineBases...), func(b *trial.Brine) *trial.Opt[trial.BrineOf] { return &b.Of }),
	opt("sugar", "share of sugar, of the same", share, func(b *trial.Brine) *trial.Opt[quantity.Share] { return &b.Sugar }),
	opt("at", "temperature of the brine", temperature, func(b *trial.Brine) *trial.Opt[quantity.Temperature] { return &b.AtTmp }),
	opt("for", "how long", span, func(b *trial.Brine) *trial.Opt[quantity.Duration] { return &b.For }),
	opt("tub", "which tub or batch of brine", idCodec, func(b *trial.Brine) *trial.Opt[string] { return &b.Tub }),
}, finish: func(r *reader, it *item, b *trial.Brine) {
	wet, dry := it.get("salt"), it.get("dry salt")
	if dry == nil {
		dry = it.get("dry_salt")
	}
	if wet != nil && dry != nil && wet.kind != blank && dry.kind != blank {
		r.fail(dry.at, "two-brines", "a brine is wet or dry, not both", "keep salt or dry salt")
	}
	if b.Kind == "" { // no salt stated, as in a sugar water
		b.Kind = trial.WetBrine
	}
	if !it.probe {
		r.brine(it, b)
	}
}}

// dissolves is the share of salt, in per cent of the water, above which none
// dissolves at any temperature: 39 at the boiling point, 36 in a cold kitchen
// (handbook values, from memory), rounded up.
const dissolves = 40

// brine holds the parts of a brine against each other.
func (r *reader) brine(it *item, b *trial.Brine) {
	salt, at := b.Salt.V.Percent(), it.at
	for _, e := range it.entries {
		if k := e.key.text; e.value.bad {
			return // what was read is not the whole brine
		} else if k != "of" && (k == "salt" || strings.HasPrefix(k, "dry")) && e.value.kind != blank {
			at = e.value.at
		}
	}
	sugar := b.Sugar.V.Percent()
	switch {
	case !b.Salt.Known && !b.Sugar.Known:
		r.warn(at, "brine-strength", "the brine has neither salt nor sugar", "write its salt: 5 %, or brine: none")
	case b.Kind == trial.DryBrine:
		if b.Of.Known && (b.Of.V == trial.OfWater || b.Of.V == trial.OfBrine) {
			r.fail(it.get("of").at, "contradiction", fmt.Sprintf("a dry brine has no water, so its salt is no share of the %s", b.Of.V), "write of: flesh")
		}
	case b.Of.V == trial.OfBrine && salt+sugar >= 100:
		r.fail(at, "out-of-range", "a brine of salt and sugar alone", "write of: water where the shares are of the water")
	case b.Of.V == trial.OfBrine && salt/(100-salt-sugar)*100 > dissolves, b.Of.Or(trial.OfWater) == trial.OfWater && salt > dissolves:
		r.warn(at, "brine-strength", "this is more salt than water can dissolve", "check the number; 100 g of water hold about 36 g of salt")
	case !b.Of.Known && b.Salt.Known && salt > 0:
		r.bothReadings(at, salt, sugar)
	}
}

// bothReadings says what a brine without of may be, once for every strength.
func (r *reader) bothReadings(at place, salt, sugar float64) {
	key := fmt.Sprintf("brine of what|%v|%v", salt, sugar)
	if r.seen[key] {
		return
	}
	r.seen[key] = true
	percent := func(v float64) string { return strconv.FormatFloat(v, 'g', 3, 64) + " %" }
	hint := fmt.Sprintf("write of: water (then it is %s of the brine)", percent(salt/(100+salt+sugar)*100))
	if salt+sugar < 100 {
		hint += fmt.Sprintf(" or of: brine (then it is %s of the water)", percent(salt/(100-salt-sugar)*100))
	}
	r.say(diag.Note, at, "brine-base", "the brine does not say what its salt is a share of", "", hint)
}

func saltField(key string, kind trial.BrineKind, also ...string) field[trial.Brine] {
	return field[trial.Brine]{key: key, also: also, doc: "share of salt in a " + string(kind) + " brine", schema: share.schema,
		read: func(r *reader, it *item, b *trial.Brine) {
			if v, ok := share.read(r, it); ok {
				b.Kind, b.Salt = kind, trial.SomeAt(v, it.at.pos)
			}
		},
		write: func(b *trial.Brine) *item {
			if b.Kind != kind || !b.Salt.Known {
				return nil
			}
			return share.write(b.Salt.V)
		}}
}

var brine = codec[trial.Brine]{
	read: func(r *reader, it *item) (trial.Brine, bool) {
		if it.kind == scalar {
			if strings.EqualFold(it.text, "none") || strings.EqualFold(it.text, "no") {
				return trial.Brine{Kind: trial.NoBrine}, true
			}
			r.fail(it.at, "bad-brine", quote(it.text)+" is not a brine", "write none, {salt: 5 %, of: brine, for: 20 min} or {dry salt: 1 %, of: flesh, for: 20 min}")
			return trial.Brine{}, false
		}
		return brineTable.codec().read(r, it)
	},
	write: func(b trial.Brine) *item {
		if b.Kind == trial.NoBrine {
			return textItem("none")
		}
		return brineTable.toItem(&b)
	},
	schema: func() js { return js{"anyOf": []js{{"enum": []any{"none", "no", false}}, brineTable.toSchema()}} },
}

var finishTable = object[trial.Finish]{noun: "a finish", flow: true, fields: []field[trial.Finish]{
	{key: "sear", doc: "60 s per side, or 2 min", schema: func() js { return js{"type": "string", "examples": []string{"60 s per side"}} },
		read: func(r *reader, it *item, f *trial.Finish) {
			s, ok := r.one(it, "a time")
			if !ok {
				return
			}
			body, per := strings.CutSuffix(strings.TrimSpace(s), "per side")
			if v, ok := span.read(r, &item{kind: scalar, text: strings.TrimSpace(body), at: it.at, cell: it.cell}); ok {
				f.Sear, f.PerSide = trial.SomeAt(v, it.at.pos), per
			}
		},
		write: func(f *trial.Finish) *item {
			switch {
			case !f.Sear.Known:
				return nil
			case f.PerSide:
				return textItem(f.Sear.V.String() + " per side")
			}
			return textItem(f.Sear.V.String())
		}},
	opt("pan", "which pan", idCodec, func(f *trial.Finish) *trial.Opt[string] { return &f.Pan }),
	opt("pan_at", "temperature of the pan", temperature, func(f *trial.Finish) *trial.Opt[quantity.Temperature] { return &f.PanAt }),
	opt("how", "anything else, in words", shortText, func(f *trial.Finish) *trial.Opt[string] { return &f.Words }),
}}

// finishing is none, words, or what was done.
var finishing = codec[trial.Finish]{
	read: func(r *reader, it *item) (trial.Finish, bool) {
		if it.kind != scalar {
			return finishTable.codec().read(r, it)
		}
		if strings.EqualFold(it.text, "none") || strings.EqualFold(it.text, "no") {
			return trial.Finish{None: true}, true
		}
		s, ok := text.read(r, it)
		return trial.Finish{Words: trial.SomeAt(s, it.at.pos)}, ok
	},
	write: func(f trial.Finish) *item {
		if f.None {
			return textItem("none")
		}
		return finishTable.toItem(&f)
	},
	schema: func() js { return js{"anyOf": []js{anyText(), finishTable.toSchema()}} },
}

var bagTable = object[trial.Bag]{noun: "a bag", flow: true, fields: []field[trial.Bag]{
	opt("seal", "chamber, clamp, displaced or none", words(trial.Seals...), func(b *trial.Bag) *trial.Opt[trial.Seal] { return &b.Seal }),
	many("with", "what else is in it", shortText, func(b *trial.Bag) *[]string { return &b.With }),
}}

// bag is its seal, or more about it.
var bag = codec[trial.Bag]{
	read: func(r *reader, it *item) (trial.Bag, bool) {
		if it.kind == scalar {
			s, ok := words(trial.Seals...).read(r, it)
			return trial.Bag{Seal: trial.SomeAt(s, it.at.pos)}, ok
		}
		return bagTable.codec().read(r, it)
	},
	write:  func(b trial.Bag) *item { return bagTable.toItem(&b) },
	schema: func() js { return js{"anyOf": []js{words(trial.Seals...).schema(), bagTable.toSchema()}} },
}

var chillTable = object[trial.Chill]{noun: "chilling", flow: true, fields: []field[trial.Chill]{
	opt("in", "what it was cooled in", shortText, func(c *trial.Chill) *trial.Opt[string] { return &c.In }),
	opt("into", "when it went in", clock, func(c *trial.Chill) *trial.Opt[trial.Clock] { return &c.Into }),
	opt("core", "core temperature reached", temperature, func(c *trial.Chill) *trial.Opt[quantity.Temperature] { return &c.Core }),
	opt("at", "when that was reached", clock, func(c *trial.Chill) *trial.Opt[trial.Clock] { return &c.AtTime }),
	opt("kept_at", "storage temperature afterwards", temperature, func(c *trial.Chill) *trial.Opt[quantity.Temperature] { return &c.KeptAt }),
	opt("for", "how long it was kept", span, func(c *trial.Chill) *trial.Opt[quantity.Duration] { return &c.For }),
}, finish: func(_ *reader, _ *item, c *trial.Chill) { c.Is = true }}

var reheatTable = object[trial.Reheat]{noun: "reheating", flow: true, fields: []field[trial.Reheat]{
	opt("at", "temperature of the bath", temperature, func(c *trial.Reheat) *trial.Opt[quantity.Temperature] { return &c.AtTmp }),
	opt("for", "how long", span, func(c *trial.Reheat) *trial.Opt[quantity.Duration] { return &c.For }),
}}

var probeTable = object[trial.Probe]{noun: "a probe", flow: true, fields: []field[trial.Probe]{
	opt("piece", "the piece it was in", idCodec, func(p *trial.Probe) *trial.Opt[string] { return &p.Piece }),
	opt("at", "centre or elsewhere", words(trial.ProbePlaces...), func(p *trial.Probe) *trial.Opt[trial.ProbePlace] { return &p.At }),
	opt("reads", "its known error, like 0.1 °C high", reads, func(p *trial.Probe) *trial.Opt[quantity.Difference] { return &p.Reads }),
	opt("checked", "day it was checked", date, func(p *trial.Probe) *trial.Opt[trial.Date] { return &p.Checked }),
}}

// levels is a group of declared factors with their levels.
var levels = codec[[]trial.Level]{
	read: func(r *reader, it *item) ([]trial.Level, bool) {
		if it.kind != mapping {
			r.fail(it.at, "not-a-group", "with is a group of factors, found "+it.describe(), "write it like {recipe: A}")
			return nil, false
		}
		var out []trial.Level
		for _, e := range it.entries {
			if !r.factor(e) || e.value.kind == blank {
				continue
			}
			if s, ok := idCodec.read(r, e.value); ok {
				out = append(out, trial.Level{Factor: e.key.text, Level: s, At: e.value.at.pos})
			}
		}
		return out, true
	},
	write: func(v []trial.Level) *item {
		it := &item{kind: mapping, flow: true}
		for _, l := range v {
			it.add(l.Factor, textItem(l.Level), "")
		}
		return it
	},
	schema: func() js { return js{"type": "object", "additionalProperties": anyText()} },
}

// treatment is the keys that a cook has and a piece may override.
func treatment[T any](of func(*T) *trial.Treatment) []field[T] {
	return []field[T]{
		opt("brine", "none, {salt: 5 %, of: brine, for: 20 min} or {dry salt: 1 %, of: flesh, for: 20 min}", brine, func(t *T) *trial.Opt[trial.Brine] { return &of(t).Brine }),
		opt("finish", "none, {sear: 60 s per side, pan: p1}, or words", finishing, func(t *T) *trial.Opt[trial.Finish] { return &of(t).Finish }),
		{key: "with", doc: "levels of the other factors, like {recipe: A}", schema: levels.schema,
			read: func(r *reader, it *item, dst *T) { of(dst).With, _ = levels.read(r, it) },
			write: func(src *T) *item {
				if len(of(src).With) == 0 {
					return nil
				}
				return levels.write(of(src).With)
			}},
	}
}

var pieceTable = object[trial.Piece]{noun: "a piece", flow: true, fields: join([]field[trial.Piece]{
	val("id", "name of the piece, used in score sheets", idCodec, func(p *trial.Piece) *string { return &p.ID }),
	opt("source", "what it was cut from", idCodec, func(p *trial.Piece) *trial.Opt[string] { return &p.Source }),
	opt("part", "where on the source: head, middle, tail", idCodec, func(p *trial.Piece) *trial.Opt[string] { return &p.Part }),
	opt("thickness", "at its thickest", length, func(p *trial.Piece) *trial.Opt[quantity.Length] { return &p.Thickness }),
	opt("before", "mass raw", mass, func(p *trial.Piece) *trial.Opt[quantity.Mass] { return &p.Before }),
	opt("brined", "mass after the brine", mass, func(p *trial.Piece) *trial.Opt[quantity.Mass] { return &p.Brined }),
	opt("after", "mass after the bath", mass, func(p *trial.Piece) *trial.Opt[quantity.Mass] { return &p.After }),
	opt("bag", "which bag, when several shared the bath", idCodec, func(p *trial.Piece) *trial.Opt[string] { return &p.Bag }),
	opt("start", "core temperature before the bath", temperature, func(p *trial.Piece) *trial.Opt[quantity.Temperature] { return &p.Start }),
	opt("out", "when it left the bath, if not with its cook", clock, func(p *trial.Piece) *trial.Opt[trial.Clock] { return &p.Out }),
	opt("served", "when it was served", clock, func(p *trial.Piece) *trial.Opt[trial.Clock] { return &p.Served }),
	opt("served_at", "temperature at the bite", temperature, func(p *trial.Piece) *trial.Opt[quantity.Temperature] { return &p.ServedAt }),
	opt("lost", "why it has no values", shortText, func(p *trial.Piece) *trial.Opt[string] { return &p.Lost }),
}, treatment(func(p *trial.Piece) *trial.Treatment { return &p.Treatment }), []field[trial.Piece]{
	opt("notes", "anything seen", text, func(p *trial.Piece) *trial.Opt[string] { return &p.Notes }),
}), values: func(p *trial.Piece) *trial.Readings { return &p.Values },
	extra:  func(p *trial.Piece) *[]trial.Extra { return &p.Extra },
	finish: func(_ *reader, it *item, p *trial.Piece) { p.At = it.at.pos }}

var cookTable = object[trial.Cook]{noun: "a cook", fields: join([]field[trial.Cook]{
	val("id", "name of the cook", idCodec, func(c *trial.Cook) *string { return &c.ID }),
	mustUnless(noSetPoint, opt("set_point", "temperature that the bath holds", temperature, func(c *trial.Cook) *trial.Opt[quantity.Temperature] { return &c.SetPoint })),
	opt("time", "in the bath", cookTime, func(c *trial.Cook) *trial.Opt[quantity.Duration] { return &c.Time }),
	opt("hold", "instead of time: from the core's arrival", cookTime, func(c *trial.Cook) *trial.Opt[quantity.Duration] { return &c.Hold }),
	opt("bath", "which bath, oven or pan", idCodec, func(c *trial.Cook) *trial.Opt[string] { return &c.Bath }),
	opt("session", "which sitting at the baths", idCodec, func(c *trial.Cook) *trial.Opt[string] { return &c.Session }),
	opt("order", "run order within the session", count(1, 100_000), func(c *trial.Cook) *trial.Opt[int] { return &c.Order }),
	opt("block", "any further natural block", idCodec, func(c *trial.Cook) *trial.Opt[string] { return &c.Block }),
}, treatment(func(c *trial.Cook) *trial.Treatment { return &c.Treatment }), []field[trial.Cook]{
	opt("bag", "{seal: chamber, with: [oil]}", bag, func(c *trial.Cook) *trial.Opt[trial.Bag] { return &c.Bag }),
	opt("vacuum", "the machine's own number", share, func(c *trial.Cook) *trial.Opt[quantity.Share] { return &c.Vacuum }),
	{key: "chilled", doc: "yes or no; more with chill", schema: yesNo.schema,
		read: func(r *reader, it *item, c *trial.Cook) {
			if v, ok := yesNo.read(r, it); ok {
				c.Chill = trial.SomeAt(trial.Chill{Is: v}, it.at.pos)
			}
		},
		write: func(c *trial.Cook) *item {
			if v := c.Chill.V; !c.Chill.Known || v != (trial.Chill{Is: v.Is}) {
				return nil
			}
			return yesNo.write(c.Chill.V.Is)
		}},
	{key: "chill", doc: "{in: ice water, into: 10:52, core: 5 °C, at: 11:40, kept_at: 3 °C, for: 1 d}", schema: chillTable.toSchema,
		read: func(r *reader, it *item, c *trial.Cook) {
			v, ok := chillTable.codec().read(r, it)
			if !ok {
				return
			}
			if c.Chill.Known && !c.Chill.V.Is {
				r.fail(it.at, "contradiction", "chilled: no, and yet a chill is described", "remove one of the two")
			}
			c.Chill = trial.SomeAt(v, it.at.pos)
		},
		write: func(c *trial.Cook) *item {
			if v := c.Chill.V; !c.Chill.Known || v == (trial.Chill{Is: v.Is}) {
				return nil
			}
			return chillTable.toItem(&c.Chill.V)
		}},
	opt("reheat", "{at: 44 °C, for: 20 min}", reheatTable.codec(), func(c *trial.Cook) *trial.Opt[trial.Reheat] { return &c.Reheat }),
	opt("load", "all food in the bath, if not the sum of the pieces", mass, func(c *trial.Cook) *trial.Opt[quantity.Mass] { return &c.Load }),
	opt("ramp", "was one bath raised through several set points", yesNo, func(c *trial.Cook) *trial.Opt[bool] { return &c.Ramp }),
	opt("started", "when it went in: 10:05, or 2026-02-10 22:05", clock, func(c *trial.Cook) *trial.Opt[trial.Clock] { return &c.Started }),
	opt("out", "when it came out", clock, func(c *trial.Cook) *trial.Opt[trial.Clock] { return &c.Out }),
	opt("served", "when it was served", clock, func(c *trial.Cook) *trial.Opt[trial.Clock] { return &c.Served }),
	opt("served_at", "temperature at the bite", temperature, func(c *trial.Cook) *trial.Opt[quantity.Temperature] { return &c.ServedAt }),
	{key: "log", doc: "CSV of a probe: time, core, bath", schema: pathSchema, read: readLog,
		write: func(c *trial.Cook) *item {
			if !c.LogFile.Known {
				return nil
			}
			return textItem(c.LogFile.V)
		}},
	opt("probe", "the probe of the log: {piece: A1, at: centre, reads: 0.1 °C high, checked: 2026-02-09}", probeTable.codec(), func(c *trial.Cook) *trial.Opt[trial.Probe] { return &c.Probe }),
	opt("notes", "anything seen", text, func(c *trial.Cook) *trial.Opt[string] { return &c.Notes }),
	{key: "pieces", doc: "the portions, or {from: pieces.csv}",
		schema: func() js { return listSchema(pieceTable.toSchema()) },
		read: func(r *reader, it *item, c *trial.Cook) {
			c.Pieces = readList(r, it, &pieceTable, c)
		},
		write: func(c *trial.Cook) *item { return writeList(c.Pieces, &pieceTable) }},
}), values: func(c *trial.Cook) *trial.Readings { return &c.Values },
	extra: func(c *trial.Cook) *[]trial.Extra { return &c.Extra },
	together: js{ // what a water bath needs beside this is with the trial, which knows the medium
		"anyOf": []js{has("set_point"), {"required": []string{"with"}, "properties": js{"with": js{"type": "object", "minProperties": 1}}}},
		"not":   has("time", "hold"),
	},
	finish: finishCook}

// bathNeeds is what a cook in a water bath needs, as JSON Schema of the trial.
func bathNeeds() js {
	cook := js{"allOf": []js{has("set_point"), {"anyOf": []js{has("time"), has("hold"), has("started", "out")}}}}
	return js{
		"if":   js{"properties": js{"medium": js{"enum": []any{string(trial.WaterBath), nil}}}},
		"then": js{"properties": js{"cooks": js{"items": cook}}},
	}
}

// join puts fields in a row.
func join[T any](parts ...[]field[T]) []field[T] {
	var out []field[T]
	for _, p := range parts {
		out = append(out, p...)
	}
	return out
}

func pathSchema() js { return js{"type": "string", "pattern": `^[^/\\].*$`} }

// listSchema is a list of objects, or the table that holds them.
func listSchema(one js) js {
	from := js{"type": "object", "properties": js{"from": js{"type": "string", "description": "a CSV file with the same names as columns"}}, "required": []string{"from"}, "additionalProperties": false}
	return js{"anyOf": []js{{"type": "array", "items": one}, from}}
}

func writeList[E any](list []E, o *object[E]) *item {
	if len(list) == 0 {
		return nil
	}
	out := newList()
	for i := range list {
		out.list = append(out.list, o.toItem(&list[i]))
	}
	return out
}

func newList() *item { return &item{kind: list} }
