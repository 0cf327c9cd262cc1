package cli

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// kitchenDesign draws a design of carrots: set points, brines, sessions, baths and
// tasters; triangles in half of those that compare two methods, some without any
// scores beside them.
func kitchenDesign(r *rand.Rand) (text string, scores, triangles bool) {
	points := []string{"83 °C", "86 °C", "88 °C", "91 °C"}[:2+r.IntN(3)]
	each, people := 1+r.IntN(3), 2+r.IntN(4)
	sessions := 1 + r.IntN(each)
	brine, pieces := "", 1+r.IntN(2)
	if len(points) > 2 && r.IntN(2) == 0 {
		brine, pieces = "  brine: [none, {dry salt: 1 %, of: flesh, for: 20 min, at: 3 °C}]\n", 2
	}
	triangles = len(points) == 2 && r.IntN(3) > 0
	scores = !triangles || r.IntN(2) == 0
	var b strings.Builder
	b.WriteString("tamis: 1\ntitle: Carrot  # drawn by lot\nfood: {name: carrot sticks, kind: vegetable, form: whole, shape: slab, thickness: 15 mm, start: 4 °C}\npanel: {bite: 8 g}  # stays\n")
	if scores {
		b.WriteString("measures:\n  firmness: {scale: 0 to 10, low: soft, high: raw}\n  liking: {scale: 1 to 9}\n  clean: {yes_no: yes}\naim: {measure: firmness, target: 4 to 6}\n")
	}
	fmt.Fprintf(&b, "design:\n  set_points: [%s]\n  times: [45 min]\n%s  cooks_each: %d\n  sessions: %d\n  baths: [left, right, third][:]\n", strings.Join(points, ", "), brine, each, sessions)
	text = strings.Replace(b.String(), "[left, right, third][:]", []string{"[left]", "[left, right]", "[left, right, third]"}[r.IntN(3)], 1)
	b.Reset()
	fmt.Fprintf(&b, "  pieces_per_cook: %d\n  assessors: [%s]\n", pieces, strings.Join([]string{"anna", "ben", "cleo", "dora", "emil"}[:people], ", "))
	if triangles {
		fmt.Fprintf(&b, "  triangles: %d\n", 1+r.IntN(3))
	}
	b.WriteString("  sources:\n")
	for i := range len(points) * each {
		fmt.Fprintf(&b, "    field-%d: [{part: top, before: %d g}, {part: end, before: %d g}]\n", i+1, 300+r.IntN(40), 300+r.IntN(40))
	}
	return text + b.String(), scores, triangles
}

// keyOf reads the key of a plan: the cook of each code, and its set point.
func keyOf(t *testing.T, file string) (piece map[string]string, point map[string]float64) {
	t.Helper()
	b, err := os.ReadFile(strings.TrimSuffix(file, ".yaml") + "-key.csv")
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(string(b))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	piece, point = map[string]string{}, map[string]float64{}
	for _, row := range rows[1:] {
		piece[row[0]] = row[1]
	}
	// The trial file is read as text, so that nothing of the reader is trusted.
	b, err = os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	at := 0.0
	for _, line := range strings.Split(string(b), "\n") {
		if s, ok := strings.CutPrefix(strings.TrimSpace(line), "set_point: "); ok {
			if at, err = strconv.ParseFloat(strings.TrimSuffix(s, " °C"), 64); err != nil {
				t.Fatal(err)
			}
		}
		if s, ok := strings.CutPrefix(strings.TrimSpace(line), "- {id: "); ok {
			id, _, _ := strings.Cut(s, ",")
			point[strings.TrimSuffix(id, "}")] = at
		}
	}
	return piece, point
}

// fitted is what the test looks at of the JSON of fit.
type fitted struct {
	Measures map[string]struct {
		Observations int
		Arms         []struct {
			SetPoint float64 `json:"set_point"`
			Method   string
			Obs      int     `json:"observations"`
			RawMean  float64 `json:"raw_mean"`
		}
	}
	Tests []struct{ Answers, Correct int } `json:"difference_tests"`
}

// A design that is drawn goes all the way: laid out, its templates filled by a
// panel that is drawn too, brought in, brought in once more without a byte
// changing, and analysed. The means and the counts are those of the panel.
func TestRoundTripOfDrawnDesigns(t *testing.T) {
	t.Parallel()
	n := 40
	if testing.Short() {
		n = 12
	}
	kinds := map[[2]bool]int{}
	for seed := range n {
		r := rand.New(rand.NewPCG(uint64(seed), 29))
		text, withScores, withTriangles := kitchenDesign(r)
		dir := t.TempDir()
		file := filepath.Join(dir, "trial.yaml")
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if code, _, errs := run(t.Context(), "plan", "--seed", strconv.Itoa(seed+1), file); code != ExitDone {
			if !strings.Contains(errs, "no session has both methods") && !strings.Contains(errs, "do not fit") {
				t.Errorf("seed %d: %s\n%s", seed, errs, text)
			}
			continue
		}
		kinds[[2]bool{withScores, withTriangles}]++
		piece, point := keyOf(t, file)
		planned, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		sum, count := map[float64]float64{}, map[float64]int{}
		total := 0
		if withScores {
			total = fillScores(t, r, file, piece, point, sum, count)
		}
		right, answers := 0, 0
		if withTriangles {
			right, answers = fillTriangles(t, r, file, piece, point)
		}
		if after, err := os.ReadFile(file); err != nil || string(after) != string(planned) {
			t.Errorf("seed %d: the trial file changed", seed)
		}
		var res fitted
		if err := json.Unmarshal([]byte(must(t, "fit", "--json", "--draws", "100", file)), &res); err != nil {
			t.Fatal(err)
		}
		if withTriangles && (len(res.Tests) != 1 || res.Tests[0].Answers != answers || res.Tests[0].Correct != right) {
			t.Errorf("seed %d: %d of %d triangles were right; fit has %+v", seed, right, answers, res.Tests)
		}
		if !withScores {
			continue
		}
		m := res.Measures["firmness"]
		if m.Observations != total {
			t.Fatalf("seed %d: %d scores, fit has %+v", seed, total, m)
		}
		found := 0
		for _, a := range m.Arms {
			if a.Method != "" {
				continue
			}
			c := a.SetPoint
			found++
			if want := sum[c] / float64(count[c]); math.Abs(a.RawMean-want) > 1e-9 || a.Obs != count[c] {
				t.Errorf("seed %d: firmness at %v °C is %v of %d scores, and %v of %d in fit", seed, c, want, count[c], a.RawMean, a.Obs)
			}
		}
		if found != len(sum) {
			t.Errorf("seed %d: %d set points of %d", seed, found, len(sum))
		}
	}
	if kinds[[2]bool{true, false}] == 0 || kinds[[2]bool{false, true}] == 0 || kinds[[2]bool{true, true}] == 0 {
		t.Errorf("not every kind was drawn: %v", kinds)
	}
}

// bringIn writes a filled sheet as a spreadsheet does or with commas, brings it in
// twice and looks that the second time changes nothing.
func bringIn(t *testing.T, r *rand.Rand, file, name string, rows [][]string) {
	t.Helper()
	sheet := filepath.Join(filepath.Dir(file), name)
	if r.IntN(2) == 0 {
		spreadsheet(t, sheet, rows)
	} else {
		var b strings.Builder
		if err := csv.NewWriter(&b).WriteAll(rows); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(sheet, []byte(b.String()), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if out := must(t, "scores", "--yes", sheet, file); strings.Contains(out, "Still without") {
		t.Errorf("all was typed in, and something is missing:\n%s", out)
	}
	before := folderBytes(t, filepath.Dir(file))
	if out := must(t, "scores", "--yes", sheet, file); !strings.Contains(out, "Nothing to write: the trial has all of it") {
		t.Errorf("the second time:\n%s", out)
	}
	if folderBytes(t, filepath.Dir(file)) != before {
		t.Error("the second time changed a byte")
	}
}

func folderBytes(t *testing.T, dir string) string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	for _, e := range entries {
		if b, err := os.ReadFile(filepath.Join(dir, e.Name())); err == nil {
			out.WriteString(e.Name() + "\x00" + string(b) + "\x00")
		}
	}
	return out.String()
}

// fillScores has everybody score everything, and adds the firmness up by set point.
func fillScores(t *testing.T, r *rand.Rand, file string, piece map[string]string, point map[string]float64, sum map[float64]float64, count map[float64]int) (total int) {
	t.Helper()
	typed := filepath.Join(filepath.Dir(file), "to-type.csv")
	must(t, "scores", "--template", "--out", typed, file)
	rows := typedIn(t, typed)
	code, firmness, liking, clean := slices.Index(rows[0], "code"), slices.Index(rows[0], "firmness"), slices.Index(rows[0], "liking"), slices.Index(rows[0], "clean")
	for _, row := range rows[1:] {
		at := point[piece[row[code]]]
		v := math.Round(2*math.Max(0, math.Min(10, (93-at)*0.8+r.NormFloat64()))) / 2
		row[firmness] = strconv.FormatFloat(v, 'f', -1, 64)
		row[liking] = strconv.Itoa(1 + r.IntN(9))
		row[clean] = []string{"yes", "no"}[r.IntN(2)]
		sum[at] += v
		count[at]++
		total++
	}
	bringIn(t, r, file, "filled.csv", rows)
	return total
}

// fillTriangles has everybody name one of three portions, the odd one more often
// than by guessing, and counts the right answers by the key.
func fillTriangles(t *testing.T, r *rand.Rand, file string, piece map[string]string, point map[string]float64) (right, answers int) {
	t.Helper()
	typed := filepath.Join(filepath.Dir(file), "triangles-to-type.csv")
	must(t, "scores", "--template", "--triangles", "--out", typed, file)
	rows := typedIn(t, typed)
	first, odd := slices.Index(rows[0], "first"), slices.Index(rows[0], "odd")
	for _, row := range rows[1:] {
		codes := row[first : first+3]
		of := func(i int) float64 { return point[piece[codes[i]]] }
		at := 0
		for i := range codes {
			if of(i) != of((i+1)%3) && of(i) != of((i+2)%3) {
				at = i
			}
		}
		said := r.IntN(3)
		if r.IntN(2) == 0 {
			said = at
		}
		row[odd] = codes[said]
		answers++
		if said == at {
			right++
		}
	}
	bringIn(t, r, file, "triangles-filled.csv", rows)
	return right, answers
}
