package figure

// Units chooses the unit system in which a figure speaks.
type Units int

// The two unit systems. Positions are stored in metric units in either case.
const (
	Metric Units = iota
	US
)

// Text is words that may name a quantity and therefore exist for both unit
// systems. An empty US means: the same as Metric.
type Text struct{ Metric, US string }

// Same is text that does not depend on units.
func Same(s string) Text { return Text{Metric: s} }

// In returns the words for the unit system.
func (t Text) In(u Units) string {
	if u == US && t.US != "" {
		return t.US
	}
	return t.Metric
}

// Dual reports whether the two unit systems read differently.
func (t Text) Dual() bool { return t.US != "" && t.US != t.Metric }
