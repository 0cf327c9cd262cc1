package trialfile

import (
	"encoding/json"
	"fmt"
	"reflect"

	"tamis/internal/quantity"
)

// Schema is the JSON Schema of the trial file, made from the table of fields
// that reading uses. It is draft 7, which editors of YAML know best. It holds
// the structure: names, words, quantities, what a cook needs. What depends on
// other places of the file (references, scales, weights) only Read can see.
func Schema() ([]byte, error) {
	defs := js{}
	for k := quantity.KindTemperature; k <= quantity.KindPower; k++ {
		defs[definition(k)] = js{"type": "string", "description": k.Noun() + " with its unit", "pattern": k.Pattern(), "examples": k.Examples()}
	}
	s := trialTable.toSchema()
	delete(s, marker)
	h := hoister{defs: defs}
	s = h.hoist(s).(js)
	if h.clash != "" {
		return nil, fmt.Errorf("two groups of the schema are called %q", h.clash)
	}
	s["$schema"] = "http://json-schema.org/draft-07/schema#"
	s["definitions"] = defs
	s["title"] = "tamis trial file, version 1"
	b, err := json.MarshalIndent(s, "", " ")
	return append(b, '\n'), err
}

// marker is a key of a piece of the schema, with the name of the definition that
// it becomes.
const marker = "$definition"

// hoister moves marked pieces to the definitions and leaves references, so that
// each stands once.
type hoister struct {
	defs  js
	clash string // a name that two different pieces have
}

func (h *hoister) hoist(v any) any {
	switch v := v.(type) {
	case js:
		out := js{}
		for k, x := range v {
			if k != marker {
				out[k] = h.hoist(x)
			}
		}
		name, marked := v[marker].(string)
		if !marked {
			return out
		}
		if have, ok := h.defs[name]; ok && !reflect.DeepEqual(have, out) {
			h.clash = name
		}
		h.defs[name] = out
		return js{"$ref": "#/definitions/" + name}
	case []js:
		out := make([]any, len(v))
		for i, x := range v {
			out[i] = h.hoist(x)
		}
		return out
	}
	return v
}
