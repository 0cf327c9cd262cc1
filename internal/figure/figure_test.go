package figure

import (
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"
)

func plain(layers ...Layer) Figure {
	return Figure{ID: "f", Title: Same("t"), X: Number("x", "min", 0, 10, 6), Y: Number("y", "", 0, 5, 6), Layers: layers}
}

type stranger struct{}

func (stranger) Kind() string { return "stranger" }

func TestValidate(t *testing.T) {
	t.Parallel()
	nan, inf := math.NaN(), math.Inf(1)
	one := []float64{1}
	two := []float64{1, 2}
	cats := func(l Layer) Figure {
		f := plain(l)
		f.X, f.Y = Category("", Same("a"), Same("b")), Category("", Same("c"))
		return f
	}
	for name, c := range map[string]struct {
		fig  Figure
		want error
	}{
		"line":                   {plain(Line{X: two, Y: two}), nil},
		"line empty":             {plain(Line{}), ErrEmpty},
		"line lengths":           {plain(Line{X: two, Y: one}), ErrLengths},
		"line NaN":               {plain(Line{X: two, Y: []float64{1, nan}}), ErrNonFinite},
		"line infinite":          {plain(Line{X: two, Y: []float64{1, inf}}), ErrNonFinite},
		"line backwards":         {plain(Line{X: []float64{2, 1}, Y: two}), ErrRange},
		"band":                   {plain(Band{X: two, Low: one, High: two}), ErrLengths},
		"band crossed":           {plain(Band{X: one, Low: []float64{2}, High: one}), ErrRange},
		"band empty":             {plain(Band{}), ErrEmpty},
		"points":                 {plain(Points{X: two, Y: two, Offset: two}), nil},
		"points offset":          {plain(Points{X: two, Y: two, Offset: one}), ErrLengths},
		"points offset NaN":      {plain(Points{X: one, Y: one, Offset: []float64{nan}}), ErrNonFinite},
		"points one":             {plain(Points{X: one, Y: one}), nil},
		"bars reversed":          {plain(ErrorBars{At: one, Low: two[1:], High: one}), ErrRange},
		"bars fine":              {plain(ErrorBars{At: one, Low: one, High: one}), nil},
		"zone":                   {plain(Zone{Low: 2, High: 1}), ErrRange},
		"zone open":              {plain(Zone{Low: 2, HighOpen: true}), nil},
		"zone NaN":               {plain(Zone{Low: nan, HighOpen: true}), ErrNonFinite},
		"zone NaN where unused":  {plain(Zone{LowOpen: true, Low: nan, High: 1}), nil},
		"window":                 {plain(Window{Low: 3, High: 2}), ErrRange},
		"window point":           {plain(Window{Low: 3, High: 3}), nil},
		"threshold":              {plain(Threshold{At: inf}), ErrNonFinite},
		"strip":                  {plain(Strip{X: two, Chance: []float64{0, 1.2}}), ErrRange},
		"strip fine":             {plain(Strip{X: two, Chance: []float64{0, 1}}), nil},
		"bars width":             {plain(Bars{At: one, Value: one}), ErrRange},
		"boxes empty":            {plain(Boxes{Width: 1}), ErrEmpty},
		"boxes order":            {plain(Boxes{Width: 1, Boxes: []Box{{Low: 1, Q1: 3, Median: 2, Q3: 4, Top: 5}}}), ErrRange},
		"heat outside":           {cats(Heat{High: 1, Cells: []Cell{{Col: 2}}}), ErrRange},
		"heat":                   {cats(Heat{High: 1, Cells: []Cell{{Col: 1}}}), nil},
		"heat on numbers":        {plain(Heat{High: 1, Cells: []Cell{{Col: 1}}}), ErrRange},
		"heat empty":             {cats(Heat{}), ErrEmpty},
		"spans row":              {cats(Spans{Items: []Span{{Row: -1, To: 1}}}), ErrRange},
		"spans reversed":         {cats(Spans{Items: []Span{{From: 2, To: 1}}}), ErrRange},
		"spans empty":            {cats(Spans{}), ErrEmpty},
		"note":                   {plain(Note{X: nan}), ErrNonFinite},
		"unknown":                {plain(stranger{}), ErrUnknownLayer},
		"nil layer":              {plain(nil), ErrUnknownLayer},
		"pointer is not a layer": {plain(&Line{X: two, Y: two}), ErrUnknownLayer},
		"no layers":              {plain(), ErrEmpty},
		"id":                     {Figure{ID: `x" onload="`, X: Number("", "", 0, 1, 3), Y: Number("", "", 0, 1, 3), Layers: []Layer{Note{}}}, ErrID},
		"axis":                   {Figure{ID: "f", Y: Number("", "", 0, 1, 3), Layers: []Layer{Note{}}}, ErrRange},
		"axis NaN":               {Figure{ID: "f", X: Axis{Min: nan, Max: 1}, Y: Number("", "", 0, 1, 3), Layers: []Layer{Note{}}}, ErrNonFinite},
		"tick NaN":               {Figure{ID: "f", X: Axis{Max: 1, US: []Tick{{At: nan}}}, Y: Number("", "", 0, 1, 3), Layers: []Layer{Note{}}}, ErrNonFinite},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			err := c.fig.Validate()
			if c.want == nil && err != nil || c.want != nil && !errors.Is(err, c.want) {
				t.Errorf("Validate() = %v, want %v", err, c.want)
			}
			if err != nil && (len(c.fig.Table(Metric).Rows) != 0 || len(c.fig.Table(Metric).Header) != 0) {
				t.Error("an invalid figure has a table")
			}
		})
	}
}

func TestValidateReportsAll(t *testing.T) {
	t.Parallel()
	err := plain(Line{}, stranger{}, Zone{Low: 2, High: 1}).Validate()
	for _, want := range []error{ErrEmpty, ErrUnknownLayer, ErrRange} {
		if !errors.Is(err, want) {
			t.Errorf("%v is missing in %v", want, err)
		}
	}
	if !strings.Contains(err.Error(), "layer 2 (zone)") {
		t.Errorf("no place in %v", err)
	}
}

func TestTable(t *testing.T) {
	t.Parallel()
	f := Figure{
		ID: "f", X: Temperature("Set point", 44, 60, 5), Y: Number("Firmness", "", 0, 10, 6),
		Layers: []Layer{
			Line{X: []float64{44, 60}, Y: []float64{2, 10}, Label: Same("plain")},
			Points{X: []float64{51.5}, Y: []float64{6}, Offset: []float64{9}},
			Zone{Low: 5, HighOpen: true, Label: Same("aim")},
			Window{Low: 50.5, High: 53, Best: 51.5, HasBest: true},
			Strip{X: []float64{45, 55}, Chance: []float64{0, 1}},
		},
	}
	want := Table{
		Header: []string{"What", "Set point, °C", "Firmness", "From", "To"},
		Rows: [][]string{
			{"plain", "45.0", "2.5", "", ""},
			{"plain", "50.0", "5.0", "", ""},
			{"plain", "55.0", "7.5", "", ""},
			{"plain", "60.0", "10.0", "", ""},
			{"cook", "51.5", "6.0", "", ""},
			{"aim", "", "", "5.0", ""},
			{"window", "51.5", "", "50.5", "53.0"},
			{"chance", "45.0", "0.00", "", ""},
			{"chance", "50.0", "0.50", "", ""},
			{"chance", "55.0", "1.00", "", ""},
		},
	}
	if got := f.Table(Metric); !reflect.DeepEqual(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	us := f.Table(US)
	if us.Header[1] != "Set point, °F" {
		t.Errorf("US header %q", us.Header)
	}
	// 51.5 °C is 124.7 °F: 51.5 × 1.8 + 32.
	for _, r := range us.Rows {
		if r[0] == "cook" && r[1] != "124.7" {
			t.Errorf("cook at %s °F, want 124.7", r[1])
		}
	}
}

// A band is told with its line, another band on its own, pieces at the end.
func TestTableOfBands(t *testing.T) {
	t.Parallel()
	x := []float64{0, 10}
	f := Figure{ID: "f", X: Number("x", "", 0, 10, 2), Y: Number("y", "", 0, 10, 6), Layers: []Layer{
		Points{X: []float64{5}, Y: []float64{1}, Size: Piece},
		Band{X: x, Low: []float64{0, 1}, High: []float64{4, 5}, Role: Curve},
		Band{X: x, Low: []float64{0, 0}, High: []float64{9, 9}, Role: Muted},
		Line{X: x, Y: []float64{2, 3}, Style: Style{Role: Curve}},
	}}
	want := [][]string{
		{"band", "0.0", "", "0.0", "9.0"}, {"band", "10.0", "", "0.0", "9.0"},
		{"curve", "0.0", "2.0", "0.0", "4.0"}, {"curve", "10.0", "3.0", "1.0", "5.0"},
		{"piece", "5.0", "1.0", "", ""},
	}
	if got := f.Table(Metric).Rows; !reflect.DeepEqual(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestTableOfCategories(t *testing.T) {
	t.Parallel()
	f := Figure{ID: "f", X: Category("Set point", Text{Metric: "44 °C", US: "111 °F"}, Same("b")), Y: Category("Taster", Same("P1")),
		Layers: []Layer{Heat{Low: 0, High: 9, Cells: []Cell{{Col: 0, Row: 0, Value: 3.14, Text: "3.1"}, {Col: 1, Row: 0, Value: 2}}}}}
	got := f.Table(US)
	want := Table{Header: []string{"Taster", "111 °F", "b"}, Rows: [][]string{{"P1", "3.1", "2.00"}}}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	f.Layers = append(f.Layers, Note{X: 0, Y: 0, Text: Same("here")}) // then it is a list like any other
	got = f.Table(US)
	if len(got.Rows) != 3 || !reflect.DeepEqual(got.Rows[0][:3], []string{"value: 3.1", "111 °F", "P1"}) {
		t.Errorf("got %q", got)
	}
}

func TestTableRowsMatchHeader(t *testing.T) {
	t.Parallel()
	f := Figure{ID: "f", X: Category("", Same("a"), Same("b")), Y: Number("", "", 0, 9, 4), Layers: []Layer{
		Boxes{Width: .5, Boxes: []Box{{Low: 1, Q1: 2, Median: 3, Q3: 4, Top: 5, N: 7}}},
		ErrorBars{At: []float64{1}, Low: []float64{1}, High: []float64{2}},
		Bars{At: []float64{0}, Value: []float64{3}, Width: 1},
		Threshold{At: 2}, Note{X: 1, Y: 1, Text: Same("here")},
	}}
	for _, u := range []Units{Metric, US} {
		tab := f.Table(u)
		if len(tab.Rows) != 7 {
			t.Errorf("%d rows, want 7: %q", len(tab.Rows), tab.Rows)
		}
		for _, r := range tab.Rows {
			if len(r) != len(tab.Header) {
				t.Errorf("row %q under header %q", r, tab.Header)
			}
		}
	}
}

func TestText(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		text       Text
		metric, us string
		dual       bool
	}{
		{Text{"52 °C", "126 °F"}, "52 °C", "126 °F", true},
		{Same("plain"), "plain", "plain", false},
		{Text{}, "", "", false},
		{Text{"a", "a"}, "a", "a", false},
	} {
		if c.text.In(Metric) != c.metric || c.text.In(US) != c.us || c.text.Dual() != c.dual {
			t.Errorf("%+v: %q, %q, %v", c.text, c.text.In(Metric), c.text.In(US), c.text.Dual())
		}
	}
}

func TestAxisTitle(t *testing.T) {
	t.Parallel()
	for want, a := range map[string]Axis{
		"Set point, °C": Temperature("Set point", 0, 1, 3),
		"Liking":        Number("Liking", "", 0, 1, 3),
		"min":           Number("", "min", 0, 1, 3),
		"":              {},
	} {
		if got := a.Title(Metric); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

func TestTreatmentsDiffer(t *testing.T) {
	t.Parallel()
	seen := map[Style]int{}
	for i := range 12 {
		s := Treatment(i)
		if j, ok := seen[s]; ok {
			t.Errorf("treatments %d and %d look the same", i, j)
		}
		seen[s] = i
	}
	for i := range 4 {
		for j := range i {
			a, b := Treatment(i), Treatment(j)
			if a.Role == b.Role || a.Dash == b.Dash || a.Mark == b.Mark {
				t.Errorf("treatments %d and %d share a hue, a dash or a mark", i, j)
			}
		}
	}
	if Treatment(-3) != Treatment(0) {
		t.Error("a negative treatment is not the first")
	}
}

func TestSetPoint(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		share float64
		tone  int
	}{{0, 0}, {1, 6}, {0.5, 3}, {-4, 0}, {7, 6}, {math.NaN(), 0}, {math.Inf(1), 6}, {math.Inf(-1), 0}} {
		if k, ok := SetPoint(c.share).Tone(); !ok || k != c.tone {
			t.Errorf("SetPoint(%v) is tone %d, want %d", c.share, k, c.tone)
		}
	}
	if _, ok := Ink.Tone(); ok {
		t.Error("ink has a tone")
	}
}
