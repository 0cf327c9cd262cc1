package size

import (
	"encoding/json"
	"reflect"
	"strings"

	"tamis/internal/quantity"
)

// JSONSchema is the JSON Schema of a Result, draft 2020-12, made from the result
// types themselves, so that it cannot drift from what is printed.
func JSONSchema() ([]byte, error) {
	defs := map[string]any{}
	root := schemaOf(reflect.TypeFor[Result](), defs)
	doc := map[string]any{
		"$schema":     "https://json-schema.org/draft/2020-12/schema",
		"$id":         "tamis-" + strings.ReplaceAll(Schema, "/", "-"),
		"title":       "Result of tamis size, " + Schema,
		"description": "Differences and spreads are in the unit of the measure; a number that does not exist is an object with the reason.",
		"$defs":       defs,
		"oneOf": []any{
			map[string]any{"required": []string{"cooks"}},
			map[string]any{"required": []string{"answers"}},
		},
	}
	for k, v := range root {
		doc[k] = v
	}
	return json.MarshalIndent(doc, "", "  ")
}

// schemaOf turns a type into a schema, structs into definitions.
func schemaOf(t reflect.Type, defs map[string]any) map[string]any {
	ref := func(name string) map[string]any { return map[string]any{"$ref": "#/$defs/" + name} }
	if t == reflect.TypeFor[quantity.Number]() {
		defs["number"] = map[string]any{"anyOf": []any{
			map[string]any{"type": "number"},
			map[string]any{"type": "object", "properties": map[string]any{"absent": map[string]any{"type": "string"}}, "required": []string{"absent"}},
		}}
		return ref("number")
	}
	switch t.Kind() {
	case reflect.Pointer:
		return schemaOf(t.Elem(), defs)
	case reflect.Slice:
		return map[string]any{"type": []string{"array", "null"}, "items": schemaOf(t.Elem(), defs)}
	case reflect.String:
		if t == reflect.TypeFor[From]() {
			return map[string]any{"enum": []From{FromFlags, FromCooks, FromPieces, FromDeclared, FromNowhere, FromNoPieces}}
		}
		return map[string]any{"type": "string"}
	case reflect.Bool:
		return map[string]any{"type": "boolean"}
	case reflect.Int, reflect.Uint64:
		return map[string]any{"type": "integer"}
	case reflect.Float64:
		return map[string]any{"type": "number"}
	}
	name := strings.ToLower(t.Name()[:1]) + t.Name()[1:]
	if _, done := defs[name]; done {
		return ref(name)
	}
	defs[name] = nil // stops a type that holds itself
	props, required := map[string]any{}, []string{}
	for i := range t.NumField() {
		f := t.Field(i)
		key, rest, _ := strings.Cut(f.Tag.Get("json"), ",")
		props[key] = schemaOf(f.Type, defs)
		if key == "tamis" {
			props[key] = map[string]any{"const": Schema}
		}
		if !strings.Contains(rest, "omitempty") {
			required = append(required, key)
		}
	}
	defs[name] = map[string]any{"type": "object", "properties": props, "required": required, "additionalProperties": false}
	return ref(name)
}
