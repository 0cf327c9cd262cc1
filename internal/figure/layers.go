package figure

// Layer is one thing drawn. The types of this file are all there are; any
// other is ErrUnknownLayer, in Validate and in every backend.
type Layer interface {
	// Kind is the name of the layer in messages: "line", "band" …
	Kind() string
}

// Direction says along which axis a layer lies.
type Direction int

// AlongY is a range or level of the vertical axis, AlongX of the horizontal.
const (
	AlongY Direction = iota
	AlongX
)

// Size is the class of a point: what it stands for decides how much it weighs.
type Size int

// One point per cook carries the figure; one per piece stays behind it.
const (
	Cook Size = iota
	Piece
)

// Line is a curve through points in increasing x. Its label stands at its end.
type Line struct {
	X, Y  []float64
	Style Style
	Label Text
}

// Band is the region between two curves, the doubt around a line.
type Band struct {
	X, Low, High []float64
	Role         Role
	Label        Text // only for the table; the caption says what a band covers
}

// Points are observations. Offset, when given, moves each point sideways for
// drawing only (see Spread); the table shows X. Names, when given, say what each
// point is: the table and a reader who points at it show the name.
type Points struct {
	X, Y, Offset []float64
	Names        []Text
	Size         Size
	Style        Style
	Label        Text
}

// ErrorBars are intervals. With AlongY they stand at the positions At of the
// horizontal axis, with AlongX they lie at the positions At of the vertical
// one. Offset, when given, moves each across, for drawing only.
type ErrorBars struct {
	Along                 Direction
	At, Low, High, Offset []float64
	Style                 Style
	Label                 Text
}

// Zone is a labelled range of one axis, such as an aim. An open end reaches the
// edge of the figure; the number there is not used.
type Zone struct {
	Along             Direction
	Low, High         float64
	LowOpen, HighOpen bool
	Role              Role
	Label             Text
}

// Window is a range marked on the horizontal axis, in a lane of its own under
// the data. Sure says that the range is beyond reasonable doubt: it is drawn
// solid, otherwise hatched. Best, when HasBest, is the pick inside.
type Window struct {
	Low, High float64
	Best      float64
	HasBest   bool
	Sure      bool
	Label     Text
}

// Threshold is a line at one value of an axis, with its label.
type Threshold struct {
	Along Direction
	At    float64
	Role  Role
	Label Text
}

// Strip is a chance (0 to 1) over x, drawn in a lane of its own under the data
// with its levels as hairlines.
type Strip struct {
	X, Chance []float64
	Label     Text
	Levels    []Level
}

// Level is a labelled height of a Strip.
type Level struct {
	At    float64
	Label Text
}

// Bars start at zero. With AlongY they stand at the positions At of the
// horizontal axis, with AlongX they lie at the positions At of the vertical
// one. Width is in the units of the axis they stand on.
type Bars struct {
	Along     Direction
	At, Value []float64
	Width     float64
	Role      Role
	Label     Text
}

// Box is a five-number summary at a position of the horizontal axis. The
// numbers are drawn as given.
type Box struct {
	At                       float64
	Low, Q1, Median, Q3, Top float64
	N                        int
	Role                     Role
}

// Boxes are box plots; Width is in the units of the horizontal axis.
type Boxes struct {
	Boxes []Box
	Width float64
	Label Text
}

// Cell is one field of a Heat: the column and row are positions of categories.
type Cell struct {
	Col, Row int
	Value    float64
	Text     string // the number as it should read
}

// Heat is a table of coloured, labelled fields over two category axes. Low and
// High are the values at the ends of the colour scale.
type Heat struct {
	Cells     []Cell
	Low, High float64
	Label     Text
}

// Span is something that lasts from one x to another, in a row of categories.
type Span struct {
	Row      int
	From, To float64
	Role     Role
	Label    Text
}

// Spans is a timeline.
type Spans struct {
	Items []Span
}

// Note is a few words at a place in the data.
type Note struct {
	X, Y float64
	Text Text
	Role Role
}

// Kind implements Layer.
func (Line) Kind() string { return "line" }

// Kind implements Layer.
func (Band) Kind() string { return "band" }

// Kind implements Layer.
func (Points) Kind() string { return "points" }

// Kind implements Layer.
func (ErrorBars) Kind() string { return "error bars" }

// Kind implements Layer.
func (Zone) Kind() string { return "zone" }

// Kind implements Layer.
func (Window) Kind() string { return "window" }

// Kind implements Layer.
func (Threshold) Kind() string { return "threshold" }

// Kind implements Layer.
func (Strip) Kind() string { return "strip" }

// Kind implements Layer.
func (Bars) Kind() string { return "bars" }

// Kind implements Layer.
func (Boxes) Kind() string { return "boxes" }

// Kind implements Layer.
func (Heat) Kind() string { return "heat" }

// Kind implements Layer.
func (Spans) Kind() string { return "spans" }

// Kind implements Layer.
func (Note) Kind() string { return "note" }
