package heat

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// LogReading is what the probe log of a cook says. Temperatures of the bath are
// corrected by the error of its thermometer where that is known; the core is
// taken as it was read. A number that the log cannot give is an absence with
// its reason.
type LogReading struct {
	Points int // lines with a temperature, until the food came out

	// BathMean, °C, and BathSD, K, from the first return of the bath to within
	// Returned of the set point after the food went in, until the food came out.
	// A bath that never comes so close is read from where it settled. Every line
	// counts for the time between its neighbours.
	BathMean, BathSD quantity.Number
	// BathLow is the coldest line of the bath, °C, and Returned when, in minutes,
	// the bath was back.
	BathLow, Returned quantity.Number

	CoreMax quantity.Number // °C
	// Reached reports whether the core came within ComeUp of the bath as it
	// really stood. It is false without a core column, and CoreMax is absent then.
	Reached bool
	Arrived quantity.Number // minutes in the bath at which it did
	// Offset is by how much, K, the core reads above the bath at the end, where it
	// has stopped rising: two thermometers that agree give 0.
	Offset quantity.Number

	// Minutes and Core are the lines with a core, Bath those with a bath, for
	// figures: as read, the bath corrected.
	Core, Bath []LogLine
}

// LogLine is one reading.
type LogLine struct{ Minutes, Celsius float64 }

// settled is the share of a log, from its end, over which a bath or a core is
// taken to have settled.
const settled = 0.2

// readLog reads the log of a cook with a set point in °C. It is nil where the
// cook names no log.
func readLog(t *trial.Trial, c *trial.Cook, setPoint float64) *LogReading {
	if !c.LogFile.Known && len(c.Log) == 0 {
		return nil
	}
	r := &LogReading{}
	out := math.Inf(1)
	if d, ok := c.BathTime(); ok {
		out = d.Minutes()
	}
	high := readsHigh(t, c)
	lines := make([]LogLine, 2*len(c.Log))
	r.Core, r.Bath = lines[:0:len(c.Log)], lines[len(c.Log):][:0]
	for i := range c.Log {
		l := &c.Log[i]
		if !(l.Minutes >= 0 && l.Minutes <= out) {
			continue
		}
		core, bath := l.Core.V.Celsius(), l.Bath.V.Celsius()-high
		if l.Core.Known && finite(core) {
			r.Core = append(r.Core, LogLine{l.Minutes, core})
		}
		if l.Bath.Known && finite(bath) {
			r.Bath = append(r.Bath, LogLine{l.Minutes, bath})
		}
	}
	byTime := func(ls []LogLine) {
		earlier := func(a, b LogLine) int { return cmp.Compare(a.Minutes, b.Minutes) }
		if !slices.IsSortedFunc(ls, earlier) {
			slices.SortStableFunc(ls, earlier)
		}
	}
	byTime(r.Core)
	byTime(r.Bath)
	r.Points = len(r.Core) + len(r.Bath)
	r.readBath(setPoint)
	r.readCore(r.BathMean.Or(setPoint - high))
	return r
}

// readBath finds the return of the bath, and its mean and spread from there on.
func (r *LogReading) readBath(setPoint float64) {
	absent := func(why string) {
		for _, n := range []*quantity.Number{&r.BathMean, &r.BathSD, &r.BathLow, &r.Returned} {
			*n = quantity.Absent(why)
		}
	}
	if len(r.Bath) == 0 {
		absent("the log has no bath")
		return
	}
	low := math.Inf(1)
	for _, l := range r.Bath {
		low = math.Min(low, l.Celsius)
	}
	level := setPoint
	from, ok := returned(r.Bath, level)
	if !ok { // it stood elsewhere, and that is what shall be seen
		level, _ = spread(tail(r.Bath))
		from, ok = returned(r.Bath, level)
	}
	if !ok {
		absent("the bath never settled")
		r.BathLow = quantity.Num(low)
		return
	}
	mean, sd := spread(r.Bath[from:])
	r.BathMean, r.BathSD = quantity.Num(mean), quantity.Num(sd)
	r.BathLow, r.Returned = quantity.Num(low), quantity.Num(r.Bath[from].Minutes)
	if len(r.Bath[from:]) < 2 {
		r.BathSD = quantity.Absent("the log has one line of the bath there")
	}
}

// returned is the first line within Returned of the level after the drop that
// cold food makes: the drop is the first line that is further off, and a bath
// that was never further off was back at once.
func returned(bath []LogLine, level float64) (line int, ok bool) {
	const rounding = 1e-9 // 52.3 less 52 is not 0.3 to the last bit
	near := func(i int) bool { return math.Abs(bath[i].Celsius-level) <= Returned+rounding }
	drop := 0
	for drop < len(bath) && near(drop) {
		drop++
	}
	if drop == len(bath) {
		return 0, drop > 0
	}
	for i := drop; i < len(bath); i++ {
		if near(i) {
			return i, true
		}
	}
	return 0, false
}

// readCore finds the arrival of the core at a bath that stood at celsius.
func (r *LogReading) readCore(celsius float64) {
	if len(r.Core) == 0 {
		const why = "the log has no core"
		r.CoreMax, r.Arrived, r.Offset = quantity.Absent(why), quantity.Absent(why), quantity.Absent(why)
		return
	}
	const rounding = 1e-9
	target := celsius - ComeUp - rounding
	most := math.Inf(-1)
	r.Arrived = quantity.Absent("the core did not arrive")
	for i, l := range r.Core {
		most = math.Max(most, l.Celsius)
		if l.Celsius < target || r.Reached {
			continue
		}
		r.Reached = true
		at := l.Minutes
		if i > 0 { // between the two lines, on the straight line through them
			p := r.Core[i-1]
			at = p.Minutes + (target-p.Celsius)/(l.Celsius-p.Celsius)*(l.Minutes-p.Minutes)
		}
		r.Arrived = quantity.Num(at)
	}
	r.CoreMax = quantity.Num(most)
	r.Offset = r.offset(celsius)
}

// flat is how much, K, a core may still rise over the settled end of a log to
// be called at rest.
const flat = 0.1

func (r *LogReading) offset(celsius float64) quantity.Number {
	end := tail(r.Core)
	if len(end) < 3 || math.Abs(end[len(end)-1].Celsius-end[0].Celsius) > flat {
		return quantity.Absent("the core was still moving at the end of the log")
	}
	mean, _ := spread(end)
	if bath := tail(r.Bath); len(bath) > 0 {
		celsius, _ = spread(bath)
	}
	return quantity.Num(mean - celsius)
}

// tail is the settled end of a log: the last lines, over its last fifth.
func tail(ls []LogLine) []LogLine {
	if len(ls) == 0 {
		return nil
	}
	first, last := ls[0].Minutes, ls[len(ls)-1].Minutes
	from := last - settled*(last-first)
	i := sort.Search(len(ls), func(i int) bool { return ls[i].Minutes >= from })
	return ls[i:]
}

// spread is the mean and the standard deviation of lines, each weighted by half
// the time between its neighbours, so that a log that was sampled faster for a
// while does not count that while twice. Lines at one moment weigh the same.
func spread(ls []LogLine) (mean, sd float64) {
	n := len(ls)
	even := false
	weight := func(i int) float64 {
		if even {
			return 1
		}
		return (ls[min(i+1, n-1)].Minutes - ls[max(i-1, 0)].Minutes) / 2
	}
	var sum float64
	for i := range ls {
		sum += weight(i)
	}
	if !(sum > 0) {
		even, sum = true, float64(n)
	}
	for i, l := range ls {
		mean += weight(i) / sum * l.Celsius
	}
	var square float64
	for i, l := range ls {
		square += weight(i) / sum * (l.Celsius - mean) * (l.Celsius - mean)
	}
	return mean, math.Sqrt(square)
}

// hasBath reports whether a log tells what the bath did.
func hasBath(r *LogReading) bool { return r != nil && len(r.Bath) >= 2 }

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// readsHigh is what the thermometer of a cook's bath reads too high, K, as it is
// stated; 0 where it is not.
func readsHigh(t *trial.Trial, c *trial.Cook) float64 {
	if b := bathOf(t, c); b != nil && b.Reads.Known {
		return b.Reads.V.Kelvin()
	}
	return 0
}

// bathOf is the bath that a cook was in, nil where it is not known or not listed.
func bathOf(t *trial.Trial, c *trial.Cook) *trial.Bath {
	id, ok := t.BathOf(c)
	if !ok {
		return nil
	}
	for i := range t.Baths {
		if t.Baths[i].ID == id {
			return &t.Baths[i]
		}
	}
	return nil
}

// unread is a log of which nothing is used, for a reason.
func (r *LogReading) unread(why string) *LogReading {
	n := quantity.Absent(why)
	return &LogReading{Points: r.Points, BathMean: n, BathSD: n, BathLow: n, Returned: n, CoreMax: n, Arrived: n, Offset: n}
}

// fahrenheit reports whether the log looks as if °F stood under a heading of
// °C: it says to be far above the set point, and is near it when taken as °F.
func (r *LogReading) fahrenheit(setPoint float64) bool {
	look := r.Bath
	if len(look) == 0 {
		look = r.Core
	}
	if len(look) == 0 {
		return false
	}
	level, _ := spread(tail(look))
	return level > setPoint+20 && (level-32)/1.8 > setPoint-15 && (level-32)/1.8 < setPoint+5
}
