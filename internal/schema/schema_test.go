package schema

import (
	"bytes"
	"encoding/json"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"tamis/internal/quantity"
)

type kind string

type inner struct {
	Deep *inner `json:"deep,omitempty"`
	N    int    `json:"n"`
}

type embedded struct {
	Also string `json:"also"`
}

type table struct{ rows []inner }

func (t table) MarshalJSON() ([]byte, error) {
	out := map[string]inner{}
	for i, r := range t.rows {
		out[string(rune('a'+i))] = r
	}
	return json.Marshal(out)
}

type result struct {
	Tamis string `json:"tamis"`
	embedded
	Value quantity.Number    `json:"value"`
	None  quantity.Number    `json:"none"`
	List  []inner            `json:"list"`
	Two   [2]float64         `json:"two"`
	Kind  kind               `json:"kind"`
	When  time.Time          `json:"when"`
	Table table              `json:"table"`
	By    map[string]float64 `json:"by"`
	Any   any                `json:"any"`
	Loose struct {
		X uint8 `json:"x"`
	} `json:"loose"`
	Left   *inner   `json:"left,omitempty"`
	Zero   inner    `json:"zero,omitzero"`
	Hidden chan int `json:"-"`
	bare   int
}

func options() Options {
	return Options{Version: "taste/3", Description: "An example.", Closed: true, OneOf: []string{"left", "list"},
		Values: map[reflect.Type][]string{reflect.TypeFor[kind](): {"warm", "cold"}},
		Named:  map[reflect.Type]reflect.Type{reflect.TypeFor[table](): reflect.TypeFor[inner]()}}
}

func compiled(t *testing.T, text []byte) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("x", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("x")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func check(t *testing.T, s *jsonschema.Schema, text string) error {
	t.Helper()
	v, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return s.Validate(v)
}

// What encoding/json writes is valid by the schema, and each way to depart from it
// is not: an independent validator says so.
func TestWhatIsWrittenIsValid(t *testing.T) {
	t.Parallel()
	text, err := Of(reflect.TypeFor[result](), options())
	if err != nil {
		t.Fatal(err)
	}
	s := compiled(t, text)
	r := result{Tamis: "taste/3", Value: quantity.Num(1.5), None: quantity.Absent("nobody tasted"), Kind: "warm", bare: 1,
		Table: table{[]inner{{N: 1}, {N: 2}}}, By: map[string]float64{"x": 1}}
	r.Hidden = nil
	full, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	if err := check(t, s, string(full)); err != nil {
		t.Errorf("%s: %v", full, err)
	}
	for from, to := range map[string]string{
		`"tamis":"taste/3"`: `"tamis":"taste/2"`, `"value":1.5`: `"value":"1.5"`, `"list":null`: `"list":[{"n":"1"}]`, `"two":[0,0]`: `"two":[0]`,
		`"kind":"warm"`: `"kind":"hot"`, `"n":1`: `"n":1.5`, `"by":{"x":1}`: `"by":{"x":"1"}`, `{"absent":"nobody tasted"}`: `{"reason":"nobody tasted"}`,
		`"also":""`: `"also":"","other":1`, `"x":0`: `"y":0`, `"any":null,`: ``,
	} {
		broken := strings.Replace(string(full), from, to, 1)
		if broken == string(full) {
			t.Fatalf("%s is not in %s", from, full)
		}
		if err := check(t, s, broken); err == nil {
			t.Errorf("%s instead of %s passes", to, from)
		}
	}
	if err := check(t, s, strings.Replace(string(full), `"list":null`, `"list":null,"left":{"n":1}`, 1)); err == nil {
		t.Error("two of which one may be there pass")
	}
}

// Two packages may use one name; both stand.
func TestNamesMeet(t *testing.T) {
	t.Parallel()
	type both struct {
		A time.Location `json:"a"`
		B Location      `json:"b"`
	}
	text, err := Of(reflect.TypeFor[both](), Options{Version: "x/1"})
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`"location"`, `"schema-location"`} {
		if !strings.Contains(string(text), want) {
			t.Errorf("no %s in %s", want, text)
		}
	}
}

// Location has a name that another package uses too.
type Location struct {
	Street string `json:"street"`
}

// What has no JSON is an error that names its place.
func TestNoSchema(t *testing.T) {
	t.Parallel()
	type outer struct {
		List []struct {
			C chan int `json:"c"`
		} `json:"list"`
	}
	_, err := Of(reflect.TypeFor[outer](), Options{Version: "x/1"})
	if err == nil || !strings.Contains(err.Error(), "outer.list[].c") {
		t.Errorf("%v", err)
	}
	type keyed struct {
		M map[int]int `json:"m"`
	}
	if _, err := Of(reflect.TypeFor[keyed](), Options{Version: "x/1"}); err == nil {
		t.Error("a map with numbers as keys passes")
	}
}
