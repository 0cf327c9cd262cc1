package report

import (
	"bytes"
	"html/template"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"tamis/internal/answer"
	"tamis/internal/figure"
	"tamis/internal/figure/svg"
	"tamis/internal/quantity"
	"tamis/internal/report/reporttest"
	"tamis/internal/texture"
)

func framed(id, title string) frameOf {
	return frameOf{ID: id, Title: figure.Same(title), Caption: figure.Same("18 cooks."), Desc: figure.Same(title + "."), Footer: []figure.Text{figure.Same("Invented data.")}}
}

// kinds is one figure of every builder.
func kinds(t *testing.T) (fs []figure.Figure) {
	t.Helper()
	r := reporttest.Pollack()
	m := r.Measures[0]
	add := func(f figure.Figure, ok bool) {
		t.Helper()
		if !ok {
			t.Error("a figure that can be drawn is not")
		}
		fs = append(fs, f)
	}
	add(measureFigure(r, m, true))
	add(armsFigure(r, m))
	add(differencesFigure(r, m, "set_point"))
	add(treatmentFigure(r, m, m.Treatments[0]))
	add(sensitivityFigure(r, m))
	x, y := []float64{2.1, 3.4, 5.5, 7, 8.1, 9.5}, []float64{0.2, -0.3, 0.1, 0.35, -0.25, -0.1}
	add(residualFigure(framed("residuals", "Residuals show no trend"), "Fitted mean", "Residual", x, y, nil))
	add(normalFigure(framed("normal", "Residuals lie on a line"), "Residual", []float64{-1.3, -0.6, -0.2, 0.2, 0.6, 1.3}, []float64{-0.3, -0.25, -0.1, 0.1, 0.2, 0.35}, nil, 0, 0.25))
	add(profileFigure(r, tastedBy(m, 6)))
	add(timelineFigure(framed("timeline", "Everything is on the plate at 19:30"), []figure.Text{figure.Same("north bath"), figure.Same("south bath")},
		[]span{{0, 1030, 1090, both(answer.Say("A, ", setPoint(44))), figure.SetPoint(0)}, {1, 1050, 1110, both(answer.Say("B, ", setPoint(60))), figure.SetPoint(1)}}, 1170, figure.Same("on the plate")))
	return fs
}

// Every builder gives a figure that both backends draw, with a title, a
// caption, a description, numbers and a footer.
func TestKindsOfFigures(t *testing.T) {
	t.Parallel()
	var page bytes.Buffer
	css, err := style()
	if err != nil {
		t.Fatal(err)
	}
	s := scriptsOf(true)
	page.WriteString("<!doctype html><html lang=en><meta charset=utf-8><meta name=viewport content='width=device-width'><title>figures</title><style>" + string(css) + "</style><main>")
	if err := kitchen.ExecuteTemplate(&page, "units", false); err != nil {
		t.Fatal(err)
	}
	for _, f := range kinds(t) {
		for name, text := range map[string]figure.Text{"title": f.Title, "caption": f.Caption, "description": f.Desc} {
			if text.Metric == "" || strings.Contains(text.Metric+text.US, "NaN") {
				t.Errorf("%s: the %s is %q", f.ID, name, text.Metric)
			}
		}
		if len(f.Footer) == 0 || len(f.Table(figure.Metric).Rows) == 0 {
			t.Errorf("%s: no footer or no numbers", f.ID)
		}
		for _, small := range []bool{false, true} {
			v, err := viewOf(f, placing{Small: small, Save: true, Live: true, Level: 3})
			if err != nil {
				t.Fatalf("%s: %v", f.ID, err)
			}
			if small {
				continue
			}
			if !s.Live {
				v.Live = ""
			}
			if err := kitchen.ExecuteTemplate(&page, "figure", v); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := svg.Standalone(f, figure.US); err != nil {
			t.Errorf("%s: %v", f.ID, err)
		}
	}
	page.WriteString("</main>")
	for _, js := range s.Run {
		page.WriteString("<script>" + string(js) + "</script>")
	}
	if *out != "" {
		if err := os.WriteFile(filepath.Join(*out, "figures.html"), page.Bytes(), 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

func TestTitlesStateTheFinding(t *testing.T) {
	t.Parallel()
	r := reporttest.Pollack()
	m := r.Measures[0]
	for want, f := range map[string]func() (figure.Figure, bool){
		"2 of 3 differences of firmness leave out zero": func() (figure.Figure, bool) { return differencesFigure(r, m, "set_point") },
		"Firmness is 0.500 higher for plain than for dry-brined on average (0.324 to 0.676)": func() (figure.Figure, bool) {
			return treatmentFigure(r, m, m.Treatments[0])
		},
		"Both analyses point the same way": func() (figure.Figure, bool) { return sensitivityFigure(r, m) },
	} {
		got, ok := f()
		if !ok || got.Title.Metric != want {
			t.Errorf("title %q, want %q", got.Title.Metric, want)
		}
	}
	// Levels that are set points are told in the reader's unit.
	f, _ := differencesFigure(r, m, "set_point")
	if c := f.Y.Categories[0]; c.Metric != together("44 less 48 °C") || c.US != together("111 less 118 °F") {
		t.Errorf("row %+v", c)
	}
}

// What was not computed gives no figure, and nothing panics.
func TestNothingToDraw(t *testing.T) {
	t.Parallel()
	r, m := &answer.Result{}, &texture.Measure{Name: "x"}
	no := quantity.Absent("one cook")
	for name, ok := range map[string]bool{
		"arms":        second(armsFigure(r, m)),
		"differences": second(differencesFigure(r, m, "set_point")),
		"treatment":   second(treatmentFigure(r, m, texture.Treatment{At: []texture.Difference{{}}})),
		"sensitivity": second(sensitivityFigure(r, m)),
		"absent":      second(forest("x", figure.Text{}, []estimate{{Mean: no, Low: no, Top: no}}, true)),
		"one point":   second(residualFigure(framed("x", "x"), "", "", []float64{1}, []float64{1}, nil)),
		"unequal":     second(residualFigure(framed("x", "x"), "", "", []float64{1, 2}, []float64{1}, nil)),
		"no tasters":  second(profileFigure(r, tastedBy(m, 0))),
		"one taster":  second(profileFigure(r, tastedBy(m, 1))),
		"no spans":    second(timelineFigure(framed("x", "x"), nil, nil, -1, figure.Text{})),
	} {
		if ok {
			t.Errorf("%s: a figure of nothing", name)
		}
	}
}

func second(_ figure.Figure, ok bool) bool { return ok }

func TestClock(t *testing.T) {
	t.Parallel()
	for minutes, want := range map[float64]string{0: "00:00", 1170: "19:30", 1440: "00:00 (+1 d)", -30: "23:30 (-1 d)"} {
		if got := clock(minutes); got != want {
			t.Errorf("clock(%v) = %q, want %q", minutes, got, want)
		}
	}
	if n := len(clockAxis(1020, 1180).Metric); n < 4 || n > 8 {
		t.Errorf("%d ticks", n)
	}
}

// Weights and times that a page must keep: see BenchmarkRender of cli for the time.
func TestWeight(t *testing.T) {
	t.Parallel()
	r := reporttest.Pollack()
	if n := len(page(t, r, Options{})); n > 320_000 {
		t.Errorf("the static page weighs %d bytes", n)
	}
	if n := len(page(t, r, Options{Live: true})); n > 1_100_000 {
		t.Errorf("the live page weighs %d bytes", n)
	}
}

// A page with scripts names the hash of each in its policy, and runs no other.
func TestPolicy(t *testing.T) {
	t.Parallel()
	// The hash of the empty string is a fixed point of SHA-256 tables (FIPS 180-4).
	if got, want := policy([]template.JS{""}), "default-src 'none'; style-src 'unsafe-inline'; img-src data:; script-src 'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='"; got != want {
		t.Errorf("got %s", got)
	}
	if s := scriptsOf(false); s.Live || len(s.Run) > 0 || strings.Contains(s.Policy, "script-src") {
		t.Errorf("a static page runs %d scripts under %s", len(s.Run), s.Policy)
	}
	s := scriptsOf(true)
	if strings.Count(s.Policy, "'sha256-") != len(s.Run) || strings.Contains(s.Policy, "script-src 'unsafe") {
		t.Errorf("%d scripts under %s", len(s.Run), s.Policy)
	}
}

// tastedBy is the measure with so many tasters at three set points, each higher
// than the one before, the last one against the rest.
func tastedBy(m *texture.Measure, n int) *texture.Measure {
	out := *m
	out.Panel = &texture.Panel{}
	for k := range n {
		a := texture.AssessorLine{Assessor: "P" + strconv.Itoa(k+1)}
		for i, x := range []float64{44, 50, 56} {
			y := 2 + 2.5*float64(i) + 0.2*float64(k)
			if k == n-1 {
				y = 9 - 2.5*float64(i)
			}
			a.Means = append(a.Means, texture.AssessorMean{SetPoint: quantity.Num(x), N: 3, Mean: y})
		}
		out.Panel.Assessors = append(out.Panel.Assessors, a)
	}
	if n > 1 {
		out.Panel.OutOfStep = []string{"P" + strconv.Itoa(n)}
	}
	return &out
}

// A field has the taster's mean, and its tone the distance from the mean of the
// tasters at that set point; who runs against the panel is in the title.
func TestProfileFigure(t *testing.T) {
	t.Parallel()
	r := reporttest.Pollack()
	m := tastedBy(r.Measures[0], 3)
	m.Panel.Assessors[1].Means = m.Panel.Assessors[1].Means[:2] // did not taste the hottest
	f, ok := profileFigure(r, m)
	if !ok {
		t.Fatal("no figure")
	}
	h := f.Layers[0].(figure.Heat)
	if len(h.Cells) != 8 {
		t.Fatalf("%d fields", len(h.Cells))
	}
	// At 44 °C the three gave 2.0, 2.2 and 9.0, on average 4.4.
	if c := h.Cells[0]; c.Text != "2.0" || math.Abs(c.Value+2.4) > 1e-9 {
		t.Errorf("the first field is %+v", c)
	}
	if h.Low != -h.High || math.Abs(h.High-4.6) > 1e-9 {
		t.Errorf("tones from %v to %v", h.Low, h.High)
	}
	if !strings.Contains(f.Title.Metric, "P3 scored against the rest") {
		t.Errorf("title %q", f.Title.Metric)
	}
	rows := f.Table(figure.US).Rows
	if len(rows) != 3 || rows[1][0] != "P2" || rows[1][3] != "" {
		t.Errorf("table %q", rows)
	}
}
