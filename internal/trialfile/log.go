package trialfile

import (
	"fmt"
	"slices"
	"strings"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// logUnits are the units that may stand in the header of a log, after the name:
// "core (°C)" or core_c.
var logUnits = map[string]string{"s": "s", "sec": "s", "min": "min", "h": "h", "c": "°C", "f": "°F", "k": "K"}

// readLog reads the probe log of a cook.
func readLog(r *reader, it *item, c *trial.Cook) {
	if c.LogFile = readPath(r, it); !c.LogFile.Known {
		return
	}
	t := r.table(it, true)
	if t == nil {
		return
	}
	cols := r.columns(t)
	at := logColumns{-1, -1, -1}
	for i := range cols {
		name := strings.ToLower(cols[i].name)
		if of, unit, ok := strings.Cut(name, "_"); ok && slices.Contains(logNames[:], of) && logUnits[unit] != "" {
			name, cols[i].cell.unit = of, logUnits[unit]
		}
		if have := slices.Index(logNames[:], name); have >= 0 && at[have] < 0 {
			at[have] = i
		} else if name != "" {
			r.warn(cols[i].at, "unused-column", fmt.Sprintf("the column %s is not used", quote(cols[i].name)), r.nearest(name, newNames(logNames[:])))
		}
	}
	if at[logTime] < 0 || at[logCore] < 0 && at[logBath] < 0 {
		r.fail(cols[0].at, "missing-column", "a log has a column time, and core or bath or both", "name them like time (min),core (°C),bath (°C)")
		return
	}
	c.Log = r.logPoints(t, cols, at)
}

// logNames are the columns of a log, and logColumns where they stand; -1 is nowhere.
var logNames = [...]string{logTime: "time", logCore: "core", logBath: "bath"}

const (
	logTime = iota
	logCore
	logBath
)

type logColumns [len(logNames)]int

func (r *reader) logPoints(t *table, cols []column, at logColumns) []trial.LogPoint {
	out := make([]trial.LogPoint, 0, len(t.rows))
	start, last := 0.0, 0.0
	var cells [len(logNames)]item // of one row after the other
	for _, row := range t.rows {
		for which, i := range at {
			if i < 0 {
				continue
			}
			v := &cells[which]
			*v = item{kind: scalar, text: strings.TrimSpace(row[i].text), at: t.at(&row[i]), cell: cols[i].cell}
			if v.text == "" {
				v.kind = blank
			}
		}
		when := &cells[logTime]
		minutes, clock, ok := r.logTime(when)
		if !ok {
			continue
		}
		if len(out) == 0 {
			start, last = minutes, minutes
		}
		if clock {
			for minutes < last-12*60 { // a clock that jumps back by half a day has passed midnight
				minutes += 24 * 60
			}
		}
		if minutes < last {
			r.fail(when.at, "time-goes-back", fmt.Sprintf("the time goes back from %s to %s min", formatNumber(last-start), formatNumber(minutes-start)), "sort the log by time")
			continue
		}
		last = minutes
		out = append(out, trial.LogPoint{Minutes: minutes - start, Core: r.logTemperature(&cells[logCore]), Bath: r.logTemperature(&cells[logBath])})
	}
	return out
}

func (r *reader) logTemperature(it *item) trial.Opt[quantity.Temperature] {
	if it.kind == scalar {
		if x, ok := temperature.read(r, it); ok {
			return trial.SomeAt(x, it.at.pos)
		}
	}
	return trial.Opt[quantity.Temperature]{}
}

// logTime is a clock time or a duration, in minutes, and which of the two it is.
func (r *reader) logTime(it *item) (minutes float64, clock, ok bool) {
	if it.kind == blank {
		r.fail(it.at, "missing-value", "a line of a log without its time", "fill it in, or delete the line")
		return 0, false, false
	}
	if c, problem := parseClock(it.text); problem == "" {
		m := float64(c.Minute) + float64(c.Second)/60
		if !c.Date.IsZero() {
			m += float64(c.Date.Days()) * 24 * 60
		}
		return m, true, true
	}
	d, ok := duration.read(r, it)
	return d.Minutes(), false, ok
}
