package answer

import (
	"encoding"
	"encoding/json"
	"path"
	"reflect"
	"strings"

	"tamis/internal/design/schedule"
	"tamis/internal/quantity"
	"tamis/internal/texture"
)

// Schema is the JSON Schema of a Result, draft 2020-12, made from the result
// types themselves, so that it cannot drift from what is printed.
func Schema() ([]byte, error) { return schemaOf(reflect.TypeFor[Result](), FitSchema) }

// ScheduleJSONSchema is that of a schedule.
func ScheduleJSONSchema() ([]byte, error) {
	return schemaOf(reflect.TypeFor[schedule.Schedule](), schedule.Schema)
}

// HeatJSONSchema is the same of a Heat.
func HeatJSONSchema() ([]byte, error) { return schemaOf(reflect.TypeFor[Heat](), HeatSchema) }

// schemaOf is the schema of a type whose version is named verb/number.
func schemaOf(t reflect.Type, version string) ([]byte, error) {
	g := generator{defs: map[string]any{}, types: map[string]reflect.Type{}}
	root := g.of(t)
	verb, _, _ := strings.Cut(version, "/")
	doc := map[string]any{
		"$schema":     "https://json-schema.org/draft/2020-12/schema",
		"$id":         "tamis-" + strings.ReplaceAll(version, "/", "-"),
		"title":       "Result of tamis " + verb + ", " + version,
		"description": "Temperatures are in °C unless the key says otherwise; a number that does not exist is an object with the reason.",
		"$defs":       g.defs,
	}
	for k, v := range root {
		doc[k] = v
	}
	return json.MarshalIndent(doc, "", "  ")
}

// generator turns types into schemas, named types into $defs.
type generator struct {
	defs  map[string]any
	types map[string]reflect.Type
}

func (g *generator) of(t reflect.Type) map[string]any {
	switch t {
	case reflect.TypeFor[quantity.Number]():
		g.defs["number"] = map[string]any{"anyOf": []any{
			map[string]any{"type": "number"},
			map[string]any{"type": "object", "properties": map[string]any{"absent": map[string]any{"type": "string"}}, "required": []string{"absent"}},
		}}
		return ref("number")
	case reflect.TypeFor[texture.Measures]():
		return map[string]any{"type": "object", "additionalProperties": g.of(reflect.TypeFor[texture.Measure]())}
	}
	if t.Implements(reflect.TypeFor[encoding.TextMarshaler]()) {
		return map[string]any{"type": "string"}
	}
	switch t.Kind() {
	case reflect.Array:
		return map[string]any{"type": "array", "items": g.of(t.Elem()), "minItems": t.Len(), "maxItems": t.Len()}
	case reflect.Pointer:
		return g.of(t.Elem())
	case reflect.Slice:
		return map[string]any{"type": []string{"array", "null"}, "items": g.of(t.Elem())}
	case reflect.String:
		return map[string]any{"type": "string"}
	case reflect.Bool:
		return map[string]any{"type": "boolean"}
	case reflect.Int, reflect.Int64, reflect.Uint64, reflect.Uint8:
		return map[string]any{"type": "integer"}
	case reflect.Float64:
		return map[string]any{"type": "number"}
	case reflect.Struct:
		return g.object(t)
	}
	return map[string]any{}
}

func (g *generator) object(t reflect.Type) map[string]any {
	name := strings.ToLower(t.Name()[:1]) + t.Name()[1:]
	if other, taken := g.types[name]; taken && other != t { // two packages use the name
		name = path.Base(t.PkgPath()) + "-" + name
	}
	g.types[name] = t
	if _, done := g.defs[name]; done {
		return ref(name)
	}
	g.defs[name] = nil // stops a type that holds itself
	props := map[string]any{}
	required := []string{}
	g.fields(t, props, &required)
	g.defs[name] = map[string]any{"type": "object", "properties": props, "required": required}
	return ref(name)
}

func (g *generator) fields(t reflect.Type, props map[string]any, required *[]string) {
	for i := 0; i < t.NumField(); i++ {
		f := t.Field(i)
		tag := f.Tag.Get("json")
		if f.Anonymous && tag == "" {
			g.fields(f.Type, props, required)
			continue
		}
		name, rest, _ := strings.Cut(tag, ",")
		if name == "" || name == "-" {
			continue
		}
		props[name] = g.of(f.Type)
		if !strings.Contains(rest, "omitempty") && !strings.Contains(rest, "omitzero") {
			*required = append(*required, name)
		}
	}
}

func ref(name string) map[string]any { return map[string]any{"$ref": "#/$defs/" + name} }
