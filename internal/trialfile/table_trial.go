package trialfile

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// aimTable: the limits are read after the measure, because they may carry its
// unit.
var aimTable = object[trial.Aim]{noun: "an aim", flow: true, fields: []field[trial.Aim]{
	must(first(val("measure", "what is to be hit", idCodec, func(a *trial.Aim) *string { return &a.Measure }))),
	{key: "target", doc: "a range, like 5 to 6.5", schema: rangeOf.schema,
		read: func(r *reader, it *item, a *trial.Aim) {
			if v, ok := r.span(it, r.unitOf(a.Measure)); ok {
				a.Target = trial.SomeAt(v, it.at.pos)
			}
		},
		write: func(a *trial.Aim) *item {
			if !a.Target.Known {
				return nil
			}
			return rangeOf.write(a.Target.V)
		}},
	limitField("at_most", "an upper limit", func(a *trial.Aim) *trial.Opt[float64] { return &a.AtMost }),
	limitField("at_least", "a lower limit", func(a *trial.Aim) *trial.Opt[float64] { return &a.AtLeast }),
	opt("best", "highest or lowest", words(trial.Highest, trial.Lowest), func(a *trial.Aim) *trial.Opt[trial.Best] { return &a.Best }),
	opt("for", "for whom", shortText, func(a *trial.Aim) *trial.Opt[string] { return &a.For }),
}, together: js{"oneOf": []js{has("target"), has("at_most"), has("at_least"), has("best")}}, finish: func(r *reader, it *item, a *trial.Aim) {
	a.At = it.at.pos
	n := 0
	for _, k := range []string{"target", "at_most", "at_least", "best"} {
		if v := it.get(k); v != nil && v.kind != blank {
			n++
		}
	}
	switch {
	case n == 0 && (len(it.meant) > 0 || it.part): // reported already
	case n == 0:
		r.fail(it.at, "bad-aim", "an aim needs a target, at_most, at_least or best", "write one of them, like target: 5 to 6.5")
	case n > 1:
		r.fail(it.at, "bad-aim", fmt.Sprintf("an aim has only one of target, at_most, at_least and best, found %d", n), "write two aims where two must hold, like - {measure: firmness, target: 5 to 6.5}")
	}
}}

func limitField(key, doc string, ptr func(*trial.Aim) *trial.Opt[float64]) field[trial.Aim] {
	return field[trial.Aim]{key: key, doc: doc, schema: numberSchema,
		read: func(r *reader, it *item, a *trial.Aim) {
			if v, ok := r.number(it, r.unitOf(a.Measure)); ok {
				*ptr(a) = trial.SomeAt(v, it.at.pos)
			}
		},
		write: func(a *trial.Aim) *item {
			if !ptr(a).Known {
				return nil
			}
			return numberItem(ptr(a).V)
		}}
}

func numberSchema() js {
	return js{"anyOf": []js{{"type": "number"}, {"type": "string", "pattern": `^[-+−]?[0-9]*[.]?[0-9]+.*$`}}}
}

func (r *reader) unitOf(measure string) string {
	if m, ok := r.measure(measure); ok {
		return m.Unit.Or("")
	}
	return ""
}

// kindField is one of the keys that say what kind of measure it is.
func kindField(key, doc string, kind trial.MeasureKind) field[trial.Measure] {
	return field[trial.Measure]{key: key, doc: doc, schema: rangeOf.schema,
		read: func(r *reader, it *item, m *trial.Measure) {
			if v, ok := r.span(it, ""); ok {
				m.Kind, m.Scale = kind, v
			}
		},
		write: func(m *trial.Measure) *item {
			if m.Kind != kind {
				return nil
			}
			return rangeOf.write(m.Scale)
		}}
}

var measureTable = object[trial.Measure]{noun: "a measure", flow: true, fields: []field[trial.Measure]{
	kindField("scale", "a score between two ends, like 0 to 10", trial.ScaleScore),
	kindField("just_right", "a just-about-right scale, the middle is right, like 1 to 5", trial.JustRight),
	kindField("rank", "ranks, 1 is first, like 1 to 4", trial.Rank),
	{key: "yes_no", doc: "yes: the answer is yes or no", schema: yesNo.schema,
		read: func(r *reader, it *item, m *trial.Measure) {
			if v, ok := yesNo.read(r, it); ok && v {
				m.Kind = trial.YesNo
			} else if ok {
				r.fail(it.at, "bad-measure", "yes_no: no says nothing", "remove it, or write yes_no: yes")
			}
		},
		write: func(m *trial.Measure) *item {
			if m.Kind != trial.YesNo {
				return nil
			}
			return textItem("yes")
		}},
	opt("unit", "unit of an amount, like N or %", shortText, func(m *trial.Measure) *trial.Opt[string] { return &m.Unit }),
	opt("low", "what the low end means", shortText, func(m *trial.Measure) *trial.Opt[string] { return &m.LowWord }),
	opt("high", "what the high end means", shortText, func(m *trial.Measure) *trial.Opt[string] { return &m.HighWord }),
	opt("from", "weights: computed from before and after", words("weights"), func(m *trial.Measure) *trial.Opt[string] { return &m.From }),
	opt("by", "how it was observed, like photo; absent = tasted", shortText, func(m *trial.Measure) *trial.Opt[string] { return &m.By }),
	opt("matters", "the smallest difference worth seeing", decimal(0, true), func(m *trial.Measure) *trial.Opt[float64] { return &m.Matters }),
	opt("same_within", "differences below this count as none", decimal(0, true), func(m *trial.Measure) *trial.Opt[float64] { return &m.SameWithin }),
	opt("spread", "expected standard deviation between runs", decimal(0, true), func(m *trial.Measure) *trial.Opt[float64] { return &m.Spread }),
	opt("role", "salt or liking", words("salt", "liking"), func(m *trial.Measure) *trial.Opt[string] { return &m.Role }),
}, finish: func(r *reader, it *item, m *trial.Measure) {
	var kinds []string
	for _, k := range []string{"scale", "just_right", "rank", "yes_no", "unit"} {
		if v := it.get(k); v != nil && v.kind != blank {
			kinds = append(kinds, k)
		}
	}
	if len(kinds) > 1 {
		r.fail(it.get(kinds[1]).at, "bad-measure", fmt.Sprintf("%s has %s", m.Name, strings.Join(kinds, " and ")), "a measure is one of scale, just_right, rank, yes_no, or an amount with a unit")
	}
	if m.Kind == "" {
		m.Kind = trial.Amount
	}
	if middle := (m.Scale.Low + m.Scale.High) / 2; m.Kind == trial.JustRight && m.Scale.Low == math.Trunc(m.Scale.Low) && m.Scale.High == math.Trunc(m.Scale.High) && middle != math.Trunc(middle) {
		r.warn(it.get("just_right").at, "no-middle", "the middle of this scale, where it is just right, is no whole number", "end it one later, like 1 to 5")
	}
	if m.FromWeights() && m.Unit.Or("%") != "%" {
		r.fail(it.get("unit").at, "bad-measure", "a loss from weights is a percentage", `write unit: "%"`)
	}
	if contains(cookTable.keys(), m.Name) || contains(pieceTable.keys(), m.Name) || contains(scoreTable.keys(), m.Name) {
		r.fail(here(m.At), "reserved-name", quote(m.Name)+" is a key of cooks, pieces or score sheets", "choose another name for the measure")
	}
}}

var bathTable = object[trial.Bath]{noun: "a bath", flow: true, fields: []field[trial.Bath]{
	opt("reads", "the known error of its thermometer, like 0.1 °C high", reads, func(b *trial.Bath) *trial.Opt[quantity.Difference] { return &b.Reads }),
	opt("checked", "day the thermometer was checked", date, func(b *trial.Bath) *trial.Opt[trial.Date] { return &b.Checked }),
	opt("volume", "water in it", volume, func(b *trial.Bath) *trial.Opt[quantity.Volume] { return &b.Volume }),
	opt("power", "of its heater", power, func(b *trial.Bath) *trial.Opt[quantity.Power] { return &b.Power }),
}}

var sessionTable = object[trial.Session]{noun: "a session", flow: true, fields: []field[trial.Session]{
	opt("date", "its day", date, func(s *trial.Session) *trial.Opt[trial.Date] { return &s.Date }),
}}

var compareTable = object[trial.Compare]{noun: "a comparison", flow: true, fields: []field[trial.Compare]{
	opt("against", "the control: a cook, a set point, or a level", idCodec, func(c *trial.Compare) *trial.Opt[string] { return &c.Against }),
	opt("brine", "paired: brined and plain pieces of a cook are compared", words("paired"), func(c *trial.Compare) *trial.Opt[string] { return &c.Brine }),
	opt("method", "the method that the headline is about", shortText, func(c *trial.Compare) *trial.Opt[string] { return &c.Method }),
}}

var photoTable = object[trial.Photo]{noun: "a photo", flow: true, fields: []field[trial.Photo]{
	{key: "file", doc: "the picture beside the file", schema: pathSchema, required: true,
		read: func(r *reader, it *item, p *trial.Photo) { p.File = readPath(r, it).V }, write: func(p *trial.Photo) *item { return textItem(p.File) }},
	opt("of", "the cook or piece it shows", idCodec, func(p *trial.Photo) *trial.Opt[string] { return &p.Of }),
	opt("caption", "text under the picture", shortText, func(p *trial.Photo) *trial.Opt[string] { return &p.Caption }),
	opt("alt", "what it shows, for those who cannot see it", shortText, func(p *trial.Photo) *trial.Opt[string] { return &p.Alt }),
	opt("credit", "who took it", shortText, func(p *trial.Photo) *trial.Opt[string] { return &p.Credit }),
	opt("licence", "who may use it", shortText, func(p *trial.Photo) *trial.Opt[string] { return &p.Licence }),
}, finish: func(r *reader, it *item, p *trial.Photo) {
	p.Pos = it.at.pos
	if f := it.get("file"); f != nil {
		r.photoAt[p.Pos] = f.at.pos
	}
}}

var deviationTable = object[trial.Deviation]{noun: "a deviation", flow: true, fields: []field[trial.Deviation]{
	opt("cook", "which cook", idCodec, func(d *trial.Deviation) *trial.Opt[string] { return &d.Cook }),
	opt("at", "when", clock, func(d *trial.Deviation) *trial.Opt[trial.Clock] { return &d.Clock }),
	must(opt("what", "floated, leaked, power lost, lid off, or other words", shortText, func(d *trial.Deviation) *trial.Opt[string] { return &d.What })),
	opt("minutes", "how long", decimal(0, false), func(d *trial.Deviation) *trial.Opt[float64] { return &d.Minutes }),
}, finish: func(_ *reader, it *item, d *trial.Deviation) { d.At = it.at.pos }}

var decisionTable = object[trial.Decision]{noun: "a decision", flow: true, fields: []field[trial.Decision]{
	opt("set_point", "the set point of the recipe", temperature, func(d *trial.Decision) *trial.Opt[quantity.Temperature] { return &d.SetPoint }),
	opt("time", "in the bath", span, func(d *trial.Decision) *trial.Opt[quantity.Duration] { return &d.Time }),
	opt("tolerance", "how far the bath may be off", tolerance, func(d *trial.Decision) *trial.Opt[quantity.Difference] { return &d.Tolerance }),
	opt("holds_for", "how long it keeps in the bath", span, func(d *trial.Decision) *trial.Opt[quantity.Duration] { return &d.HoldsFor }),
	opt("by", "who decided", shortText, func(d *trial.Decision) *trial.Opt[string] { return &d.By }),
	opt("on", "day of the decision", date, func(d *trial.Decision) *trial.Opt[trial.Date] { return &d.On }),
}}

var acceptTable = object[trial.Accept]{noun: "an accepted finding", flow: true, fields: []field[trial.Accept]{
	must(val("finding", "slug of the finding", idCodec, func(a *trial.Accept) *string { return &a.Finding })),
	must(opt("because", "why it stands, in a sentence", shortText, func(a *trial.Accept) *trial.Opt[string] { return &a.Because })),
	many("where", "only for these cooks, pieces or assessors", idCodec, func(a *trial.Accept) *[]string { return &a.Where }),
	opt("until", "last day it counts", date, func(a *trial.Accept) *trial.Opt[trial.Date] { return &a.Until }),
}, finish: func(r *reader, it *item, a *trial.Accept) {
	a.At = it.at.pos
	if b := it.get("because"); b != nil && a.Because.Known && runes(strings.TrimSpace(a.Because.V)) < 10 {
		r.fail(b.at, "short-reason", "the reason is shorter than 10 characters", "say in a sentence why it stands")
	}
	if f := it.get("finding"); f != nil && a.Finding != "" && !contains(r.vocab.Findings, a.Finding) {
		r.warn(f.at, "unknown-finding", "there is no finding "+quote(a.Finding), r.nearest(a.Finding, newNames(r.vocab.Findings)))
	}
}}

// correlation is a bound on the size of a correlation.
var correlation = func() codec[float64] {
	c := decimal(0, false)
	return codec[float64]{write: c.write,
		read: func(r *reader, it *item) (float64, bool) {
			v, ok := c.read(r, it)
			if ok && v > 1 {
				r.fail(it.at, "out-of-range", formatNumber(v)+" is no correlation", "write a number from 0 to 1")
				return 0, false
			}
			return v, ok
		},
		schema: func() js { return js{"type": "number", "minimum": 0, "maximum": 1} }}
}()

var drawnTable = object[trial.Drawn]{noun: "what was drawn", flow: true, fields: []field[trial.Drawn]{
	opt("order", "was the run order drawn by lot", yesNo, func(d *trial.Drawn) *trial.Opt[bool] { return &d.Order }),
	opt("pieces", "were the pieces drawn by lot", yesNo, func(d *trial.Drawn) *trial.Opt[bool] { return &d.Pieces }),
	opt("seed", "the number the draw started from", seed, func(d *trial.Drawn) *trial.Opt[uint64] { return &d.Seed }),
	opt("order_within", "largest correlation of order and set point that the lot allowed, 0 to 1", correlation, func(d *trial.Drawn) *trial.Opt[float64] { return &d.OrderWithin }),
}}

// analysisUnits are the words for the unit of an analysis done elsewhere.
var analysisUnits = []string{"cook", "piece", "score", "look", "assessor", "session", "source", "block"}

var analysisTable = object[trial.Opt[string]]{noun: "an analysis", flow: true, fields: []field[trial.Opt[string]]{
	must(opt("unit", "cook, piece, score, assessor, session, source or block", words(analysisUnits...), func(a *trial.Opt[string]) *trial.Opt[string] { return a })),
}}

// thresholds is a mapping from options of checks to values, kept as typed.
var thresholds = codec[[]trial.Threshold]{
	read: func(r *reader, it *item) ([]trial.Threshold, bool) {
		if it.kind != mapping {
			r.fail(it.at, "not-a-group", "thresholds is a group of names, found "+it.describe(), "write it like {min-runs: 4}")
			return nil, false
		}
		var out []trial.Threshold
		for _, e := range it.entries {
			name := e.key.text
			if !contains(r.vocab.Thresholds, name) {
				r.fail(e.key.at, "unknown-key", "unknown threshold "+quote(name), r.nearest(name, newNames(r.vocab.Thresholds)))
				continue
			}
			if s, ok := r.one(e.value, "a number, a share or a quantity"); ok {
				if low := strings.ToLower(strings.TrimLeft(s, "+-.")); strings.HasPrefix(low, "nan") || strings.HasPrefix(low, "inf") {
					r.fail(e.value.at, "not-finite", quote(s)+" is not a threshold", "write a number")
					continue
				}
				if k, known := kindOfThreshold(name); known && !k.reads(s) {
					r.fail(e.value.at, "bad-threshold", fmt.Sprintf("%s is not a value of %s", quote(s), name), "write it like "+k.like)
					continue
				}
				out = append(out, trial.Threshold{Name: name, Value: s, At: e.key.at.pos})
			}
		}
		return out, true
	},
	write: func(v []trial.Threshold) *item {
		it := &item{kind: mapping, flow: true}
		for _, t := range v {
			it.add(t.Name, textItem(t.Value), "")
		}
		return it
	},
	schema: func() js {
		return js{"type": "object", "propertyNames": js{"enum": thresholdNames()}, "additionalProperties": anyText()}
	},
}

// version is the first key of every file.
var version = field[trial.Trial]{key: "tamis", doc: "version of the format", required: true, early: true,
	schema: func() js { return js{"enum": []any{1, "1"}} },
	read: func(r *reader, it *item, _ *trial.Trial) {
		s, ok := r.one(it, "the version of the format")
		if !ok || s == "1" {
			return
		}
		if n, err := strconv.Atoi(s); err == nil && n > 1 && n < math.MaxInt32 {
			r.fail(it.at, "version", fmt.Sprintf("version %d of the format is newer than this program", n), "update the program, or write tamis: 1")
			return
		}
		r.fail(it.at, "version", fmt.Sprintf("%s is not a version of the format", quote(s)), "write tamis: 1")
	},
	write: func(*trial.Trial) *item { return textItem("1") },
}

var trialTable = object[trial.Trial]{noun: "a trial", fields: []field[trial.Trial]{
	version,
	must(opt("title", "one line", shortText, func(t *trial.Trial) *trial.Opt[string] { return &t.Title })),
	opt("question", "what this trial is to answer", shortText, func(t *trial.Trial) *trial.Opt[string] { return &t.Question }),
	opt("date", "day of the trial", date, func(t *trial.Trial) *trial.Opt[trial.Date] { return &t.Date }),
	opt("by", "kitchen or people", shortText, func(t *trial.Trial) *trial.Opt[string] { return &t.By }),
	first(opt("status", "idea, planned, cooked, decided or dropped", words(trial.Statuses...), func(t *trial.Trial) *trial.Opt[trial.Status] { return &t.Status })),
	opt("declared", "when question, aim and analysis were fixed; absent = afterwards", date, func(t *trial.Trial) *trial.Opt[trial.Date] { return &t.Declared }),
	opt("disclosure", "who paid, lent or gave something", shortText, func(t *trial.Trial) *trial.Opt[string] { return &t.Disclosure }),
	opt("language", "of the conclusion, like en", idCodec, func(t *trial.Trial) *trial.Opt[string] { return &t.Language }),
	many("aim", "what must hold; the first is the primary one", aimTable.codec(), func(t *trial.Trial) *[]trial.Aim { return &t.Aims }),
	many("serve", "public or vulnerable: whose verdict is asked for; absent = both", words(trial.Eaters...), func(t *trial.Trial) *[]trial.Group { return &t.Serve }),
	opt("rules", "us, eu, uk or other: whose published minimums; absent = the strictest", words(trial.RuleSets...), func(t *trial.Trial) *trial.Opt[trial.Rules] { return &t.Rules }),
	opt("compare", "declared comparisons, like {against: A, brine: paired}", compareTable.codec(), func(t *trial.Trial) *trial.Opt[trial.Compare] { return &t.Compare }),
	first(opt("medium", "water bath, steam, oven, pan, oil, smoke or other; absent = water bath", words(trial.Media...), func(t *trial.Trial) *trial.Opt[trial.Medium] { return &t.Medium })),
	{key: "food", doc: "what is cooked", required: true, schema: foodTable.toSchema,
		read:  func(r *reader, it *item, t *trial.Trial) { foodTable.readInto(r, it, &t.Food) },
		write: func(t *trial.Trial) *item { return foodTable.toItem(&t.Food) }},
	first(named("measures", "what is observed", &measureTable, func(t *trial.Trial) *[]trial.Measure { return &t.Measures },
		func(m *trial.Measure) *string { return &m.Name }, func(m *trial.Measure) *diag.Pos { return &m.At })),
	first(factorList(func(t *trial.Trial) *[]trial.Factor { return &t.Factors })),
	many("parts", "order of the parts along the source", idCodec, func(t *trial.Trial) *[]string { return &t.Parts }),
	named("sources", "facts on what the pieces were cut from; optional", &sourceTable, func(t *trial.Trial) *[]trial.Source { return &t.Sources },
		func(s *trial.Source) *string { return &s.ID }, func(s *trial.Source) *diag.Pos { return &s.At }),
	named("baths", "the baths, ovens or pans", &bathTable, func(t *trial.Trial) *[]trial.Bath { return &t.Baths },
		func(b *trial.Bath) *string { return &b.ID }, func(b *trial.Bath) *diag.Pos { return &b.At }),
	named("sessions", "the sittings at the baths", &sessionTable, func(t *trial.Trial) *[]trial.Session { return &t.Sessions },
		func(s *trial.Session) *string { return &s.ID }, func(s *trial.Session) *diag.Pos { return &s.At }),
	opt("design", "before the cook: what is to be compared; plan turns it into cooks", designTable.codec(), func(t *trial.Trial) *trial.Opt[trial.Design] { return &t.Design }),
	{key: "drawn", doc: "what was drawn by lot, like {order: yes, pieces: yes, seed: 7}", schema: drawnTable.toSchema,
		read: func(r *reader, it *item, t *trial.Trial) {
			if v, ok := drawnTable.codec().read(r, it); ok {
				t.Drawn = trial.SomeAt(v, it.at.pos)
			}
		},
		write: func(t *trial.Trial) *item {
			if !t.Drawn.Known {
				return nil
			}
			return drawnTable.toItem(&t.Drawn.V)
		}},
	{key: "cooks", doc: "the runs, or {from: cooks.csv}", schema: func() js { return listSchema(cookTable.toSchema()) },
		read:  func(r *reader, it *item, t *trial.Trial) { t.Cooks = readList(r, it, &cookTable, nil) },
		write: func(t *trial.Trial) *item { return writeList(t.Cooks, &cookTable) }},
	opt("panel", "who tasted, and how", panelTable.codec(), func(t *trial.Trial) *trial.Opt[trial.Panel] { return &t.Panel }),
	many("difference_tests", "counts of discrimination tests", testTable.codec(), func(t *trial.Trial) *[]trial.DifferenceTest { return &t.Tests }),
	many("photos", "pictures beside the file", photoTable.codec(), func(t *trial.Trial) *[]trial.Photo { return &t.Photos }),
	many("deviations", "what did not go to plan", deviationTable.codec(), func(t *trial.Trial) *[]trial.Deviation { return &t.Deviations }),
	opt("analysis", "unit of an analysis done elsewhere, like {unit: cook}", analysis, func(t *trial.Trial) *trial.Opt[string] { return &t.Analysis }),
	opt("looks", "how often results were looked at before the last cook", count(0, 10_000), func(t *trial.Trial) *trial.Opt[int] { return &t.Looks }),
	{key: "pilot", doc: "file of an earlier trial that suggested the set points", schema: pathSchema,
		read: func(r *reader, it *item, t *trial.Trial) { t.Pilot = readPath(r, it) }, write: func(t *trial.Trial) *item { return writePath(t.Pilot) }},
	opt("left_out_rule", "when a score is left out, fixed beforehand", shortText, func(t *trial.Trial) *trial.Opt[string] { return &t.LeftOutRule }),
	{key: "thresholds", doc: "options of the fairness checks, like {min-runs: 4}", schema: thresholds.schema,
		read: func(r *reader, it *item, t *trial.Trial) { t.Thresholds, _ = thresholds.read(r, it) },
		write: func(t *trial.Trial) *item {
			if len(t.Thresholds) == 0 {
				return nil
			}
			return thresholds.write(t.Thresholds)
		}},
	opt("decision", "what the kitchen settled on", decisionTable.codec(), func(t *trial.Trial) *trial.Opt[trial.Decision] { return &t.Decision }),
	opt("conclusion", "your own words; held against what the data allow", text, func(t *trial.Trial) *trial.Opt[string] { return &t.Conclusion }),
	many("accept", "findings you know about, each with its reason", acceptTable.codec(), func(t *trial.Trial) *[]trial.Accept { return &t.Accept }),
	opt("notes", "Markdown", text, func(t *trial.Trial) *trial.Opt[string] { return &t.Notes }),
}, together: bathNeeds()}

// analysis unwraps the one key of its table.
var analysis = codec[string]{
	read: func(r *reader, it *item) (string, bool) {
		v, ok := analysisTable.codec().read(r, it)
		return v.V, ok && v.Known
	},
	write: func(s string) *item {
		v := trial.Some(s)
		return analysisTable.toItem(&v)
	},
	schema: analysisTable.toSchema,
}
