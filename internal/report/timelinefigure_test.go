package report

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"tamis/internal/design/schedule"
	"tamis/internal/figure"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

func TestTimeline(t *testing.T) {
	t.Parallel()
	tr := &trial.Trial{Title: trial.Some("Leek & <thyme>"), Baths: []trial.Bath{{ID: "north"}}}
	tr.Food.Kind = trial.Some("vegetable")
	for i, p := range []float64{83, 88} {
		tr.Cooks = append(tr.Cooks, trial.Cook{ID: string(rune('A' + i)), SetPoint: trial.Some(quantity.Celsius(p)), Time: trial.Some(quantity.FromMinutes(40)), Order: trial.Some(i + 1),
			Treatment: trial.Treatment{Finish: trial.Some(trial.Finish{Sear: trial.Some(quantity.FromSeconds(60)), Pan: trial.Some("p1")})}})
	}
	s, conflicts := schedule.Of(tr, schedule.Options{ServeAt: trial.Some(trial.Clock{Minute: 600})})
	if s == nil {
		t.Fatalf("%+v", conflicts)
	}
	f, err := TimelineFigure(s, 0)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Validate(); err != nil {
		t.Fatal(err)
	}
	if n := len(f.Y.Categories); n != 1+1+2+1 {
		t.Errorf("%d rows", n)
	}
	// No two bars of a row overlap: nothing is in two places at once.
	items := f.Layers[0].(figure.Spans).Items
	for i, a := range items {
		for _, b := range items[:i] {
			if a.Row == b.Row && a.From < b.To-1e-9 && b.From < a.To-1e-9 {
				t.Errorf("two bars at once: %+v and %+v", a, b)
			}
		}
	}
	for _, u := range []quantity.System{quantity.Metric, quantity.US} {
		b, err := Timeline(s, 0, u)
		if err != nil {
			t.Fatal(err)
		}
		for d := xml.NewDecoder(bytes.NewReader(b)); ; {
			if _, err := d.Token(); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				t.Fatal(err)
			}
		}
		if u == quantity.US && !strings.Contains(string(b), "190.4\u00a0°F") {
			t.Error("88 °C is not 190.4 °F to a reader of °F")
		}
		again, _ := Timeline(s, 0, u)
		if !bytes.Equal(b, again) {
			t.Error("other bytes the second time")
		}
	}
	for _, day := range []int{-1, 1} {
		if _, err := TimelineFigure(s, day); !errors.Is(err, ErrNoDay) {
			t.Errorf("day %d: %v", day, err)
		}
	}
	if _, err := TimelineFigure(nil, 0); !errors.Is(err, ErrNoDay) {
		t.Errorf("no schedule: %v", err)
	}
}
