package trialfile

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

// js is a piece of JSON Schema.
type js map[string]any

// codec reads, writes and describes one kind of value.
type codec[V any] struct {
	read   func(r *reader, it *item) (V, bool) // false: blank, or reported
	write  func(v V) *item
	schema func() js
}

// field is one key of an object: the row of the table that everything else is
// driven by.
type field[T any] struct {
	key      string
	also     []string // other spellings that are read
	doc      string   // one line for comments and for editors
	required bool
	waived   func(r *reader, dst *T) bool // where set, says when a required key may be absent
	early    bool                         // read before the others
	read     func(r *reader, it *item, dst *T)
	write    func(src *T) *item // nil leaves the key out
	schema   func() js
}

// object is a group of keys.
type object[T any] struct {
	noun   string // "a cook"
	flow   bool   // written on one line
	fields []field[T]
	// values, where set, takes the names of measures as further keys.
	values func(*T) *trial.Readings
	// extra, where set, keeps the cells of columns that are no keys.
	extra func(*T) *[]trial.Extra
	// own, where set, is what can be done with such a column where it is not kept.
	own string
	// together, where set, is what holds of several keys, as JSON Schema.
	together js
	// finish looks at the whole after its keys were read.
	finish func(r *reader, it *item, dst *T)

	indexed sync.Once
	index   map[string]int // of the fields by their spellings
}

func (o *object[T]) keys() []string {
	out := make([]string, len(o.fields))
	for i := range o.fields {
		out[i] = o.fields[i].key
	}
	return out
}

// find is the index of the field with a key, or -1.
func (o *object[T]) find(key string) int {
	o.indexed.Do(func() {
		o.index = make(map[string]int, len(o.fields))
		for i := range o.fields {
			f := &o.fields[i]
			for _, k := range append([]string{f.key}, f.also...) {
				if _, taken := o.index[k]; !taken {
					o.index[k] = i
				}
			}
		}
	})
	if i, ok := o.index[key]; ok {
		return i
	}
	return -1
}

// fieldOf is the index of the field of a key, or -1. The key of a column is met in
// every row and keeps the answer.
func (o *object[T]) fieldOf(key *item) int {
	if key.object == any(o) {
		return int(key.field)
	}
	k := o.find(key.text)
	key.object, key.field = o, int16(k)
	return k
}

// roomForKeys is how many keys of an object are looked at without taking memory.
const roomForKeys = 48

// readInto reads a mapping into dst and reports whether it was one.
func (o *object[T]) readInto(r *reader, it *item, dst *T) bool {
	if it.kind != mapping {
		if !it.bad && (it.kind != blank || len(o.required()) > 0) {
			r.fail(it.at, "not-a-group", fmt.Sprintf("%s is a group of keys, found %s", o.noun, it.describe()), "write it like {"+o.example()+"}")
		}
		return false
	}
	var room [roomForKeys]*entry
	given := room[:min(len(o.fields), len(room))]
	if n := len(o.fields); n > len(room) {
		given = make([]*entry, n)
	}
	for i := range it.entries {
		e := &it.entries[i]
		k := o.fieldOf(e.key)
		switch {
		case k < 0:
			if o.values == nil || !r.value(*e, o.keys, o.values(dst)) {
				if m := o.unknown(r, it, i); m != "" {
					it.meant = append(it.meant, m)
				} else if o.extra != nil && e.key.cell != nil && e.value.kind == scalar {
					kept := o.extra(dst)
					*kept = append(*kept, r.ownCell(*e))
				}
			}
		case given[k] != nil:
			r.fail(e.key.at, "duplicate-key", fmt.Sprintf("%s and %s are the same key", quote(given[k].key.text), quote(e.key.text)), "keep one of them")
		default:
			given[k] = e
		}
	}
	for _, early := range [...]bool{true, false} {
		for i, e := range given {
			f := &o.fields[i]
			if e != nil && f.early == early && e.value.kind != blank {
				before := r.faults
				f.read(r, e.value, dst)
				e.value.bad = e.value.bad || r.faults > before
			}
		}
	}
	if it.probe {
		return false
	}
	for i := range o.fields {
		f := &o.fields[i]
		if !f.required {
			continue
		}
		var v *item
		if given[i] != nil {
			v = given[i].value
		}
		if it.part || contains(it.meant, f.key) || f.waived != nil && f.waived(r, dst) || v != nil && !v.empty() {
			continue
		}
		at, verb := it.at, "add"
		if v != nil {
			at, verb = v.at, "write"
		}
		r.fail(at, "missing-key", fmt.Sprintf("%s needs %s", o.noun, f.key), fmt.Sprintf("%s %s: … (%s)", verb, f.key, f.doc))
	}
	if o.finish != nil {
		o.finish(r, it, dst)
	}
	return true
}

func (o *object[T]) required() []string {
	var out []string
	for _, f := range o.fields {
		if f.required && f.waived == nil {
			out = append(out, f.key)
		}
	}
	return out
}

// example lists the first keys for a hint.
func (o *object[T]) example() string {
	var parts []string
	for _, f := range o.fields[:min(2, len(o.fields))] {
		parts = append(parts, f.key+": …")
	}
	return strings.Join(parts, ", ")
}

// unknown reports the i-th entry of it as a key that nobody knows, and returns
// the key that was probably meant.
func (o *object[T]) unknown(r *reader, it *item, i int) (meant string) {
	if r.full() {
		return "" // nothing more is said, so nothing is looked for
	}
	e := it.entries[i]
	key := e.key.text
	if c := e.key.cell; c != nil { // once for the column, not for each of its cells
		if m, done := c.meant[key]; done {
			return m
		}
		defer func() {
			if c.meant == nil {
				c.meant = map[string]string{}
			}
			c.meant[key] = meant
		}()
	}
	known := o.keys()
	if o.values != nil {
		for _, m := range r.t.Measures {
			known = append(known, m.Name)
		}
	}
	if word, rest, ok := strings.Cut(key, " "); ok && e.value.kind == blank && e.key.cell == nil && o.find(word) >= 0 {
		r.fail(e.key.at, "no-colon", fmt.Sprintf("a key without a colon: %s", quote(key)), fmt.Sprintf("write %s: %s", word, strings.TrimSpace(rest)))
		return word
	}
	hint := ""
	n, near := diag.Nearest(key, known)
	if !near && e.key.cell == nil { // a column of one's own may well be called "served by"
		n, near = diag.Longer(key, known)
	}
	if near {
		hint = "did you mean " + n + "?"
	} else if len(known) <= 24 {
		hint = "known here are " + strings.Join(known, ", ")
	} else {
		hint = fmt.Sprintf("%s has no such key; `tamis schema trial` lists them", o.noun)
	}
	if e.value.kind == blank && i > 0 && key != "" && isDigit(key[0]) && it.entries[i-1].value.kind == scalar && e.key.cell == nil {
		prev := it.entries[i-1]
		defer func() { prev.value.kind, prev.value.bad = blank, true }() // half a number, not worth a second message
		r.fail(e.key.at, "decimal-comma", fmt.Sprintf("a comma inside { } starts a new key, so %s is one", quote(key)),
			fmt.Sprintf("write %s: %s.%s", prev.key.text, prev.value.text, key))
		return ""
	}
	if e.key.cell != nil && !near {
		if o.extra != nil {
			r.say(diag.Note, e.key.at, "own-column", fmt.Sprintf("the column %s is only held against what is compared", quote(key)), "",
				"if it is a result, name it under measures; `tamis schema trial` lists what else has a meaning")
			return ""
		}
		if o.own != "" {
			hint = o.own
		}
		r.warn(e.key.at, "unused-column", fmt.Sprintf("the column %s is not used", quote(key)), hint)
		return ""
	}
	if o.values != nil && !near && e.value.kind == scalar && isNumber(e.value) {
		hint = fmt.Sprintf("declare it under measures, like %s: {scale: 0 to 10}", key)
	}
	r.fail(e.key.at, "unknown-key", fmt.Sprintf("unknown key %s", quote(key)), hint)
	return n
}

// toItem writes src as a mapping; nil when nothing is known.
func (o *object[T]) toItem(src *T) *item {
	it := &item{kind: mapping, flow: o.flow}
	for i := range o.fields {
		if f := &o.fields[i]; f.write != nil {
			it.add(f.key, f.write(src), f.doc)
		}
	}
	return it
}

// toSchema describes the mapping.
func (o *object[T]) toSchema() js {
	props := js{}
	for i := range o.fields {
		f := &o.fields[i]
		s := js{"description": f.doc}
		if f.required && f.waived == nil {
			inner := f.schema()
			if inner[marker] != nil || inner["$ref"] != nil { // nothing may stand beside a reference
				inner = js{"allOf": []js{inner}}
			}
			for k, v := range inner {
				s[k] = v
			}
			if s["pattern"] == nil { // of a text: not an empty one
				s["pattern"] = `\S`
			}
		} else { // a blank value is "not known"
			s["anyOf"] = orNull(f.schema())
		}
		props[f.key] = s
		for _, a := range f.also {
			props[a] = s
		}
	}
	name := strings.TrimPrefix(strings.TrimPrefix(o.noun, "a "), "an ")
	out := js{marker: strings.ReplaceAll(name, " ", "-"), "type": "object", "properties": props, "additionalProperties": false}
	if o.values != nil {
		out["additionalProperties"] = js{marker: "value-of-a-measure", "description": "a measure",
			"anyOf": []js{{"type": []string{"number", "boolean", "null"}}, {"type": "string", "pattern": `^([-+−]?[0-9]*[.]?[0-9]+( .*)?|yes|no|~?)$`}}}
	}
	if req := o.required(); len(req) > 0 {
		out["required"] = req
	}
	for k, v := range o.together {
		out[k] = v
	}
	return out
}

// orNull are the choices of a schema, and null.
func orNull(s js) []js {
	null := js{"type": "null"}
	if choices, ok := s["anyOf"].([]js); ok && len(s) == 1 {
		return append(slices.Clone(choices), null)
	}
	return []js{s, null}
}

// has says in JSON Schema that a group has values for all of some keys.
func has(keys ...string) js {
	props := js{}
	for _, k := range keys {
		props[k] = js{"not": js{"type": "null"}}
	}
	return js{"required": keys, "properties": props}
}

// codec makes the object a value.
func (o *object[T]) codec() codec[T] {
	return codec[T]{
		read: func(r *reader, it *item) (T, bool) {
			var v T
			ok := o.readInto(r, it, &v)
			return v, ok
		},
		write:  func(v T) *item { return o.toItem(&v) },
		schema: o.toSchema,
	}
}
