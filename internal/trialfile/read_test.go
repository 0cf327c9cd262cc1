package trialfile

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"tamis/internal/diag"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// same compares trials apart from places and provenance.
var same = cmp.Options{
	cmp.FilterPath(func(p cmp.Path) bool {
		return p.Last().Type() == reflect.TypeFor[diag.Pos]()
	}, cmp.Ignore()),
	cmpopts.IgnoreTypes(trial.Origin{}),
	cmpopts.EquateComparable(quantity.Temperature{}, quantity.Difference{}, quantity.Length{}, quantity.Mass{}, quantity.Duration{}, quantity.Share{}, quantity.Volume{}, quantity.Power{}),
	cmpopts.EquateEmpty(),
}

// write puts files into a new folder and returns it.
func write(t testing.TB, files ...File) string {
	t.Helper()
	dir := t.TempDir()
	for _, f := range files {
		p := filepath.Join(dir, f.Name)
		if err := os.MkdirAll(filepath.Dir(p), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(p, f.Data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func mustRead(t testing.TB, path string) *trial.Trial {
	t.Helper()
	tr, msgs, err := Read(path, Vocabulary{})
	if err != nil {
		t.Fatal(err)
	}
	if tr == nil {
		var b bytes.Buffer
		if err := diag.Print(&b, msgs, diag.Options{}); err != nil {
			t.Fatal(err)
		}
		t.Fatalf("%s was not read:\n%s", path, &b)
	}
	return tr
}

func TestEverything(t *testing.T) {
	t.Parallel()
	tr := mustRead(t, "testdata/full/pollack.yaml")
	a, b := &tr.Cooks[0], &tr.Cooks[1]
	checks := []struct {
		what      string
		got, want any
	}{
		{"title", tr.Title.V, "Pollack loin, 44 to 60 °C, dry-brined or plain"},
		{"place of the title", tr.Title.At, diag.At(diag.FileNamed("testdata/full/pollack.yaml"), 3, 8)},
		{"date", tr.Date.V, trial.Date{Year: 2026, Month: 2, Day: 11}},
		{"aims", len(tr.Aims), 4},
		{"target", tr.Aims[0].Target.V, trial.Range{Low: 5, High: 6.5}},
		{"a limit with the unit of its measure", tr.Aims[2].AtLeast.V, 3.0},
		{"third side", tr.Food.Sides[2].Millimetres(), 31.75},
		{"kinds of measure", []trial.MeasureKind{tr.Measures[0].Kind, tr.Measures[3].Kind, tr.Measures[4].Kind, tr.Measures[5].Kind, tr.Measures[6].Kind},
			[]trial.MeasureKind{trial.ScaleScore, trial.JustRight, trial.Rank, trial.YesNo, trial.Amount}},
		{"thermometers", []float64{tr.Baths[0].Reads.V.Kelvin(), tr.Baths[1].Reads.V.Kelvin()}, []float64{0.1, -0.2}},
		{"a bath of which only the name is known", tr.Baths[2].ID, "east"},
		{"raw ids", []string{tr.Cooks[2].ID, tr.Cooks[2].Pieces[0].ID, tr.Cooks[2].Pieces[1].ID}, []string{"007", "no", "1e3"}},
		{"not chilled", a.Chill.Known && !a.Chill.V.Is, true},
		{"chilled with facts", b.Chill.V.Core.V.Celsius(), 5.0},
		{"chilled without", tr.Cooks[2].Chill.V, trial.Chill{Is: true}},
		{"wet brine", b.Brine.V.Kind, trial.WetBrine},
		{"dry brine of a piece", a.Pieces[1].Brine.V.Kind, trial.DryBrine},
		{"no brine", a.Brine.V.Kind, trial.NoBrine},
		{"across midnight", b.Out.V.MinutesAfter(b.Started.V), 70.0},
		{"a blank value", b.Values.Of("firmness").Missing, true},
		{"a value with its unit", tr.Cooks[2].Values.Of("shear").V, 6.5},
		{"yes or no", a.Pieces[1].Values.Of("weeps").V, 0.0},
		{"log", len(a.Log), 3},
		{"probe", a.Probe.V.Piece.V + " " + string(a.Probe.V.At.V), "A1 centre"},
		{"error of the probe", a.Probe.V.Reads.V.Kelvin(), -0.2},
		{"day the probe was checked", a.Probe.V.Checked.V, trial.Date{Year: 2026, Month: 2, Day: 9}},
		{"no histamine", tr.Food.Histamine.Known && !tr.Food.Histamine.V, true},
		{"log minutes", a.Log[1].Minutes, 1.5},
		{"log unit", a.Log[0].Bath.V, quantity.Fahrenheit(111.2)},
		{"log blank", a.Log[1].Core.Known, false},
		{"scores", len(tr.Panel.V.Scores), 4},
		{"a decimal comma", tr.Panel.V.Scores[0].Values.Of("firmness").V, 4.5},
		{"a blank cell", tr.Panel.V.Scores[2].Values.Of("firmness").Missing, true},
		{"a unit in the header", tr.Panel.V.Scores[0].ServedAt.V, quantity.Celsius(40.5)},
		{"a line break in a cell", tr.Panel.V.Scores[0].Notes.V, "firm;\nnot dry"},
		{"code to piece", tr.Panel.V.Scores[0].Piece.V + tr.Panel.V.Scores[0].Cook, "A1A"},
		{"code to cook", tr.Panel.V.Scores[1].Cook, "B"},
		{"thresholds", tr.Thresholds[1].Value, "0.5 to 1.5"},
		{"seed", tr.Drawn.V.Seed.V, uint64(7)},
		{"order within", tr.Drawn.V.OrderWithin.V, 0.5},
		{"a piece with its size", tr.Design.V.Sources[0].Pieces[2].Before.V.String(), "90 g"},
		{"analysis", tr.Analysis.V, "cook"},
		{"conclusion", tr.Conclusion.V, "Cook it at 52 °C.\n"},
		{"files", tr.Origin.Files, []string{"key.csv", "logs/a.csv", "photos/a1.jpg", "pilot.yaml", "pollack.yaml", "scores.csv"}},
	}
	for _, c := range checks {
		if d := cmp.Diff(c.want, c.got, same); d != "" && !reflect.DeepEqual(c.want, c.got) {
			t.Errorf("%s: %s", c.what, d)
		}
	}
	if want := (trial.Origin{File: "testdata/full/pollack.yaml", Base: "pollack.yaml"}); tr.Origin.File != want.File || tr.Origin.Base != want.Base {
		t.Errorf("origin %+v", tr.Origin)
	}
}

// fullAgain is the trial of testdata/full written and read again.
func again(t testing.TB, tr *trial.Trial, s Style) *trial.Trial {
	t.Helper()
	files := Files(tr, "again.yaml", s)
	for _, p := range tr.Photos {
		files = append(files, File{p.File, nil})
	}
	if tr.Pilot.Known {
		files = append(files, File{tr.Pilot.V, nil})
	}
	return mustRead(t, filepath.Join(write(t, files...), "again.yaml"))
}

func TestRoundTrip(t *testing.T) {
	t.Parallel()
	tr := mustRead(t, "testdata/full/pollack.yaml")
	for _, s := range []Style{{}, {Comments: true}} {
		if d := cmp.Diff(tr, again(t, tr, s), same); d != "" {
			t.Errorf("comments %v: %s", s.Comments, d)
		}
	}
	if !bytes.Equal(Write(tr, Style{}), Write(tr, Style{})) {
		t.Error("two writings differ")
	}
}

// The least useful file must work.
func TestLeast(t *testing.T) {
	t.Parallel()
	dir := write(t, File{"t.yaml", []byte("tamis: 1\ntitle: Tonight\nfood: {name: trout}\ncooks:\n  - {set_point: 46 °C, time: 30 min, firmness: 4}\n  - {set_point: 52 °C, time: 30 min, firmness: 6.5}\n")})
	tr, msgs, err := Read(filepath.Join(dir, "t.yaml"), Vocabulary{})
	if err != nil || tr == nil {
		t.Fatal(msgs, err)
	}
	if len(tr.Measures) != 1 || tr.Measures[0].Name != "firmness" || tr.Cooks[1].Values.Of("firmness").V != 6.5 || tr.Cooks[0].ID != "1" || tr.Cooks[1].ID != "2" {
		t.Errorf("got %+v", tr)
	}
	if len(msgs) != 1 || msgs[0].Slug != "implied-measure" || msgs[0].Severity != diag.Note {
		t.Errorf("messages %v", msgs)
	}
	if d := cmp.Diff(tr, again(t, tr, Style{}), same); d != "" {
		t.Error(d)
	}
}

// A table may bring its measures along, blank cells and all.
func TestImpliedColumns(t *testing.T) {
	t.Parallel()
	dir := write(t,
		File{"t.yaml", []byte("tamis: 1\ntitle: T\nfood: {name: cake}\nmedium: oven\ncooks: {from: c.csv}\naim: {measure: angle, best: highest}\n")},
		File{"c.csv", []byte("id,set_point,angle,remark\na,350 °F,,\nb,360 °F,42.5,dry\n")})
	tr, msgs, err := Read(filepath.Join(dir, "t.yaml"), Vocabulary{})
	if err != nil || tr == nil {
		t.Fatal(msgs, err)
	}
	if len(tr.Measures) != 1 || tr.Measures[0].Name != "angle" || tr.Measures[0].Kind != trial.Amount || !tr.Cooks[0].Values.Of("angle").Missing || tr.Cooks[1].Values.Of("angle").V != 42.5 {
		t.Errorf("measures %v, values %v, %v", tr.Measures, tr.Cooks[0].Values, tr.Cooks[1].Values)
	}
	// What is no key and no measure is kept as it stands.
	if len(tr.Cooks[0].Extra) != 0 || !slices.Equal(tr.Cooks[1].Extra, []trial.Extra{{Name: "remark", Text: "dry"}}) {
		t.Errorf("extra %v, %v", tr.Cooks[0].Extra, tr.Cooks[1].Extra)
	}
	if len(msgs) != 2 || msgs[0].Slug != "implied-measure" || msgs[1].Slug != "own-column" {
		t.Errorf("messages %v", msgs)
	}
}

func TestTables(t *testing.T) {
	t.Parallel()
	yaml := "tamis: 1\ntitle: Tables\nfood: {name: trout}\nmeasures: {shear: {unit: N}}\nfactors: {recipe: [A, B]}\ncooks: {from: cooks.csv}\n"
	inline := "tamis: 1\ntitle: Tables\nfood: {name: trout}\nmeasures: {shear: {unit: N}}\nfactors: {recipe: [A, B]}\ncooks:\n" +
		"  - {id: a, set_point: 46 °C, time: 30 min, brine: {salt: 5.5 %, of: brine, for: 20 min}, with: {recipe: A}, bag: {with: [oil, dill]}, shear: 4.5, pieces: [{id: a1, before: 100 g}]}\n" +
		"  - {id: b, set_point: 52 °C, time: 35 min, brine: none, with: {recipe: B}, shear: ~, pieces: [{id: b1, before: 101.5 g}]}\n"
	want := mustRead(t, filepath.Join(write(t, File{"t.yaml", []byte(inline)}), "t.yaml"))
	tests := map[string][2]string{
		"commas": {
			"# where it came from\n\nid,set_point,time,brine,brine.salt,brine.of,brine.for,with.recipe,bag.with,shear,pieces.from\na,46 °C,30 min,,5.5 %,brine,20 min,A,oil;dill,4.5,p.csv\nb,52 °C,35 min,none,,,,B,,,p.csv\n",
			"cook,id,before\nb,b1,101.5 g\na,a1,100 g\n"},
		"semicolons, decimal commas and units in the header": {
			"\xef\xbb\xbfid;set_point (°C);time [min];brine.salt (%);brine;brine.of;brine.for;with.recipe;bag.with;shear;pieces.from\r\na;46;30;5,5;;brine;20 min;A;\"oil, dill\";4,5;p.csv\r\n;;;;;;;;;;\r\nb;52,0;35;;none;;;B;;;p.csv\r\n",
			"id;cook;before (g)\r\na1;a;100\r\nb1;b;101,5\r\n"},
		"tabs": {
			"id\tset_point\ttime\tbrine\tbrine.salt\tbrine.of\tbrine.for\twith.recipe\tbag.with\tshear\tpieces.from\t\na\t46 °C\t30 min\t\t5,5 %\tbrine\t20 min\tA\toil|dill\t4,5 N\tp.csv\t\nb\t52C\t35 min\tnone\t\t\t\tB\t\t\tp.csv\t\n",
			"cook\tid\tbefore\t\na\ta1\t100 g\t\nb\tb1\t\"101.5 g\"\t\n"},
	}
	for name, tables := range tests {
		dir := write(t, File{"t.yaml", []byte(yaml)}, File{"cooks.csv", []byte(tables[0])}, File{"p.csv", []byte(tables[1])})
		got := mustRead(t, filepath.Join(dir, "t.yaml"))
		if d := cmp.Diff(want, got, same); d != "" {
			t.Errorf("%s: %s", name, d)
		}
	}
}

// The hash covers every file that is named and does not depend on the folder.
func TestHash(t *testing.T) {
	t.Parallel()
	files := []File{
		{"t.yaml", []byte("tamis: 1\ntitle: T\nfood: {name: f}\ncooks: [{id: A, set_point: 50 °C, time: 1 h}]\nmeasures: {x: {scale: 0 to 9}}\npanel: {scores: s.csv}\n")},
		{"s.csv", []byte("assessor,cook,x\na,A,1\n")},
	}
	one := mustRead(t, filepath.Join(write(t, files...), "t.yaml")).Origin
	two := mustRead(t, filepath.Join(write(t, files...), "t.yaml")).Origin
	if one.SHA256 != two.SHA256 || one.SHA256 == "" {
		t.Errorf("the same files give %s and %s", one.SHA256, two.SHA256)
	}
	files[1].Data = []byte("assessor,cook,x\na,A,2\n")
	if three := mustRead(t, filepath.Join(write(t, files...), "t.yaml")).Origin; three.SHA256 == one.SHA256 {
		t.Error("an edited score sheet does not change the hash")
	}
}

// generic makes of items what a YAML reader of version 1.2 would.
func generic(it *item) any {
	switch it.kind {
	case blank:
		return nil
	case list:
		out := []any{}
		for _, x := range it.list {
			out = append(out, generic(x))
		}
		return out
	case mapping:
		out := map[string]any{}
		for _, e := range it.entries {
			out[e.key.text] = generic(e.value)
		}
		return out
	}
	if !it.quoted {
		if it.text == "true" || it.text == "false" {
			return it.text == "true"
		}
		if f, err := parseNumber(it.text, nil); err == nil {
			return json.Number(formatNumber(f))
		}
	}
	return it.text
}
