package size

import (
	"reflect"

	"tamis/internal/schema"
)

// JSONSchema is the JSON Schema of a Result.
func JSONSchema() ([]byte, error) {
	var from []string
	for _, f := range []From{FromFlags, FromCooks, FromPieces, FromDeclared, FromNowhere, FromNoPieces} {
		from = append(from, string(f))
	}
	return schema.Of(reflect.TypeFor[Result](), schema.Options{
		Version:     Schema,
		Description: "Differences and spreads are in the unit of the measure; a number that does not exist is an object with the reason.",
		Values:      map[reflect.Type][]string{reflect.TypeFor[From](): from},
		Closed:      true,
		OneOf:       []string{"cooks", "answers"},
	})
}
