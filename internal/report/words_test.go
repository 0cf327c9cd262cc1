package report

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"tamis/internal/answer"
	"tamis/internal/figure"
	"tamis/internal/quantity"
	"tamis/internal/report/reporttest"
	"tamis/internal/texture"
)

func TestWords(t *testing.T) {
	t.Parallel()
	got := of(answer.Say("At ", answer.Quantity{Kind: answer.SetPoint, Value: 52}, " for ", answer.Quantity{Kind: answer.Count, Value: 3}, " cooks\u202e"))
	want := words{{Text: "At "}, {Metric: "52 °C", US: "126 °F", Dual: true, Number: true}, {Text: " for "}, {Text: "3", Number: true}, {Text: " cooks"}}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v, want %+v", got, want)
	}
	if of(nil) != nil || all(nil) != nil || all([]answer.Sentence{nil}) != nil {
		t.Error("nothing becomes words")
	}
}

func TestSmallWords(t *testing.T) {
	t.Parallel()
	for got, want := range map[string]string{
		plain("surface_protein"):   "surface protein",
		capital("élan"):            "Élan",
		capital(""):                "",
		slug("Cook_loss %"):        "cook-loss--",
		short(-1.5):                "−1.5",
		hash12("abc"):              "abc",
		hash12("0123456789abcdef"): "0123456789ab",
	} {
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestAimRange(t *testing.T) {
	t.Parallel()
	a, b := 5.0, 6.5
	for want, aim := range map[string]answer.Aim{
		"5 to 6.5 N":    {Low: &a, High: &b},
		"at least 5 N":  {Low: &a},
		"at most 6.5 N": {High: &b},
		"highest":       {Best: "highest"},
	} {
		if got := aimRange(aim, "N"); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

// A window too narrow to round inward in either unit is printed to a tenth.
func TestRangeOf(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		lo, hi     float64
		metric, us string
	}{
		{50.3, 53.2, "50.5 °C to 53 °C", "123 °F to 127 °F"},
		{50.6, 50.9, "50.6 °C to 50.9 °C", "123.1 °F to 123.6 °F"},
	} {
		s := answer.Window(c.lo, c.hi)
		if s.Text(quantity.Metric) != c.metric || s.Text(quantity.US) != c.us {
			t.Errorf("%v to %v: %q, %q", c.lo, c.hi, s.Text(quantity.Metric), s.Text(quantity.US))
		}
	}
}

func TestTicksAtSetPoints(t *testing.T) {
	t.Parallel()
	labels := func(ts []figure.Tick) (ls []string) {
		for _, k := range ts {
			ls = append(ls, k.Label)
		}
		return ls
	}
	for _, c := range []struct {
		xs         []float64
		metric, us []string
	}{
		{[]float64{44, 48, 48.02, 52}, []string{"44", "48", "52"}, nil},
		// 175, 185 … 225 °F in °C: round in °F only.
		{[]float64{79.4444, 85, 90.5556, 96.1111, 101.6667, 107.2222}, nil, []string{"175", "185", "195", "205", "215", "225"}},
		{[]float64{50, 55, 60}, []string{"50", "55", "60"}, []string{"122", "131", "140"}},
		{[]float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10}, nil, nil},
	} {
		if got := labels(ticksAt(c.xs, figure.Conversion{})); !reflect.DeepEqual(got, c.metric) {
			t.Errorf("%v in °C: %q, want %q", c.xs, got, c.metric)
		}
		if got := labels(ticksAt(c.xs, figure.Fahrenheit)); !reflect.DeepEqual(got, c.us) {
			t.Errorf("%v in °F: %q, want %q", c.xs, got, c.us)
		}
	}
}

func TestFigureOfMeasure(t *testing.T) {
	t.Parallel()
	r := reporttest.Pollack()
	f, ok := measureFigure(r, r.Measures[0], true)
	if !ok {
		t.Fatal("no figure")
	}
	if err := f.Validate(); err != nil {
		t.Fatal(err)
	}
	if want := (figure.Text{Metric: together("Firmness passes 5 near 50 °C and 6.5 near 52.5 °C, dry-brined"), US: together("Firmness passes 5 near 122 °F and 6.5 near 126 °F, dry-brined")}); f.Title != want {
		t.Errorf("title %+v, want %+v", f.Title, want)
	}
	kinds := map[string]int{}
	cooks := 0
	for _, l := range f.Layers {
		kinds[l.Kind()]++
		if p, ok := l.(figure.Points); ok && p.Size == figure.Cook {
			cooks += len(p.X)
		}
	}
	if want := map[string]int{"zone": 1, "band": 2, "line": 2, "points": 4, "strip": 1, "window": 1}; !reflect.DeepEqual(kinds, want) {
		t.Errorf("layers %v, want %v", kinds, want)
	}
	if cooks != len(r.Measures[0].Points) {
		t.Errorf("%d points for %d cooks", cooks, len(r.Measures[0].Points))
	}
	if second, _ := measureFigure(r, r.Measures[1], false); len(second.Layers) != len(f.Layers)-2 {
		t.Error("the second figure repeats the window")
	}
}

// A window is drawn only where the answer speaks of one.
func TestShownWindow(t *testing.T) {
	t.Parallel()
	for name, change := range map[string]func(*answer.Result){
		"not to be eaten":  func(r *answer.Result) { r.Safety.Verdict = answer.VerdictDoNotEat },
		"one cook each":    func(r *answer.Result) { r.Units[0].N = 6 },
		"no window":        func(r *answer.Result) { r.Windows[0].Cannot = "too few set points" },
		"nothing declared": func(r *answer.Result) { r.Windows[0].Headline = false },
	} {
		r := reporttest.Pollack()
		change(r)
		f, _ := measureFigure(r, r.Measures[0], true)
		for _, l := range f.Layers {
			if k := l.Kind(); k == "window" || k == "strip" {
				t.Errorf("%s: a %s is drawn", name, k)
			}
		}
	}
}

// The next cook where it has a window, else the average of many; what is likely
// is solid and carries the pick.
func TestWindowLayers(t *testing.T) {
	t.Parallel()
	span := func(lo, hi float64) texture.Span {
		return texture.Span{Low: quantity.Num(lo), High: quantity.Num(hi), Stretches: 1}
	}
	for name, c := range map[string]struct {
		next, mean texture.Chance
		label      string
		windows    []figure.Window
	}{
		"next": {texture.Chance{Range: span(50, 53), Likely: span(51, 52)}, texture.Chance{Range: span(49, 54)},
			"Chance that all aims hold in the next cook, dry-brined", []figure.Window{{Low: 51, High: 52, Sure: true, HasBest: true}, {Low: 50, High: 53}}},
		"mean": {texture.Chance{}, texture.Chance{Range: span(49, 54)},
			"Chance that all aims hold for the average of many cooks, dry-brined", []figure.Window{{Low: 49, High: 54, HasBest: true}}},
		"neither": {texture.Chance{}, texture.Chance{}, "Chance that all aims hold in the next cook, dry-brined", nil},
	} {
		r := reporttest.Pollack()
		w := &r.Windows[0]
		w.Next, w.Mean = c.next, c.mean
		var got []figure.Window
		for _, l := range windowLayers(r, w) {
			switch l := l.(type) {
			case figure.Strip:
				if l.Label.Metric != c.label {
					t.Errorf("%s: label %q, want %q", name, l.Label.Metric, c.label)
				}
			case figure.Window:
				l.Label, l.Best = figure.Text{}, 0
				got = append(got, l)
			}
		}
		if !reflect.DeepEqual(got, c.windows) {
			t.Errorf("%s: %+v, want %+v", name, got, c.windows)
		}
	}
}

// Results with holes give a valid figure or none.
func TestFigureWithHoles(t *testing.T) {
	t.Parallel()
	num := quantity.Num
	for name, m := range map[string]*texture.Measure{
		"nothing":         {},
		"no set point":    {Points: []texture.Point{{Mean: 1}}},
		"one cook":        {Name: "x", Points: []texture.Point{{SetPoint: num(50), Mean: 3}}},
		"NaN mean":        {Name: "x", Points: []texture.Point{{SetPoint: num(50), Mean: math.NaN()}}},
		"one dot":         {Name: "x", Points: []texture.Point{{SetPoint: num(50), Mean: 3}}, Curves: []texture.Curve{{Average: []texture.CurveDot{{SetPoint: 50}}}}},
		"same everywhere": {Name: "x", Points: []texture.Point{{SetPoint: num(50), Mean: 3}, {SetPoint: num(50), Mean: 3}}},
		"no scale":        {Name: "Ünit", Unit: "N", Points: []texture.Point{{SetPoint: num(50), Mean: 1e6}, {SetPoint: num(54), Mean: -2e6, Pieces: []float64{math.Inf(1), 1}}}},
	} {
		r := &answer.Result{}
		r.Windows = []texture.Window{{Headline: true}}
		f, ok := measureFigure(r, m, true)
		if !ok {
			if len(pointsOf(m)) > 0 {
				t.Errorf("%s: no figure", name)
			}
			continue
		}
		if _, err := viewOf(f, placing{Save: true, Live: true}); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestArmCells(t *testing.T) {
	t.Parallel()
	num := quantity.Num
	for _, c := range []struct {
		arm  texture.Arm
		want armCell
	}{
		// A standard error of 0.23 has its leading digit at the first decimal: two decimals.
		{texture.Arm{Mean: num(5.123), SE: num(0.23), Low: num(4.6), High: num(5.7)}, armCell{Mean: "5.12", Interval: "4.60 to 5.70"}},
		{texture.Arm{Mean: num(512.3), SE: num(23), Low: num(460), High: num(570)}, armCell{Mean: "512", Interval: "460 to 570"}},
		{texture.Arm{Mean: num(5), SE: quantity.Absent("one cook")}, armCell{Mean: "5.00"}},
		{texture.Arm{Mean: quantity.Absent("nobody tasted it")}, armCell{Absent: "nobody tasted it"}},
	} {
		if got := cell(c.arm); got != c.want {
			t.Errorf("got %+v, want %+v", got, c.want)
		}
	}
}

func TestArmTable(t *testing.T) {
	t.Parallel()
	r := reporttest.Pollack()
	tab := armsOf(r, r.Measures)
	if len(tab.Rows) != 12 || len(tab.Columns) != 2 {
		t.Fatalf("%d rows, %d columns", len(tab.Rows), len(tab.Columns))
	}
	if armsOf(r, nil) != nil {
		t.Error("a table of nothing")
	}
	r.Measures[1].Cells = r.Measures[1].Cells[1:]
	if c := armsOf(r, r.Measures).Rows[0].Cells[1]; c.Absent != "not measured" {
		t.Errorf("an arm that was not measured: %+v", c)
	}
}

func TestTogether(t *testing.T) {
	t.Parallel()
	for in, want := range map[string]string{
		"lost 9.6 % of 40 g": "lost 9.6_% of 40_g", "at 54 °C for 60 min": "at 54_°C for 60_min", "130 °F": "130_°F", "15.8 N": "15.8_N",
		"5 guests": "5 guests", "4 Nights": "4 Nights", "2 kg": "2_kg", "room 5 %": "room 5_%", "9 in 10": "9 in 10", "": "",
	} {
		if got := strings.ReplaceAll(together(in), "\u00a0", "_"); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}
