package trialfile

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"tamis/internal/quantity"
)

func compiled(t *testing.T) *jsonschema.Schema {
	t.Helper()
	b, err := Schema()
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("trial.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("trial.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// parsed is the text as a YAML reader gives it to a validator.
func parsed(t *testing.T, text string) (any, bool) {
	t.Helper()
	r := newReader(Vocabulary{})
	it := r.parseYAML("t.yaml", text)
	if it == nil || r.msgs.HasErrors() {
		return nil, false
	}
	return generic(it), true
}

func TestSchemaAcceptsWhatIsRead(t *testing.T) {
	t.Parallel()
	s := compiled(t)
	files, err := filepath.Glob("../../trials/*/*.yaml")
	if err != nil {
		t.Fatal(err)
	}
	more, err := filepath.Glob("../../testdata/*/*.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range append(append(files, more...), "testdata/full/pollack.yaml", "testdata/full/pilot.yaml") {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		if v, ok := parsed(t, string(b)); !ok {
			t.Errorf("%s cannot be parsed", f)
		} else if err := s.Validate(v); err != nil {
			t.Errorf("%s: %v", f, err)
		}
	}
}

// Faults of structure are found by an editor too; those that need the rest of
// the file are not.
func TestSchemaRefusesStructuralFaults(t *testing.T) {
	t.Parallel()
	s := compiled(t)
	structural := map[string]bool{
		"unknown-key": true, "missing-key": true, "not-a-group": true, "not-a-list": true, "not-a-value": true, "no-unit": true, "unknown-unit": true,
		"decimal-comma": true, "unknown-word": true, "yes-or-no": true, "version": true,
	}
	only := map[string]string{ // for Read to see, and why
		"a threshold of another kind": "quantities of thresholds are kept as typed",
		"a cook without a time":       "whether it needs one depends on the medium",
		"a cook without a set point":  "whether it needs one depends on the medium",
		"a time nearly right":         "an unknown key with a number and a unit may be a measure",
		"a list instead of a trial":   "it is not parsed",
	}
	seen := map[string]bool{}
	for _, tt := range malformed {
		slug := strings.Fields(tt.slugs)[0]
		if !structural[slug] || len(tt.files) > 1 || only[tt.name] != "" {
			continue
		}
		v, ok := parsed(t, strings.ReplaceAll(tt.files[0], "«", ""))
		if !ok {
			t.Errorf("%s cannot be parsed", tt.name)
			continue
		}
		seen[slug] = true
		if err := s.Validate(v); err == nil {
			t.Errorf("%s: the schema lets it pass", tt.name)
		}
	}
	for slug := range structural {
		if !seen[slug] {
			t.Errorf("no malformed file tests %s against the schema", slug)
		}
	}
}

// What parses matches the pattern that editors are given.
func TestPatterns(t *testing.T) {
	t.Parallel()
	s := compiled(t)
	for _, q := range []string{"54 °C", "54C", "54℃", "-20 °C", "−20 °C", "130 °F", "130 deg F", "327.15 K", "54.5 ºC", "1e1 °C"} {
		if _, err := quantity.ParseTemperature(q); err != nil {
			t.Errorf("%s: %v", q, err)
		}
		v, ok := parsed(t, "tamis: 1\ntitle: T\nfood: {name: x, start: "+q+"}\n")
		if !ok {
			t.Fatal(q)
		}
		if err := s.Validate(v); err != nil {
			t.Errorf("%s: %v", q, err)
		}
	}
	for _, q := range []string{"54", "54 mm", "warm", "54,5 °C", "54 °C 3 °C x"} {
		v, ok := parsed(t, "tamis: 1\ntitle: T\nfood:\n  name: x\n  start: "+q+"\n")
		if !ok {
			t.Fatal(q)
		}
		if err := s.Validate(v); err == nil {
			t.Errorf("%s passes the schema", q)
		}
	}
}
