package trialfile

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"tamis/internal/diag"
)

// Temperatures that say nothing together are warned of, at their place and with a
// hint; each with what differs from it by one thing and is sound.
func TestHeatWarnings(t *testing.T) {
	t.Parallel()
	log := func(unit string, end float64) string {
		var b strings.Builder
		fmt.Fprintf(&b, "time (min),core (%s),bath (%s)\n", unit, unit)
		for m := 0; m <= 60; m += 10 {
			fmt.Fprintf(&b, "%d,%g,%g\n", m, end-60+float64(m), end)
		}
		return b.String()
	}
	const oneCook = "cooks:\n  - {id: A, set_point: 52 °C, time: 60 min, log: a.csv}\n"
	for _, c := range []struct {
		name, slug, hint string
		food, rest, log  string
		at               string
	}{
		{"a start above the bath", "start-above-bath", "check", ", start: 60 °C", oneCook, "", "t.yaml:3:30"},
		{"a start at the bath", "start-above-bath", "check", ", start: 52 °C", oneCook, "", "t.yaml:3:30"},
		{"a start below it", "", "", ", start: 51 °C", oneCook, "", ""},
		{"a piece above the bath", "start-above-bath", "check", "", "cooks:\n  - {id: A, set_point: 52 °C, time: 60 min, pieces: [{id: p, start: 90 °C}]}\n", "", "t.yaml:6:69"},
		{"a design colder than its food", "start-above-bath", "check", ", start: 50 °C", "design: {set_points: [48 °C, 56 °C], times: [60 min]}\n", "", "t.yaml:3:30"},
		{"an oven that is colder is none of its business", "", "", ", start: 60 °C", "medium: oven\n" + oneCook, "", ""},
		{"°F under °C", "log-unit", "bath (°F)", "", oneCook, log("°C", 126), "a.csv:2:6"},
		{"°C under °F", "log-unit", "bath (°C)", "", oneCook, log("°F", 52), "a.csv:2:6"},
		{"°F under °F", "", "", "", oneCook, log("°F", 126), ""},
		{"°C under °C", "", "", "", oneCook, log("°C", 52), ""},
		{"a bath that stands somewhere else", "", "", "", oneCook, log("°C", 75), ""},
		{"an empty log", "empty-table", "leave the file out", "", oneCook, "time (min),core (°C)\n", "a.csv:1:1"},
		{"a block of which the thickness is known", "bad-sides", "shape: slab", ", shape: block, thickness: 30 mm", oneCook, "", "t.yaml:3:30"},
		{"a block", "", "", ", shape: block, sides: [30 mm, 40 mm, 50 mm]", oneCook, "", ""},
	} {
		files := []File{{"t.yaml", []byte("tamis: 1\ntitle: T\nfood: {name: pollack" + c.food + "}\nmeasures: {firm: {scale: 0 to 10}}\n" + c.rest)}}
		if c.log == "" {
			files[0].Data = []byte(strings.Replace(string(files[0].Data), ", log: a.csv", "", 1))
		} else {
			files = append(files, File{"a.csv", []byte(c.log)})
		}
		dir := write(t, files...)
		tr, msgs, err := Read(filepath.Join(dir, "t.yaml"), testVocabulary)
		if err != nil || tr == nil {
			t.Errorf("%s: not read: %v %v", c.name, err, msgs)
			continue
		}
		var found *diag.Message
		for i := range msgs {
			if msgs[i].Slug == c.slug || c.slug == "" && (msgs[i].Slug == "log-unit" || msgs[i].Slug == "start-above-bath" || msgs[i].Slug == "bad-sides") {
				found = &msgs[i]
			}
		}
		switch {
		case c.slug == "" && found != nil:
			t.Errorf("%s: %v", c.name, found)
		case c.slug == "":
		case found == nil:
			t.Errorf("%s: nothing is said, %v", c.name, msgs)
		default:
			rel, err := filepath.Rel(dir, found.Pos.File.String())
			if err != nil {
				t.Fatal(err)
			}
			at := diag.Pos{File: diag.FileNamed(rel), Line: found.Pos.Line, Column: found.Pos.Column}.String()
			if found.Severity != diag.Warning || !strings.Contains(found.Hint, c.hint) || c.at != "" && at != c.at {
				t.Errorf("%s: %v at %s with %q, want it at %s with %q", c.name, found, at, found.Hint, c.at, c.hint)
			}
		}
	}
}
