package trialfile

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"tamis/internal/diag"
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
	it := r.parseYAML(diag.FileNamed("t.yaml"), text)
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
		"decimal-comma": true, "unknown-word": true, "yes-or-no": true, "version": true, "bad-aim": true,
	}
	only := map[string]string{ // for Read to see, and why
		"a threshold of another kind": "quantities of thresholds are kept as typed",
		"a time nearly right":         "an unknown key with a number and a unit may be a measure",
		"a list instead of a trial":   "it is not parsed",
	}
	also := map[string]bool{"time and hold": true} // structure, under a slug that is none
	seen := map[string]bool{}
	for _, tt := range malformed {
		slug := strings.Fields(tt.slugs)[0]
		if !structural[slug] && !also[tt.name] || len(tt.files) > 1 || only[tt.name] != "" {
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

// What a cook needs depends on the medium. The schema and Read agree on it.
func TestSchemaOfWhatACookNeeds(t *testing.T) {
	t.Parallel()
	s := compiled(t)
	media := []string{"", "medium: water bath\n", "medium: ~\n", "medium: oven\n", "medium: smoke\n"}
	points := []string{"", "set_point: 50 °C, ", "set_point: ~, ", "with: {recipe: A}, ", "with: {}, ", "with: ~, ", "with: {recipe: A}, set_point: 50 °C, "}
	times := []string{"", "time: 1 h, ", "time: ~, ", "hold: 20 min, ", "started: 10:05, ", "out: 11:05, ", "started: 10:05, out: 11:05, ", "started: 10:05, out: ~, "}
	sound := 0
	for _, m := range media {
		for _, p := range points {
			for _, w := range times {
				body := head + m + "factors: {recipe: [A, B]}\ncooks:\n  - {id: A, " + p + w + "firm: 4}\n"
				tr, msgs, err := Read(filepath.Join(write(t, File{"t.yaml", []byte(body)}), "t.yaml"), Vocabulary{})
				if err != nil {
					t.Fatal(err)
				}
				v, ok := parsed(t, body)
				if !ok {
					t.Fatal(body)
				}
				if err := s.Validate(v); (err == nil) != (tr != nil) {
					t.Errorf("%s%s%s: read %v, schema %v: %v", m, p, w, tr != nil, err == nil, msgs)
				}
				if tr != nil {
					sound++
				}
			}
		}
	}
	if sound < 20 || sound > len(media)*len(points)*len(times)-20 {
		t.Errorf("%d sound files: too few of one sort to tell", sound)
	}
}

// An editor loads the schema for every file that it opens.
func TestSchemaIsSmall(t *testing.T) {
	t.Parallel()
	b, err := Schema()
	if err != nil {
		t.Fatal(err)
	}
	if len(b) > 80<<10 {
		t.Errorf("%d bytes", len(b))
	}
	if bytes.Contains(b, []byte(marker)) {
		t.Error("the mark of a definition is left over")
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
