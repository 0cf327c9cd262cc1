package figure

// Figure is one picture with everything that belongs to it.
type Figure struct {
	ID      string // letters, digits and hyphens; unique on its page
	Title   Text   // states the finding
	Desc    Text   // the picture in words, for those who cannot see it
	Caption Text   // n, and what points, bars and bands mean
	Footer  []Text // caution, source, date: travel inside the picture wherever it goes
	X, Y    Axis
	Layers  []Layer // in drawing order; lanes and labels are placed by the backend
}

// Axis is one direction of a figure. It is either a number line with a range,
// or a list of categories at the positions 0, 1, 2 … (those of a vertical axis
// run from the top down). A zero Axis with no range is not valid.
type Axis struct {
	Label      Text
	Unit       Text // "°C"; empty: none
	Min, Max   float64
	Metric, US []Tick // explicit ticks for either reader; US nil: as Metric
	Digits     int    // decimals of this axis in the data table
	Convert    Conversion
	Categories []Text
}

// Tick is a labelled position. At is in metric units in both lists of an axis.
type Tick struct {
	At    float64
	Label string
}

// Conversion turns a stored metric number into the number a US reader wants:
// Factor*v + Offset. The zero Conversion leaves numbers alone.
type Conversion struct{ Factor, Offset float64 }

// Apply converts v.
func (c Conversion) Apply(v float64) float64 {
	if c.Factor == 0 {
		return v
	}
	return c.Factor*v + c.Offset
}

// Invert is the metric number behind the US number v.
func (c Conversion) Invert(v float64) float64 {
	if c.Factor == 0 {
		return v
	}
	return (v - c.Offset) / c.Factor
}

// TicksIn returns the ticks for the unit system; for categories, one a
// category.
func (a Axis) TicksIn(u Units) []Tick {
	if len(a.Categories) > 0 {
		ts := make([]Tick, len(a.Categories))
		for i, c := range a.Categories {
			ts[i] = Tick{At: float64(i), Label: c.In(u)}
		}
		return ts
	}
	if u == US && a.US != nil {
		return a.US
	}
	return a.Metric
}

// Range returns the drawn range. Categories have half a step of air at both
// ends.
func (a Axis) Range() (lo, hi float64) {
	if n := len(a.Categories); n > 0 {
		return -0.5, float64(n) - 0.5
	}
	return a.Min, a.Max
}

// Title is the label with its unit: "Set point, °C".
func (a Axis) Title(u Units) string {
	l, unit := a.Label.In(u), a.Unit.In(u)
	switch {
	case unit == "":
		return l
	case l == "":
		return unit
	}
	return l + ", " + unit
}

// Dual reports whether any word, tick or number of the figure reads differently
// in the two unit systems.
func (f Figure) Dual() bool {
	for _, t := range append([]Text{f.Title, f.Desc, f.Caption}, f.Footer...) {
		if t.Dual() {
			return true
		}
	}
	return f.X.Dual() || f.Y.Dual() || f.layersDual()
}

// Dual reports whether the axis reads differently in the two unit systems.
func (a Axis) Dual() bool {
	for _, t := range append([]Text{a.Label, a.Unit}, a.Categories...) {
		if t.Dual() {
			return true
		}
	}
	return a.Convert.Factor != 0 || a.US != nil
}

func (f Figure) layersDual() bool {
	for _, l := range f.Layers {
		for _, t := range words(l) {
			if t.Dual() {
				return true
			}
		}
	}
	return false
}

// words are the labels of a layer.
func words(l Layer) (ts []Text) {
	switch l := l.(type) {
	case Line:
		ts = []Text{l.Label}
	case Band:
		ts = []Text{l.Label}
	case Points:
		ts = append([]Text{l.Label}, l.Names...)
	case ErrorBars:
		ts = []Text{l.Label}
	case Zone:
		ts = []Text{l.Label}
	case Window:
		ts = []Text{l.Label}
	case Threshold:
		ts = []Text{l.Label}
	case Strip:
		ts = []Text{l.Label}
		for _, e := range l.Levels {
			ts = append(ts, e.Label)
		}
	case Bars:
		ts = []Text{l.Label}
	case Boxes:
		ts = []Text{l.Label}
	case Heat:
		ts = []Text{l.Label}
	case Spans:
		for _, it := range l.Items {
			ts = append(ts, it.Label)
		}
	case Note:
		ts = []Text{l.Text}
	}
	return ts
}
