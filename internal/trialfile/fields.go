package trialfile

import (
	"fmt"
	"slices"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

// The makers of fields: for a value that may be absent, a plain value,
// a list, and a group of named things.

func opt[T, V any](key, doc string, c codec[V], ptr func(*T) *trial.Opt[V]) field[T] {
	return field[T]{key: key, doc: doc, schema: c.schema,
		read: func(r *reader, it *item, dst *T) {
			if v, ok := c.read(r, it); ok {
				*ptr(dst) = trial.SomeAt(v, it.at.pos)
			}
		},
		write: func(src *T) *item {
			if o := ptr(src); o.Known {
				return c.write(o.V)
			}
			return nil
		}}
}

func val[T, V any](key, doc string, c codec[V], ptr func(*T) *V) field[T] {
	return field[T]{key: key, doc: doc, schema: c.schema,
		read: func(r *reader, it *item, dst *T) {
			if v, ok := c.read(r, it); ok {
				*ptr(dst) = v
			}
		},
		write: func(src *T) *item { return c.write(*ptr(src)) }}
}

// mustUnless makes a field required where waived does not hold.
func mustUnless[T any](waived func(r *reader, dst *T) bool, f field[T]) field[T] {
	f.required, f.waived = true, waived
	return f
}

// must makes a field required.
func must[T any](f field[T]) field[T] {
	f.required = true
	return f
}

// first makes a field be read before the others.
func first[T any](f field[T]) field[T] {
	f.early = true
	return f
}

// many is a list; one value alone stands for a list of one.
func many[T, V any](key, doc string, c codec[V], ptr func(*T) *[]V) field[T] {
	return field[T]{key: key, doc: doc,
		schema: func() js { return js{"anyOf": []js{{"type": "array", "items": c.schema()}, c.schema()}} },
		read: func(r *reader, it *item, dst *T) {
			for _, e := range elements(it) {
				if e.bad {
					continue
				}
				if e.kind == blank {
					r.fail(e.at, "blank-entry", "the list has an entry without a value", "remove it, or fill it in")
				} else if v, ok := c.read(r, e); ok {
					*ptr(dst) = append(*ptr(dst), v)
				}
			}
		},
		write: func(src *T) *item {
			if len(*ptr(src)) == 0 {
				return nil
			}
			out := &item{kind: list, flow: true}
			for _, v := range *ptr(src) {
				e := c.write(v)
				if e.kind == mapping {
					out.flow = false
				}
				out.list = append(out.list, e)
			}
			return out
		}}
}

// elements gives the entries of a list; a scalar is a list of one, and a cell
// of a table may hold several, separated by commas, semicolons or bars.
func elements(it *item) []*item {
	if it.kind == list {
		return it.list
	}
	if it.kind == scalar && it.cell != nil {
		var out []*item
		for _, s := range strings.FieldsFunc(it.text, func(c rune) bool { return c == ',' || c == ';' || c == '|' }) {
			if s = strings.TrimSpace(s); s != "" {
				out = append(out, &item{kind: scalar, text: s, at: it.at, cell: it.cell})
			}
		}
		return out
	}
	return []*item{it}
}

// named is a mapping from ids to objects.
func named[T, E any](key, doc string, o *object[E], ptr func(*T) *[]E, id func(*E) *string, at func(*E) *diag.Pos) field[T] {
	return field[T]{key: key, doc: doc,
		schema: func() js {
			return js{"type": "object", "additionalProperties": js{"anyOf": []js{o.toSchema(), {"type": "null"}}}}
		},
		read: func(r *reader, it *item, dst *T) {
			if it.kind != mapping {
				r.fail(it.at, "not-a-group", fmt.Sprintf("%s is a group of names, found %s", key, it.describe()), "write it like "+key+": {name: {"+o.example()+"}}")
				return
			}
			list := ptr(dst)
			*list = slices.Grow(*list, len(it.entries))
			for _, e := range it.entries {
				name, ok := idCodec.read(r, e.key)
				if !ok {
					continue
				}
				n := len(*list)
				*list = (*list)[:n+1]
				v := &(*list)[n]
				*id(v), *at(v) = name, e.key.at.pos
				body := e.value
				if body.kind == blank { // a name alone: everything about it is unknown
					body = &item{kind: mapping, at: e.key.at}
				}
				if !o.readInto(r, body, v) {
					var none E
					*v, *list = none, (*list)[:n]
				}
			}
		},
		write: func(src *T) *item {
			if len(*ptr(src)) == 0 {
				return nil
			}
			out := &item{kind: mapping}
			for i := range *ptr(src) {
				v := &(*ptr(src))[i]
				out.add(*id(v), o.toItem(v), "")
			}
			return out
		}}
}
