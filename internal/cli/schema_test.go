package cli

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"tamis/internal/answer"
	"tamis/internal/trialfile"
)

func compile(t *testing.T, text []byte) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func resultJSON(t *testing.T, file string) []byte {
	t.Helper()
	_, r := analyse(t, file)
	b, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestResultsFollowTheirSchema(t *testing.T) {
	t.Parallel()
	text, err := answer.Schema()
	if err != nil {
		t.Fatal(err)
	}
	s := compile(t, text)
	for _, file := range trialFiles {
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(resultJSON(t, file)))
		if err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		if err := s.Validate(doc); err != nil {
			t.Errorf("%s: %v", file, err)
		}
	}
}

// So does a schedule, with and without its conflicts.
func TestSchedulesFollowTheirSchema(t *testing.T) {
	t.Parallel()
	text, err := answer.ScheduleJSONSchema()
	if err != nil {
		t.Fatal(err)
	}
	s := compile(t, text)
	file := filepath.Join(root(t), "trials", "pollack", "pollack.yaml")
	for _, flags := range [][]string{nil, {"--flights", "1"}} {
		_, out, _ := run(t.Context(), append([]string{"plan", "--schedule", "--json", "--serve-at", "19:30", file}, flags...)...)
		doc, err := jsonschema.UnmarshalJSON(strings.NewReader(out))
		if err != nil {
			t.Fatalf("%v: %v", flags, err)
		}
		if err := s.Validate(doc); err != nil {
			t.Errorf("%v: %v", flags, err)
		}
	}
	if doc, err := jsonschema.UnmarshalJSON(strings.NewReader(`{"tamis": 1}`)); err != nil || s.Validate(doc) == nil {
		t.Error("the schema takes anything")
	}
}

// A schema that takes anything would pass the test above.
func TestResultSchemaRefuses(t *testing.T) {
	t.Parallel()
	text, err := answer.Schema()
	if err != nil {
		t.Fatal(err)
	}
	s := compile(t, text)
	good := string(resultJSON(t, "trials/trout/trout.yaml"))
	for _, edit := range [][2]string{
		{`"seed":1`, `"seed":"one"`},
		{`"tamis":"fit/1",`, ``},
		{`"measures":{"firmness":{`, `"measures":{"firmness":7,"x":{`},
		{`"verdict":`, `"verdict_":`},
	} {
		bad := strings.Replace(good, edit[0], edit[1], 1)
		if bad == good {
			t.Fatalf("the result has no %s", edit[0])
		}
		doc, err := jsonschema.UnmarshalJSON(strings.NewReader(bad))
		if err != nil {
			t.Fatal(err)
		}
		if s.Validate(doc) == nil {
			t.Errorf("the schema takes %s", edit[1])
		}
	}
}

func TestTrialSchemaIsPrinted(t *testing.T) {
	t.Parallel()
	code, out, errs := run(t.Context(), "schema", "trial")
	if code != ExitDone || errs != "" {
		t.Fatalf("code %d, %s", code, errs)
	}
	want, err := trialfile.Schema()
	if err != nil {
		t.Fatal(err)
	}
	if strings.TrimSpace(out) != strings.TrimSpace(string(want)) {
		t.Error("schema trial prints something else than the schema")
	}
	compile(t, []byte(out))
}

// The JSON of a plan follows its schema, has every cook and piece, and does not
// give the key away.
func TestPlanFollowsItsSchema(t *testing.T) {
	t.Parallel()
	text, err := answer.PlanJSONSchema()
	if err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(t.TempDir(), "day.yaml")
	code, printed, errs := run(t.Context(), "plan", "--json", "--seed", "1", "--out", out, filepath.Join("..", "..", "trials", "pollack", "next.yaml"))
	if code != ExitDone {
		t.Fatalf("code %d: %s", code, errs)
	}
	doc, err := jsonschema.UnmarshalJSON(strings.NewReader(printed))
	if err != nil {
		t.Fatal(err)
	}
	if err := compile(t, text).Validate(doc); err != nil {
		t.Error(err)
	}
	var p answer.Plan
	if err := json.Unmarshal([]byte(printed), &p); err != nil {
		t.Fatal(err)
	}
	pieces := 0
	for _, c := range p.Cooks {
		pieces += len(c.Pieces)
	}
	if len(p.Cooks) != 10 || pieces != 40 || len(p.Sittings) != 24 || len(p.Arms) != 5 || len(p.Wrote) != 3 || p.Seed != 1 {
		t.Errorf("%d cooks, %d pieces, %d sittings, %d set points, wrote %v, seed %d", len(p.Cooks), pieces, len(p.Sittings), len(p.Arms), p.Wrote, p.Seed)
	}
}

// So does that of a plan with triangles, which names codes and no pieces.
func TestPlanOfTrianglesFollowsItsSchema(t *testing.T) {
	t.Parallel()
	text, err := answer.PlanJSONSchema()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	file := filepath.Join(dir, "tri.yaml")
	if err := os.WriteFile(file, []byte(triangleDesign), 0o600); err != nil {
		t.Fatal(err)
	}
	printed := must(t, "plan", "--json", "--seed", "1", file)
	doc, err := jsonschema.UnmarshalJSON(strings.NewReader(printed))
	if err != nil {
		t.Fatal(err)
	}
	if err := compile(t, text).Validate(doc); err != nil {
		t.Error(err)
	}
	var p answer.Plan
	if err := json.Unmarshal([]byte(printed), &p); err != nil || p.Triangles == nil {
		t.Fatalf("%v: %s", err, printed)
	}
	read, _, err := trialfile.Read(file, vocabulary())
	if err != nil || len(read.Panel.V.Triangles) != 8 || p.Triangles.Sets != 8 || p.Triangles.PerPerson != 2 || len(p.Triangles.Served) != 8 || p.Triangles.OrderHigh-p.Triangles.OrderLow > 1 {
		t.Fatalf("%v: %+v", err, p.Triangles)
	}
	for i, x := range read.Panel.V.Triangles {
		y := p.Triangles.Served[i]
		if y.Assessor != x.Assessor || y.Session != x.Session.V || y.Set != x.Set || !slices.Equal(y.Codes, x.Codes[:]) {
			t.Errorf("%+v is %+v in the file", y, x)
		}
	}
	if served, err := json.Marshal(p.Triangles); err != nil || strings.Contains(string(served), "C0") || !strings.Contains(printed, "C01-1") {
		t.Errorf("the sets name pieces (%v)", err)
	}
}

// triangleDesign is a design with two triangles for each of four tasters.
const triangleDesign = `tamis: 1
title: Carrot, two set points
food: {name: carrot sticks, kind: vegetable, form: whole, shape: slab, thickness: 15 mm, start: 4 °C}
panel: {bite: 10 g}
design:
  set_points: [83 °C, 88 °C]
  times: [45 min]
  cooks_each: 2
  sessions: 1
  baths: [left, right]
  triangles: 2
  assessors: [anna, ben, cleo, dora]
  sources: {s1: [{part: a, before: 500 g}, {part: b, before: 500 g}], s2: [{part: a, before: 500 g}, {part: b, before: 500 g}]}
  pieces_per_cook: 1
`
