package answer

import (
	"reflect"

	"tamis/internal/design/schedule"
	"tamis/internal/schema"
	"tamis/internal/texture"
)

// Schema is the JSON Schema of a Result.
func Schema() ([]byte, error) { return schemaOf(reflect.TypeFor[Result](), FitSchema) }

// ScheduleJSONSchema is that of a schedule.
func ScheduleJSONSchema() ([]byte, error) {
	return schemaOf(reflect.TypeFor[schedule.Schedule](), schedule.Schema)
}

// HeatJSONSchema is the same of a Heat.
func HeatJSONSchema() ([]byte, error) { return schemaOf(reflect.TypeFor[Heat](), HeatSchema) }

// schemaOf is the schema of a type whose version is named verb/number.
func schemaOf(t reflect.Type, version string) ([]byte, error) {
	return schema.Of(t, schema.Options{
		Version:     version,
		Description: "Temperatures are in °C unless the key says otherwise; a number that does not exist is an object with the reason.",
		Named:       map[reflect.Type]reflect.Type{reflect.TypeFor[texture.Measures](): reflect.TypeFor[texture.Measure]()},
	})
}
