package schema

import (
	"encoding"
	"encoding/json"
	"fmt"
	"path"
	"reflect"
	"strings"

	"tamis/internal/quantity"
)

// Options are what a schema says beyond its types.
type Options struct {
	// Version is "verb/number"; it names the schema, and is what the key "tamis" of
	// the outermost object must hold.
	Version     string
	Description string
	// Values are the allowed values of a type of strings.
	Values map[reflect.Type][]string
	// Named are types that are written as an object whose keys are names and whose
	// values are of another type.
	Named map[reflect.Type]reflect.Type
	// Closed allows no key but those of the types.
	Closed bool
	// OneOf are keys of the outermost object of which exactly one is there.
	OneOf []string
}

// Of is the schema of values of the type t, which is a struct.
func Of(t reflect.Type, o Options) ([]byte, error) {
	g := generator{o: o, root: t, defs: map[string]any{}, types: map[string]reflect.Type{}}
	root, err := g.of(t, t.Name())
	if err != nil {
		return nil, err
	}
	verb, _, _ := strings.Cut(o.Version, "/")
	doc := map[string]any{
		"$schema":     "https://json-schema.org/draft/2020-12/schema",
		"$id":         "tamis-" + strings.ReplaceAll(o.Version, "/", "-"),
		"title":       "Result of tamis " + verb + ", " + o.Version,
		"description": o.Description,
		"$defs":       g.defs,
	}
	if len(o.OneOf) > 0 {
		var one []any
		for _, key := range o.OneOf {
			one = append(one, map[string]any{"required": []string{key}})
		}
		doc["oneOf"] = one
	}
	for k, v := range root {
		doc[k] = v
	}
	return json.MarshalIndent(doc, "", "  ")
}

// generator turns types into schemas, named types into $defs.
type generator struct {
	o     Options
	root  reflect.Type
	defs  map[string]any
	types map[string]reflect.Type
}

var (
	numberType = reflect.TypeFor[quantity.Number]()
	textType   = reflect.TypeFor[encoding.TextMarshaler]()
)

// of is the schema of a type; at is where it stands, for errors.
func (g *generator) of(t reflect.Type, at string) (map[string]any, error) {
	if t == numberType {
		g.defs["number"] = map[string]any{"anyOf": []any{
			map[string]any{"type": "number"},
			map[string]any{"type": "object", "properties": map[string]any{"absent": map[string]any{"type": "string"}}, "required": []string{"absent"}},
		}}
		return ref("number"), nil
	}
	if values, ok := g.o.Values[t]; ok {
		return map[string]any{"enum": values}, nil
	}
	if value, ok := g.o.Named[t]; ok {
		return g.object(value, at)
	}
	if t.Implements(textType) {
		return map[string]any{"type": "string"}, nil
	}
	switch t.Kind() {
	case reflect.Pointer:
		return g.of(t.Elem(), at)
	case reflect.Interface:
		return map[string]any{}, nil
	case reflect.Array, reflect.Slice:
		items, err := g.of(t.Elem(), at+"[]")
		if err != nil {
			return nil, err
		}
		if t.Kind() == reflect.Array {
			return map[string]any{"type": "array", "items": items, "minItems": t.Len(), "maxItems": t.Len()}, nil
		}
		return map[string]any{"type": []string{"array", "null"}, "items": items}, nil
	case reflect.Map:
		if t.Key().Kind() == reflect.String {
			return g.object(t.Elem(), at)
		}
	case reflect.String:
		return map[string]any{"type": "string"}, nil
	case reflect.Bool:
		return map[string]any{"type": "boolean"}, nil
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64, reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		return map[string]any{"type": "integer"}, nil
	case reflect.Float32, reflect.Float64:
		return map[string]any{"type": "number"}, nil
	case reflect.Struct:
		return g.structure(t, at)
	}
	return nil, fmt.Errorf("%s: a %s has no JSON Schema", at, t.Kind())
}

// object is an object whose values are all of one type.
func (g *generator) object(value reflect.Type, at string) (map[string]any, error) {
	v, err := g.of(value, at+"{}")
	return map[string]any{"type": "object", "additionalProperties": v}, err
}

func (g *generator) structure(t reflect.Type, at string) (map[string]any, error) {
	if t.Name() == "" {
		return g.fields(t, at)
	}
	name := strings.ToLower(t.Name()[:1]) + t.Name()[1:]
	if other, taken := g.types[name]; taken && other != t { // two packages use the name
		name = path.Base(t.PkgPath()) + "-" + name
	}
	g.types[name] = t
	if _, done := g.defs[name]; done {
		return ref(name), nil
	}
	g.defs[name] = nil // stops a type that holds itself
	def, err := g.fields(t, at)
	g.defs[name] = def
	return ref(name), err
}

func (g *generator) fields(t reflect.Type, at string) (map[string]any, error) {
	props, required := map[string]any{}, []string{}
	err := g.collect(t, at, props, &required)
	out := map[string]any{"type": "object", "properties": props, "required": required}
	if g.o.Closed {
		out["additionalProperties"] = false
	}
	return out, err
}

// collect adds the fields of a struct, and those of what it embeds.
func (g *generator) collect(t reflect.Type, at string, props map[string]any, required *[]string) error {
	for i := range t.NumField() {
		f := t.Field(i)
		tag := f.Tag.Get("json")
		if f.Anonymous && tag == "" && f.Type.Kind() == reflect.Struct {
			if err := g.collect(f.Type, at, props, required); err != nil {
				return err
			}
			continue
		}
		name, rest, _ := strings.Cut(tag, ",")
		if name == "" || name == "-" {
			continue
		}
		p, err := g.of(f.Type, at+"."+name)
		if err != nil {
			return err
		}
		if t == g.root && name == "tamis" {
			p = map[string]any{"const": g.o.Version}
		}
		props[name] = p
		if !strings.Contains(rest, "omitempty") && !strings.Contains(rest, "omitzero") {
			*required = append(*required, name)
		}
	}
	return nil
}

func ref(name string) map[string]any { return map[string]any{"$ref": "#/$defs/" + name} }
