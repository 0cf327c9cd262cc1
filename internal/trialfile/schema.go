package trialfile

import (
	"encoding/json"

	"tamis/internal/quantity"
)

// Schema is the JSON Schema of the trial file, made from the table of fields
// that reading uses. It is draft 7, which editors of YAML know best. It holds
// the structure: names, words, quantities. What depends on other places of the
// file (references, scales, weights) only Read can see.
func Schema() ([]byte, error) {
	s := trialTable.toSchema()
	s["$schema"] = "http://json-schema.org/draft-07/schema#"
	defs := js{}
	for k := quantity.KindTemperature; k <= quantity.KindPower; k++ {
		defs[definition(k)] = js{"type": "string", "description": k.Noun() + " with its unit", "pattern": k.Pattern(), "examples": k.Examples()}
	}
	s["definitions"] = defs
	s["title"] = "tamis trial file, version 1"
	b, err := json.MarshalIndent(s, "", "  ")
	return append(b, '\n'), err
}
