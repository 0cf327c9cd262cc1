package heat

// Range is a predicted number of minutes with its favourable and its
// unfavourable end. Low ≤ Mid ≤ High, all finite, and only where Known; a Range
// that is not known says in Why what would be needed.
type Range struct {
	Known          bool
	Low, Mid, High float64 // minutes
	Why            *Cannot // where it is not known
}

// Exactly is a range without width, for what was measured or stated.
func Exactly(minutes float64) Range {
	return Range{Known: true, Low: minutes, Mid: minutes, High: minutes}
}

// Contains reports whether the minutes lie in a known range.
func (r Range) Contains(minutes float64) bool {
	return r.Known && minutes >= r.Low && minutes <= r.High
}
