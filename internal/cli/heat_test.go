package cli

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"tamis/internal/answer"
	"tamis/internal/quantity"
)

// heatOf runs heat with --json and gives its result.
func heatOf(t *testing.T, args ...string) *answer.Heat {
	t.Helper()
	code, out, errs := run(t.Context(), append([]string{"heat", "--json"}, args...)...)
	if code != ExitDone {
		t.Fatalf("%q: code %d, %s", args, code, errs)
	}
	h := &answer.Heat{}
	if err := json.Unmarshal([]byte(out), h); err != nil {
		t.Fatal(err)
	}
	return h
}

// heatLines are command lines of every kind.
var heatLines = map[string][]string{
	"fish":      {"--food", "lean fish", "--thickness", "25mm", "--start", "4C", "--set-point", "52C"},
	"frozen":    {"--food", "lean fish", "--form", "whole", "--frozen", "-20C for 7d by supplier", "--thickness", "25mm", "--start", "4C", "--set-point", "52C", "--time", "70min", "--reads", "0.1 °C high"},
	"poultry":   {"--food", "poultry", "--form", "whole", "--fat", "2%", "--thickness", "30mm", "--start", "4C", "--set-point", "62C", "--time", "2h 30min"},
	"own":       {"--food", "oily fish", "--form", "whole", "--frozen", "-20C for 7d by supplier", "--thickness", "20mm", "--start", "4C", "--set-point", "58C", "--time", "3h", "--d", "5.13 min at 60C", "--z", "5.68C", "--diffusivity", "1.35e-7"},
	"vegetable": {"--food", "vegetable", "--shape", "cylinder", "--thickness", "20mm", "--start", "20C", "--set-point", "85C", "--time", "30min"},
	"oven":      {"--medium", "oven", "--food", "beef pork lamb", "--form", "whole", "--thickness", "30mm", "--start", "4C", "--set-point", "120C", "--time", "1h"},
	"steam":     {"--medium", "steam", "--food", "vegetable", "--thickness", "30mm", "--start", "4C", "--set-point", "95C"},
	"unstated":  {"--food", "other", "--thickness", "3mm", "--set-point", "60C", "--hold", "10min"},
	"table":     {"--food", "beef pork lamb", "--form", "whole", "--start", "4C", "--table"},
	"fishtable": {"--food", "lean fish", "--form", "whole", "--frozen", "-20C for 7d by supplier", "--start", "4C", "--reads", "0C", "--table"},
}

func heatFiles(t *testing.T) map[string][]string {
	t.Helper()
	out := map[string][]string{}
	for name, args := range heatLines {
		out[name] = args
	}
	for _, f := range trialFiles {
		out[nameOf(f)] = []string{root(t) + "/" + f}
	}
	return out
}

func TestGoldenHeat(t *testing.T) {
	t.Parallel()
	for name, args := range heatFiles(t) {
		code, out, _ := run(t.Context(), append([]string{"heat"}, args...)...)
		if code != ExitDone {
			t.Errorf("%s: code %d", name, code)
		}
		golden(t, "heat-"+name+".txt", out)
		_, us, _ := run(t.Context(), append([]string{"heat", "--units", "us"}, args...)...)
		for sys, text := range map[quantity.System]string{quantity.Metric: out, quantity.US: us} {
			for i, line := range strings.Split(text, "\n") {
				if n := cells(line); n > columns {
					t.Errorf("%s %s, line %d has %d columns: %s", name, sys, i+1, n, line)
				}
				if strings.TrimRight(line, " ") != line {
					t.Errorf("%s %s, line %d ends in a space", name, sys, i+1)
				}
				if bad := notForPeople.FindString(line); bad != "" {
					t.Errorf("%s %s, line %d says %q: %s", name, sys, i+1, bad, line)
				}
				if i > 0 && sys == quantity.US && strings.Contains(line, "°C") {
					t.Errorf("%s: °C among °F: %s", name, line) // a title is the author's
				}
				if bad := slips.FindString(line); bad != "" && strings.TrimLeft(line, " ") == line {
					t.Errorf("%s %s, line %d: %q in %s", name, sys, i+1, bad, line)
				}
			}
			if strings.Contains(text, "\n\n\n") {
				t.Errorf("%s %s has two blank lines in a row", name, sys)
			}
		}
	}
}

func TestHeatFollowsItsSchema(t *testing.T) {
	t.Parallel()
	code, schema, errs := run(t.Context(), "schema", "heat")
	if code != ExitDone || errs != "" {
		t.Fatalf("schema heat: code %d, %s", code, errs)
	}
	s := compile(t, []byte(schema))
	for name, args := range heatFiles(t) {
		_, out, _ := run(t.Context(), append([]string{"heat", "--json"}, args...)...)
		doc, err := jsonschema.UnmarshalJSON(strings.NewReader(out))
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if err := s.Validate(doc); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		var again bytes.Buffer
		h := &answer.Heat{}
		if err := json.Unmarshal([]byte(out), h); err != nil {
			t.Fatal(err)
		}
		enc := json.NewEncoder(&again)
		enc.SetEscapeHTML(false)
		enc.SetIndent("", "  ")
		if err := enc.Encode(h); err != nil || again.String() != out {
			t.Errorf("%s: the JSON is not what it was once it was read (%v)", name, err)
		}
	}
	for _, edit := range [][2]string{{`"tamis": "heat/1",`, ``}, {`"verdict": "`, `"verdict_": "`}, {`"set_point": 52`, `"set_point": "warm"`}} {
		_, out, _ := run(t.Context(), append([]string{"heat", "--json"}, heatLines["fish"]...)...)
		bad := strings.Replace(out, edit[0], edit[1], 1)
		doc, err := jsonschema.UnmarshalJSON(strings.NewReader(bad))
		if err != nil || bad == out {
			t.Fatalf("%q: %v", edit, err)
		}
		if s.Validate(doc) == nil {
			t.Errorf("the schema takes %s", edit[1])
		}
	}
}

// Every cell of a table says what the single call says for its time.
func TestTableAgreesWithTheSingleCall(t *testing.T) {
	t.Parallel()
	for _, food := range [][]string{
		{"--food", "lean fish", "--form", "whole", "--frozen", "-20C for 7d by supplier", "--start", "4C"},
		{"--food", "poultry", "--form", "whole", "--fat", "2%", "--start", "2C", "--reads", "0.1 °C high"},
		{"--food", "beef pork lamb", "--form", "minced", "--start", "4C"},
		{"--food", "vegetable", "--start", "20C", "--shape", "cylinder"},
		{"--food", "oily fish", "--start", "4C", "--coefficient", "60", "--d", "5.13 min at 60C"},
	} {
		table := heatOf(t, append(food, "--table", "--thicknesses", "12mm,25mm,55mm", "--set-points", "48C,56C,63C,75C")...).Table
		if len(table.Cells) != 12 {
			t.Fatalf("%d cells", len(table.Cells))
		}
		for _, c := range table.Cells {
			m, ok := c.Minutes.Get()
			if !ok {
				t.Errorf("%q: no time in %+v", food, c)
				continue
			}
			one := append(append([]string{}, food...), "--thickness", strconv.FormatFloat(c.Thickness, 'f', -1, 64)+"mm", "--set-point", strconv.FormatFloat(c.SetPoint, 'f', -1, 64)+"C")
			single := heatOf(t, append(one, "--time", strconv.FormatFloat(m, 'f', -1, 64)+"min")...).Cooks[0]
			if single.Safety.Verdict != c.Verdict || single.Vulnerable != c.Vulnerable || single.ComeUp != c.ComeUp {
				t.Errorf("%q: the cell says %v %s %v, the single call %v %s %v", one, c.ComeUp, c.Verdict, c.Vulnerable, single.ComeUp, single.Safety.Verdict, single.Vulnerable)
			}
			if from, ok := single.PasteurisedFrom.Get(); ok && (from != m || !strings.HasPrefix(c.Word, answer.WordPasteurised)) {
				t.Errorf("%q: pasteurised from %v min, and the cell says %v min, %s", one, from, m, c.Word)
			}
			// Without a time it is asked for when the core is surely there.
			if open := heatOf(t, one...).Cooks[0]; open.Minutes.Or(0) < open.ComeUp.High.Or(math.Inf(1)) || !open.Assumed {
				t.Errorf("%q: %v min, and the core is there after %v", one, open.Minutes, open.ComeUp)
			}
		}
	}
}

// ranks orders verdicts, worst first.
var ranks = map[string]int{answer.VerdictDoNotEat: 0, answer.VerdictNone: 1, answer.VerdictNotPasteurised: 2, answer.VerdictPasteurised: 3}

// Down a column pieces get thicker: no time gets shorter and no verdict better;
// and no cell is named that a hotter bath would not allow.
func TestTableIsNeverOptimistic(t *testing.T) {
	t.Parallel()
	for _, food := range []string{"lean fish", "oily fish", "beef pork lamb", "poultry", "shell egg", "game"} {
		table := heatOf(t, "--food", food, "--form", "whole", "--fat", "2%", "--frozen", "-20C for 7d by supplier", "--start", "4C", "--table",
			"--thicknesses", "6mm,12mm,25mm,38mm,50mm,70mm,90mm", "--set-points", "46C,50C,54C,58C,62C,66C,72C,80C").Table
		n := len(table.SetPoints)
		for i, c := range table.Cells {
			if strings.Contains(c.Word, "pasteurised") && c.SetPoint < 55 {
				t.Errorf("%s: %g mm at %g °C is %s, where pathogens grow", food, c.Thickness, c.SetPoint, c.Word)
			}
			if i < n {
				continue
			}
			above := table.Cells[i-n]
			if c.ComeUp.Low.Or(0) < above.ComeUp.Low.Or(0) || c.ComeUp.Mid.Or(0) < above.ComeUp.Mid.Or(0) || c.ComeUp.High.Or(0) < above.ComeUp.High.Or(0) {
				t.Errorf("%s at %g °C: %g mm comes up in %v, %g mm in %v", food, c.SetPoint, c.Thickness, c.ComeUp, above.Thickness, above.ComeUp)
			}
			if ranks[c.Verdict] > ranks[above.Verdict] {
				t.Errorf("%s at %g °C: %g mm is %s, %g mm is %s", food, c.SetPoint, c.Thickness, c.Verdict, above.Thickness, above.Verdict)
			}
			if c.Word == above.Word && c.Minutes.Or(0) < above.Minutes.Or(0) {
				t.Errorf("%s at %g °C: %g mm needs %v min, %g mm %v", food, c.SetPoint, c.Thickness, c.Minutes, above.Thickness, above.Minutes)
			}
		}
	}
}

// Of a file and from flags the same cook is the same.
func TestFlagsGoTheWayOfAFile(t *testing.T) {
	t.Parallel()
	dir := workspace(t)
	const file = `tamis: 1
title: one cook
food: {name: cod, kind: lean fish, form: whole, thickness: 25 mm, start: 4 °C, frozen: {at: -20 °C, for: 7 d, by: supplier}}
measures: {firmness: {scale: 0 to 10}}
cooks:
  - {id: A, set_point: 60 °C, time: 100 min, firmness: 5}
`
	path := dir + "/one.yaml"
	if err := writeFile(path, []byte(file)); err != nil {
		t.Fatal(err)
	}
	a := heatOf(t, path).Cooks[0]
	b := heatOf(t, "--food", "lean fish", "--form", "whole", "--thickness", "25mm", "--start", "4C", "--frozen", "-20C for 7d by supplier", "--set-point", "60C", "--time", "100min").Cooks[0]
	a.Cook, b.Cook = "", ""
	x, err := json.Marshal(a)
	if err != nil {
		t.Fatal(err)
	}
	y, err := json.Marshal(b)
	if err != nil {
		t.Fatal(err)
	}
	if string(x) != string(y) {
		t.Errorf("the file gives\n%s\nthe flags\n%s", x, y)
	}
}

// Numbers of the sentences over the verdict are numbers of the result, rounded to
// the safe side.
func TestHeatSaysItsNumbers(t *testing.T) {
	t.Parallel()
	for name, args := range heatFiles(t) {
		for _, c := range heatOf(t, args...).Cooks {
			have := []float64{c.Minutes.Or(-1), c.PasteurisedFrom.Or(-1), c.Recovery.Or(-1)}
			hold := c.Hold.Mid.Or(0)
			for _, r := range []answer.HeatRange{c.ComeUp, c.Hold} {
				have = append(have, r.Low.Or(-1), r.Mid.Or(-1), r.High.Or(-1), r.Low.Or(-1)+hold, r.High.Or(-1)+hold)
			}
			for _, s := range c.Text {
				for _, p := range s {
					q := p.Quantity
					if q == nil || q.Kind != answer.Duration {
						continue
					}
					best := math.Inf(1)
					for _, v := range have {
						best = math.Min(best, math.Abs(v-q.Value))
					}
					if best >= 5 {
						t.Errorf("%s %s: %v min is no number of the result: %s", name, c.Cook, q.Value, s.Text(quantity.Metric))
					}
				}
			}
			if c.ComeUp.Mid.Known() {
				low, high := answer.SpanOf(c.ComeUp)
				if low > c.ComeUp.Low.Or(0) || high < c.ComeUp.High.Or(0) {
					t.Errorf("%s %s: %v is told as %v to %v", name, c.Cook, c.ComeUp, low, high)
				}
			}
		}
	}
}

func TestHeatCSV(t *testing.T) {
	t.Parallel()
	for name, args := range heatFiles(t) {
		code, out, _ := run(t.Context(), append([]string{"heat", "--csv"}, args...)...)
		rows, err := csv.NewReader(strings.NewReader(out)).ReadAll()
		if code != ExitDone || err != nil || len(rows) < 2 {
			t.Errorf("%s: code %d, %v, %d rows", name, code, err, len(rows))
		}
		if bad := notForPeople.FindString(out); bad != "" {
			t.Errorf("%s: the CSV holds %q", name, bad)
		}
	}
}
