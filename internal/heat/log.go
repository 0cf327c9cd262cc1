package heat

import (
	"math"
	"sort"

	"tamis/internal/trial"
)

// probe is the log of a cook, for the worse: it may show that the core or the
// bath was colder than the calculation says. It never improves anything.
type probe struct {
	minutes, core []float64 // of lines with a core, in order of time, as read
	coldestBath   float64   // °C, less the error; +Inf without a bath column
}

// probeOf reads the log of a cook, or gives nil where there is none. The error
// that the bath's own thermometer is charged with is charged to its log too.
func probeOf(c *trial.Cook, setPoint, bath float64) *probe {
	if len(c.Log) == 0 {
		return nil
	}
	p := &probe{coldestBath: math.Inf(1)}
	lines := make([]float64, 2*len(c.Log))
	p.minutes, p.core = lines[:0:len(c.Log)], lines[len(c.Log):][:0]
	for i := range c.Log {
		l := &c.Log[i]
		if l.Bath.Known {
			p.coldestBath = min(p.coldestBath, l.Bath.V.Celsius()-(setPoint-bath))
		}
		if l.Core.Known && l.Minutes >= 0 && !math.IsInf(l.Minutes, 1) {
			p.minutes = append(p.minutes, l.Minutes)
			p.core = append(p.core, l.Core.V.Celsius())
		}
	}
	if !sort.IsSorted(p) {
		sort.Sort(p)
	}
	return p
}

func (p *probe) Len() int { return len(p.minutes) }
func (p *probe) Less(i, j int) bool {
	if p.minutes[i] != p.minutes[j] {
		return p.minutes[i] < p.minutes[j]
	}
	return p.core[i] < p.core[j] // of two readings at once the colder counts
}
func (p *probe) Swap(i, j int) {
	p.minutes[i], p.minutes[j] = p.minutes[j], p.minutes[i]
	p.core[i], p.core[j] = p.core[j], p.core[i]
}

// bath is the bath that counts: the calculated or the coldest that was logged.
// Safe on nil.
func (p *probe) bath(celsius float64) float64 {
	if p == nil {
		return celsius
	}
	return min(celsius, p.coldestBath)
}

// lower is the colder of the calculation and the line through the log. After
// the last line the core is taken to stay as far below the calculation as it
// was then. Readings count as they are: a probe that reads low makes the
// verdict worse, and that is the right side.
func (p *probe) lower(minutes float64, computed func(minutes float64) float64) float64 {
	a := along{p: p, computed: computed, line: sort.SearchFloat64s(p.minutes, minutes)}
	return a.lower(minutes, computed(minutes))
}

// along is lower at times that do not fall, with the calculation at hand.
type along struct {
	p        *probe
	computed func(minutes float64) float64
	line     int     // the first that is not before the time asked for
	below    float64 // of the last line, and whether it is known
	known    bool
}

func (a *along) lower(minutes, t float64) float64 {
	p := a.p
	n := len(p.minutes)
	for a.line < n && p.minutes[a.line] < minutes {
		a.line++
	}
	i := a.line
	switch {
	case n == 0 || minutes < p.minutes[0]:
		return t
	case i == n:
		if !a.known {
			a.below, a.known = max(0, a.computed(p.minutes[n-1])-p.core[n-1]), true
		}
		return t - a.below
	case p.minutes[i] == minutes:
		return min(t, p.core[i])
	}
	w := (minutes - p.minutes[i-1]) / (p.minutes[i] - p.minutes[i-1])
	return min(t, p.core[i-1]+w*(p.core[i]-p.core[i-1]))
}
