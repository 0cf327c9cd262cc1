package trialfile

import "encoding/json"

// Schema is the JSON Schema of the trial file, made from the table of fields
// that reading uses. It is draft 7, which editors of YAML know best. It holds
// the structure: names, words, quantities. What depends on other places of the
// file (references, scales, weights) only Read can see.
func Schema() ([]byte, error) {
	s := trialTable.toSchema()
	s["$schema"] = "http://json-schema.org/draft-07/schema#"
	s["title"] = "tamis trial file, version 1"
	b, err := json.MarshalIndent(s, "", "  ")
	return append(b, '\n'), err
}
