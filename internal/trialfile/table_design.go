package trialfile

import (
	"fmt"
	"strconv"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// factorList is a mapping from factors to their levels.
func factorList[T any](ptr func(*T) *[]trial.Factor) field[T] {
	return field[T]{key: "factors", doc: "anything else that is varied on purpose, like recipe: [A, B]",
		schema: func() js {
			return js{"type": "object", "additionalProperties": js{"type": "array", "items": anyText()}}
		},
		read: func(r *reader, it *item, dst *T) {
			if it.kind != mapping {
				r.fail(it.at, "not-a-group", "factors is a group of names, found "+it.describe(), "write it like factors: {recipe: [A, B]}")
				return
			}
			for _, e := range it.entries {
				name, ok := idCodec.read(r, e.key)
				if !ok {
					continue
				}
				f := trial.Factor{Name: name, At: e.key.at.pos}
				before := r.faults
				seen := map[string]bool{}
				if e.value.kind != list || len(e.value.list) == 0 {
					r.fail(e.value.at, "not-a-list", "a factor has a list of levels, found "+e.value.describe(), "write "+name+": [A, B]")
					r.refused[name] = true
					continue
				}
				for _, l := range e.value.list {
					s, ok := idCodec.read(r, l)
					if ok && seen[s] {
						r.fail(l.at, "duplicate-id", "the level "+quote(s)+" stands twice", "keep one of them")
					} else if ok {
						f.Levels = append(f.Levels, s)
						seen[s] = true
					}
				}
				if contains(reserved, name) {
					r.fail(e.key.at, "reserved-name", quote(name)+" is a key of every cook", "choose another name for the factor")
					r.refused[name] = true
					continue
				}
				r.refused[name] = r.faults > before
				*ptr(dst) = append(*ptr(dst), f)
			}
		},
		write: func(src *T) *item {
			if len(*ptr(src)) == 0 {
				return nil
			}
			out := &item{kind: mapping}
			for _, f := range *ptr(src) {
				l := newList()
				l.flow = true
				for _, s := range f.Levels {
					l.list = append(l.list, textItem(s))
				}
				out.add(f.Name, l, "")
			}
			return out
		}}
}

// reserved are the names that the analysis gives to factors of its own.
var reserved = []string{trial.SetPointFactor, trial.TimeFactor, trial.HoldFactor, trial.BrineFactor, trial.FinishFactor}

var fixedTable = object[trial.Fixed]{noun: "a fixed place", flow: true, fields: []field[trial.Fixed]{
	opt("source", "what the piece is cut from", idCodec, func(f *trial.Fixed) *trial.Opt[string] { return &f.Source }),
	opt("part", "where on the source", idCodec, func(f *trial.Fixed) *trial.Opt[string] { return &f.Part }),
	opt("cook", "the cook it goes into", idCodec, func(f *trial.Fixed) *trial.Opt[string] { return &f.Cook }),
	opt("set_point", "the set point it gets", temperature, func(f *trial.Fixed) *trial.Opt[quantity.Temperature] { return &f.SetPoint }),
	opt("session", "the session", idCodec, func(f *trial.Fixed) *trial.Opt[string] { return &f.Session }),
	opt("bath", "the bath", idCodec, func(f *trial.Fixed) *trial.Opt[string] { return &f.Bath }),
}, finish: func(_ *reader, it *item, f *trial.Fixed) { f.At = it.at.pos }}

// designPieceTable is a piece with its size; the part alone will do.
var designPieceTable = object[trial.DesignPiece]{noun: "a piece there is", flow: true, fields: []field[trial.DesignPiece]{
	must(val("part", "where on the source", idCodec, func(p *trial.DesignPiece) *string { return &p.Part })),
	opt("thickness", "of this piece", length, func(p *trial.DesignPiece) *trial.Opt[quantity.Length] { return &p.Thickness }),
	opt("before", "its mass before everything", mass, func(p *trial.DesignPiece) *trial.Opt[quantity.Mass] { return &p.Before }),
}}

var designTable = object[trial.Design]{noun: "a design", fields: []field[trial.Design]{
	must(many("set_points", "temperatures to compare", temperature, func(d *trial.Design) *[]quantity.Temperature { return &d.SetPoints })),
	many("times", "in the bath", cookTime, func(d *trial.Design) *[]quantity.Duration { return &d.Times }),
	many("hold", "instead of times: from the core's arrival", cookTime, func(d *trial.Design) *[]quantity.Duration { return &d.Holds }),
	many("brine", "brines, varied piece by piece within a cook", brine, func(d *trial.Design) *[]trial.Brine { return &d.Brine }),
	many("finish", "finishes, varied piece by piece", finishing, func(d *trial.Design) *[]trial.Finish { return &d.Finish }),
	factorList(func(d *trial.Design) *[]trial.Factor { return &d.Factors }),
	opt("bag", "that of every cook: {seal: chamber, with: [oil]}", bag, func(d *trial.Design) *trial.Opt[trial.Bag] { return &d.Bag }),
	opt("cooks_each", "runs per combination", count(1, 1000), func(d *trial.Design) *trial.Opt[int] { return &d.CooksEach }),
	opt("sessions", "how many sittings at the baths", count(1, 1000), func(d *trial.Design) *trial.Opt[int] { return &d.Sessions }),
	many("baths", "baths to use", idCodec, func(d *trial.Design) *[]string { return &d.Baths }),
	{key: "sources", doc: "the pieces there are, like fish-1: [head, middle, tail]",
		schema: func() js {
			entry := js{"anyOf": []js{anyText(), designPieceTable.toSchema()}}
			return js{"type": "object", "additionalProperties": js{"anyOf": []js{{"type": "array", "items": entry}, {"type": "null"}}}}
		},
		read: readDesignSources, write: writeDesignSources},
	opt("pieces_per_cook", "pieces in one cook", count(1, 1000), func(d *trial.Design) *trial.Opt[int] { return &d.PiecesPerCook }),
	many("assessors", "who tastes", idCodec, func(d *trial.Design) *[]string { return &d.Assessors }),
	opt("samples_per_sitting", "most samples one person gets in a row", count(1, 1000), func(d *trial.Design) *trial.Opt[int] { return &d.SamplesPerSitting }),
	opt("triangles", "sets of three for each assessor: which of them is the odd one", count(1, 100), func(d *trial.Design) *trial.Opt[int] { return &d.Triangles }),
	many("fixed", "what cannot be changed", fixedTable.codec(), func(d *trial.Design) *[]trial.Fixed { return &d.Fixed }),
	opt("serve_at", "when everything is on the plate", clock, func(d *trial.Design) *trial.Opt[trial.Clock] { return &d.ServeAt }),
}, finish: func(r *reader, it *item, d *trial.Design) {
	d.At = it.at.pos
	if h := it.get("hold"); h != nil && len(d.Times) > 0 && len(d.Holds) > 0 {
		r.fail(h.at, "contradiction", "a design has times or hold, not both", "remove one of the two")
	}
	for _, s := range d.SetPoints {
		r.holdable(it.get("set_points").at, s)
	}
	r.once(it.get("assessors"), "assessor")
	r.once(it.get("baths"), "bath")
	r.notCounted(it.get("assessors"), "assessors", "P1", "P2")
	r.notCounted(it.get("baths"), "baths", "north", "south")
}}

// notCounted refuses a count where names are listed: "baths: 2" would be one bath
// called 2.
func (r *reader) notCounted(it *item, what, one, other string) {
	if it == nil || it.kind != scalar {
		return
	}
	if n, err := strconv.Atoi(strings.TrimSpace(it.text)); err == nil {
		r.fail(it.at, "names-counted", fmt.Sprintf("%s are named, not counted: this is one with the name %d", what, n),
			fmt.Sprintf("write %s: [%s, %s], with a name for each; if %d is a name, write [%d]", what, one, other, n, n))
	}
}

// once reports a name that a list has twice.
func (r *reader) once(it *item, what string) {
	if it == nil {
		return
	}
	first := map[string]diag.Pos{}
	for _, e := range elements(it) {
		name := strings.TrimSpace(e.text)
		if p, twice := first[name]; twice && e.kind == scalar {
			r.say(diag.Error, e.at, "duplicate-id", "the "+what+" "+quote(name)+" stands twice", "", "keep one of them", note(p, "first here"))
		} else if !twice {
			first[name] = e.at.pos
		}
	}
}

func readDesignSources(r *reader, it *item, d *trial.Design) {
	if it.kind != mapping {
		r.fail(it.at, "not-a-group", "sources is a group of names, found "+it.describe(), "write it like sources: {fish-1: [head, middle, tail]}")
		return
	}
	for _, e := range it.entries {
		s := trial.DesignSource{At: e.key.at.pos}
		var ok bool
		if s.ID, ok = idCodec.read(r, e.key); !ok {
			continue
		}
		if e.value.kind != blank {
			for _, p := range elements(e.value) {
				if p.kind == mapping {
					if piece, ok := designPieceTable.codec().read(r, p); ok {
						s.Pieces = append(s.Pieces, piece)
					}
				} else if part, ok := idCodec.read(r, p); ok {
					s.Pieces = append(s.Pieces, trial.DesignPiece{Part: part})
				}
			}
		}
		d.Sources = append(d.Sources, s)
	}
}

func writeDesignSources(d *trial.Design) *item {
	if len(d.Sources) == 0 {
		return nil
	}
	out := &item{kind: mapping}
	for _, s := range d.Sources {
		l := newList()
		l.flow = true
		for i := range s.Pieces {
			p := &s.Pieces[i]
			if p.Thickness.Known || p.Before.Known {
				l.list, l.flow = append(l.list, designPieceTable.toItem(p)), false
			} else {
				l.list = append(l.list, textItem(p.Part))
			}
		}
		if len(s.Pieces) == 0 {
			l = &item{}
		}
		out.add(s.ID, l, "")
	}
	return out
}
