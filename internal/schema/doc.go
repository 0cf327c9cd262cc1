// Package schema makes JSON Schema, draft 2020-12, from the types of a result, so
// that it cannot drift from what encoding/json writes of them. Named structs become
// definitions; a field with omitempty or omitzero is not required; a slice may be
// null, as an empty one is written; what marshals itself as text is a string, and a
// quantity.Number is a number or an object with the reason why there is none.
//
// What it does not do: read schemas, check documents, describe types that marshal
// themselves as anything but text (Options.Types says those). Errors: a kind that
// has no JSON, named with its place.
package schema
