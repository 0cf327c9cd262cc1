package figuretest

import (
	"math"

	"tamis/internal/figure"
)

// Examples are invented figures that use every layer: the golden files, the
// gallery and the properties are all made from them.
func Examples() []figure.Figure {
	return []figure.Figure{Curve(), treatments(), core(), arms(), boxes(), heat(), timeline(), orders(), forest(), crowded()}
}

func seq(lo, hi float64, n int) []float64 {
	xs := make([]float64, n)
	for i := range xs {
		xs[i] = lo + (hi-lo)*float64(i)/float64(n-1)
	}
	return xs
}

func apply(xs []float64, f func(float64) float64) []float64 {
	ys := make([]float64, len(xs))
	for i, x := range xs {
		ys[i] = math.Round(1e4*f(x)) / 1e4
	}
	return ys
}

// noise is a repeatable wobble in ±1.
func noise(i int) float64 { return math.Sin(12.9898*float64(i)+4.1) * math.Cos(78.233*float64(i)) }

func firmness(x float64) float64 { return 2.2 + 6.2/(1+math.Exp(-(x-50.2)/2.6)) }

func cooks(f func(float64) float64, from int) (x, y []float64) {
	for i, t := range []float64{44, 48, 50, 52, 56, 60} {
		for r := range 3 {
			x = append(x, t)
			y = append(y, math.Round(10*(f(t)+0.45*noise(from+10*i+r)))/10)
		}
	}
	return x, y
}

// Curve is one measure against the set point with everything on it.
func Curve() figure.Figure {
	grid := seq(43, 61, 73)
	cx, cy := cooks(firmness, 0)
	px, py := append(append([]float64{}, cx...), cx...), append([]float64{}, cy...)
	for i, v := range cy {
		py = append(py, v+0.8*noise(900+i))
	}
	for i := range cy {
		py[i] = cy[i] + 0.7*noise(700+i)
	}
	y := figure.Number("Firmness, 0 falls apart to 10 rubbery", "", 0, 10, 6)
	return figure.Figure{
		ID:      "window",
		Title:   figure.Text{Metric: "Firmness reaches the aim near 51.5 °C and passes it near 53 °C", US: "Firmness reaches the aim near 125 °F and passes it near 127 °F"},
		Desc:    figure.Same("Firmness against set point: eighteen cooks, a rising curve with its band, the aim from 5 to 6.5 as a zone, and the window under the axis."),
		Caption: figure.Same("18 cooks (large points), 36 pieces (small points). The band holds the curve in 95 of 100 repeats of the trial."),
		Footer:  []figure.Text{figure.Same("Not pasteurised. Serve at once; not for young children, pregnant women, older people or anyone with weakened immunity."), figure.Same("Invented data, Saltholm test kitchen, 2026-02-11")},
		X:       figure.Temperature("Set point", 43, 61, 7),
		Y:       y,
		Layers: []figure.Layer{
			figure.Zone{Along: figure.AlongY, Low: 5, High: 6.5, Role: figure.Aim, Label: figure.Same("aim: 5 to 6.5")},
			figure.Band{X: grid, Low: apply(grid, func(x float64) float64 { return firmness(x) - 0.35 - 0.01*(x-52)*(x-52) }), High: apply(grid, func(x float64) float64 { return firmness(x) + 0.35 + 0.01*(x-52)*(x-52) }), Role: figure.Curve},
			figure.Points{X: px, Y: py, Offset: figure.Spread(px, py, 1.6), Size: figure.Piece, Style: figure.Style{Role: figure.Curve}},
			figure.Line{X: grid, Y: apply(grid, firmness), Style: figure.Style{Role: figure.Curve}},
			figure.Points{X: cx, Y: cy, Offset: figure.Spread(cx, cy, 0.4), Size: figure.Cook, Style: figure.Style{Role: figure.Curve}},
			figure.Strip{X: grid, Chance: apply(grid, func(x float64) float64 { return 0.82 * math.Exp(-(x-51.6)*(x-51.6)/3.4) }),
				Label:  figure.Same("Chance that all aims hold"),
				Levels: []figure.Level{{At: 0.5, Label: figure.Same("1 in 2")}, {At: 0.9, Label: figure.Same("9 in 10")}}},
			figure.Window{Low: 50.5, High: 53, Best: 51.5, HasBest: true, Label: figure.Text{Metric: "more likely than not, 50.5 to 53.0 °C", US: "more likely than not, 123 to 127 °F"}},
		},
	}
}

func treatments() figure.Figure {
	f := Curve()
	f.ID = "treatments"
	f.Title = figure.Same("Dry brine takes about one step off the surface protein at every set point")
	f.Y = figure.Number("Surface protein, 0 none to 5 covered", "", 0, 5, 6)
	grid := seq(44, 60, 65)
	f.Layers = []figure.Layer{figure.Zone{Along: figure.AlongY, Low: 0, LowOpen: true, High: 2, Role: figure.Aim, Label: figure.Same("aim: at most 2")}}
	for k, name := range []string{"plain", "dry-brined"} {
		g := func(x float64) float64 { return 0.4 + 4.2/(1+math.Exp(-(x-53)/3)) - 0.7*float64(k)*(x-40)/12 }
		s := figure.Treatment(k)
		cx, cy := cooks(g, 100*k)
		for i := range cy {
			cy[i] = math.Min(5, math.Max(0, cy[i]))
			cx[i] += 0.3*float64(k) - 0.15
		}
		f.Layers = append(f.Layers,
			figure.Band{X: grid, Low: apply(grid, func(x float64) float64 { return g(x) - 0.3 }), High: apply(grid, func(x float64) float64 { return g(x) + 0.3 }), Role: s.Role},
			figure.Line{X: grid, Y: apply(grid, g), Style: s, Label: figure.Same(name)},
			figure.Points{X: cx, Y: cy, Offset: figure.Spread(cx, cy, 0.4), Size: figure.Cook, Style: s, Label: figure.Same(name)})
	}
	f.Layers = append(f.Layers, figure.Window{Low: 44, High: 53, Sure: true, Label: figure.Text{Metric: "dry-brined, up to 53.0 °C", US: "dry-brined, up to 127 °F"}})
	return f
}

func core() figure.Figure {
	f := figure.Figure{
		ID: "core", Title: figure.Same("The 44 °C pieces need 40 minutes to arrive"), Desc: figure.Same("Core temperature over time for six baths."),
		Caption: figure.Same("One probe a cook."),
		X:       figure.Number("Time in the bath", "min", 0, 60, 7),
		Y:       figure.Temperature("Core", 0, 62, 6),
	}
	ts := seq(0, 60, 61)
	for i, t := range []float64{44, 48, 50, 52, 56, 60} {
		f.Layers = append(f.Layers, figure.Line{X: ts, Y: apply(ts, func(m float64) float64 { return t - (t-4)*math.Exp(-m/9) }),
			Style: figure.Style{Role: figure.SetPoint((t - 44) / 16), Dash: figure.Solid},
			Label: figure.Text{Metric: figure.FormatNumber(t, 0) + " °C", US: figure.FormatNumber(1.8*t+32, 0) + " °F"}})
		_ = i
	}
	f.Layers = append(f.Layers, figure.Threshold{Along: figure.AlongY, At: 54, Role: figure.Warning, Label: figure.Same("growth stops")},
		figure.Threshold{Along: figure.AlongX, At: 42, Role: figure.Muted, Label: figure.Same("within 0.5 °C")},
		figure.Zone{Along: figure.AlongX, Low: 42, HighOpen: true, Role: figure.Aim, Label: figure.Same("hold")})
	return f
}

func arms() figure.Figure {
	f := figure.Figure{
		ID: "arms", Title: figure.Same("52 and 56 °C differ from 44 °C"), Desc: figure.Same("Means with intervals."), Caption: figure.Same("3 cooks each."),
		X: figure.Number("Firmness", "", 0, 10, 6),
		Y: figure.Category("Set point", figure.Text{Metric: "44 °C", US: "111.2 °F"}, figure.Text{Metric: "48 °C, 60 min, dry-brined with 1 % salt", US: "118.4 °F, 60 min, dry-brined with 1 % salt"}, figure.Text{Metric: "52 °C", US: "125.6 °F"}),
		Layers: []figure.Layer{
			figure.Bars{Along: figure.AlongX, At: []float64{0, 1, 2}, Value: []float64{2.6, 4.1, 6.3}, Width: 0.5, Role: figure.Curve, Label: figure.Same("mean")},
			figure.Note{X: 6.3, Y: 2, Text: figure.Same("closest")},
		},
	}
	return f
}

func boxes() figure.Figure {
	return figure.Figure{
		ID: "boxes", Title: figure.Same("Scores spread most at 52 °C"), Desc: figure.Same("Box plots of scores."), Caption: figure.Same("24 scores a box."),
		X: figure.Category("Set point", figure.Same("44 °C"), figure.Same("48 °C"), figure.Same("52 °C"), figure.Same("56 °C")),
		Y: figure.Number("Liking, 1 to 9", "", 1, 9, 9),
		Layers: []figure.Layer{
			figure.Boxes{Width: 0.5, Label: figure.Same("liking"), Boxes: []figure.Box{
				{At: 0, Low: 2, Q1: 3, Median: 4, Q3: 5, Top: 6, N: 24, Role: figure.SetPoint(0)},
				{At: 1, Low: 3, Q1: 4, Median: 5, Q3: 6, Top: 8, N: 24, Role: figure.SetPoint(0.33)},
				{At: 2, Low: 3, Q1: 5, Median: 7, Q3: 8, Top: 9, N: 24, Role: figure.SetPoint(0.66)},
				{At: 3, Low: 2, Q1: 4, Median: 5, Q3: 5.5, Top: 7, N: 24, Role: figure.SetPoint(1)}}},
			figure.ErrorBars{At: []float64{0, 1, 2, 3}, Low: []float64{3.5, 4.6, 5.9, 4.2}, High: []float64{4.4, 5.6, 7, 5.2}, Offset: []float64{0.34, 0.34, 0.34, 0.34}, Style: figure.Style{Role: figure.Ink}, Label: figure.Same("mean, 95 %")},
		},
	}
}

func heat() figure.Figure {
	f := figure.Figure{
		ID: "heat", Title: figure.Same("P3 scores lower than the others everywhere"), Desc: figure.Same("Mean score by taster and set point."), Caption: figure.Same("Mean of 3 looks."),
		X: figure.Category("Set point", figure.Same("44"), figure.Same("48"), figure.Same("52"), figure.Same("56"), figure.Same("60")),
		Y: figure.Category("Taster", figure.Same("P1"), figure.Same("P2"), figure.Same("P3"), figure.Same("P4")),
	}
	h := figure.Heat{Low: 1, High: 9, Label: figure.Same("mean")}
	for r := range 4 {
		for c := range 5 {
			v := 1.5 + 1.6*float64(c) + 0.8*noise(r*7+c)
			if r == 2 {
				v -= 0.9
			}
			h.Cells = append(h.Cells, figure.Cell{Col: c, Row: r, Value: v, Text: figure.FormatNumber(v, 1)})
		}
	}
	f.Layers = []figure.Layer{h}
	return f
}

func timeline() figure.Figure {
	return figure.Figure{
		ID: "timeline", Title: figure.Same("Everything reaches the plate at 19:30"), Desc: figure.Same("When each bath is used."), Caption: figure.Same("Three baths."),
		X: figure.Axis{Label: figure.Same("Clock"), Min: 1020, Max: 1180, Metric: []figure.Tick{{At: 1020, Label: "17:00"}, {At: 1050, Label: "17:30"}, {At: 1080, Label: "18:00"}, {At: 1110, Label: "18:30"}, {At: 1140, Label: "19:00"}, {At: 1170, Label: "19:30"}}},
		Y: figure.Category("", figure.Same("north"), figure.Same("south"), figure.Same("east bath with a long name")),
		Layers: []figure.Layer{
			figure.Spans{Items: []figure.Span{
				{Row: 0, From: 1030, To: 1090, Label: figure.Text{Metric: "A, 44 °C", US: "A, 111 °F"}, Role: figure.SetPoint(0)},
				{Row: 0, From: 1105, To: 1165, Label: figure.Text{Metric: "D, 52 °C", US: "D, 126 °F"}, Role: figure.SetPoint(0.5)},
				{Row: 1, From: 1040, To: 1100, Label: figure.Text{Metric: "B, 48 °C", US: "B, 118 °F"}, Role: figure.SetPoint(0.25)},
				{Row: 1, From: 1105, To: 1112, Label: figure.Same("refill"), Role: figure.Muted},
				{Row: 2, From: 1060, To: 1120, Label: figure.Text{Metric: "C, 60 °C", US: "C, 140 °F"}, Role: figure.SetPoint(1)}}},
			figure.Threshold{Along: figure.AlongX, At: 1170, Role: figure.Ink, Label: figure.Same("on the plate")},
		},
	}
}

func orders() figure.Figure {
	return figure.Figure{
		ID: "orders", Title: figure.Same("Two in three tasters put 52 °C first"), Desc: figure.Same("Share of first places."), Caption: figure.Same("24 tasters."),
		X: figure.Category("Set point", figure.Same("44 °C"), figure.Same("48 °C"), figure.Same("52 °C")),
		Y: figure.Number("First places", "%", 0, 100, 6),
		Layers: []figure.Layer{
			figure.Bars{At: []float64{0, 1, 2}, Value: []float64{12, 22, 66}, Width: 0.6, Role: figure.Curve},
		},
	}
}

func forest() figure.Figure {
	names := []figure.Text{figure.Same("headline: means of cooks, blocks removed"), figure.Same("without blocks"), figure.Same("ranks"), figure.Same("without one cook")}
	return figure.Figure{
		ID: "forest", Title: figure.Same("Both analyses point the same way"), Desc: figure.Same("Estimates under each other."), Caption: figure.Same("Intervals at 95 %."),
		X: figure.Number("Change from 44 °C to 60 °C", "", -0.6, 8.2, 6),
		Y: figure.Category("", names...),
		Layers: []figure.Layer{
			figure.Threshold{Along: figure.AlongX, At: 0, Role: figure.Muted, Label: figure.Same("no difference")},
			figure.ErrorBars{Along: figure.AlongX, At: []float64{0}, Low: []float64{7.08}, High: []float64{7.86}, Style: figure.Style{Role: figure.Curve}},
			figure.ErrorBars{Along: figure.AlongX, At: []float64{1}, Low: []float64{6.84}, High: []float64{8.1}, Offset: []float64{0}, Style: figure.Style{Role: figure.Muted, Mark: figure.Square}},
			figure.Points{X: []float64{7.47}, Y: []float64{0}, Names: []figure.Text{figure.Same("estimate")}, Style: figure.Style{Role: figure.Curve}},
			figure.Points{X: []float64{7.47}, Y: []float64{1}, Style: figure.Style{Role: figure.Muted, Mark: figure.Square}},
			figure.Note{X: -0.6, Y: 2, Text: figure.Same("on another scale"), Role: figure.Muted},
			figure.Points{X: []float64{7.2, 7.4, 7.5, 7.7}, Y: []float64{3, 3, 3, 3}, Size: figure.Piece, Style: figure.Style{Role: figure.Curve}},
		},
	}
}

// crowded has labels that all want the same place, and hostile words.
func crowded() figure.Figure {
	f := figure.Figure{
		ID: "crowded", Title: figure.Same(`</title><script>alert("x")</script> & 'quotes' ` + "\u202eevil\u202c\x00"), Desc: figure.Same("]]> <b>"), Caption: figure.Same("n = 4"),
		Footer: []figure.Text{figure.Same("<i>source</i>")},
		X:      figure.Temperature("Set point", 44, 60, 7),
		Y:      figure.Number("Firmness", "", 0, 10, 6),
	}
	xs := seq(44, 60, 17)
	for k, name := range []string{"plain", "dry-brined", "wet-brined for twenty minutes", "oil and thyme in the bag", "<b>"} {
		s := figure.Treatment(k)
		f.Layers = append(f.Layers, figure.Line{X: xs, Y: apply(xs, func(x float64) float64 { return 5 + 0.1*float64(k) + 0.02*(x-44) }), Style: s, Label: figure.Same(name)},
			figure.Points{X: []float64{44, 52, 60}, Y: []float64{4 - 0.5*float64(k)/2, 6 + float64(k)/2, 5}, Style: s, Label: figure.Same(name)})
	}
	return f
}
