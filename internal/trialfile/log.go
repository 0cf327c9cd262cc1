package trialfile

import (
	"fmt"
	"regexp"
	"strings"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

var logSuffix = regexp.MustCompile(`^(time|core|bath)_([a-zA-Z]+)$`)

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
	at := map[string]int{"time": -1, "core": -1, "bath": -1}
	for i := range cols {
		name := strings.ToLower(cols[i].name)
		if m := logSuffix.FindStringSubmatch(name); m != nil && logUnits[m[2]] != "" {
			name, cols[i].cell.unit = m[1], logUnits[m[2]]
		}
		if have, ok := at[name]; ok && have < 0 {
			at[name] = i
		} else if name != "" {
			r.warn(cols[i].at, "unused-column", fmt.Sprintf("the column %s is not used", quote(cols[i].name)), r.nearest(name, newNames([]string{"time", "core", "bath"})))
		}
	}
	if at["time"] < 0 || at["core"] < 0 && at["bath"] < 0 {
		r.fail(cols[0].at, "missing-column", "a log has a column time, and core or bath or both", "name them like time (min),core (°C),bath (°C)")
		return
	}
	c.Log = r.logPoints(t, cols, at)
}

func (r *reader) logPoints(t *table, cols []column, at map[string]int) []trial.LogPoint {
	out := make([]trial.LogPoint, 0, len(t.rows))
	start, last := 0.0, 0.0
	for _, row := range t.rows {
		get := func(name string) *item {
			i := at[name]
			if i < 0 {
				return &item{}
			}
			v := &item{kind: scalar, text: strings.TrimSpace(row[i].text), at: row[i].at, cell: cols[i].cell}
			if v.text == "" {
				v.kind = blank
			}
			return v
		}
		when := get("time")
		minutes, ok := r.logTime(when)
		if !ok {
			continue
		}
		if len(out) == 0 {
			start, last = minutes, minutes
		}
		if _, problem := parseClock(when.text); problem == "" {
			for minutes < last-12*60 { // a clock that jumps back by half a day has passed midnight
				minutes += 24 * 60
			}
		}
		if minutes < last {
			r.fail(when.at, "time-goes-back", fmt.Sprintf("the time goes back from %s to %s min", formatNumber(last-start), formatNumber(minutes-start)), "sort the log by time")
			continue
		}
		last = minutes
		p := trial.LogPoint{Minutes: minutes - start}
		for _, s := range []struct {
			name string
			to   *trial.Opt[quantity.Temperature]
		}{{"core", &p.Core}, {"bath", &p.Bath}} {
			if v := get(s.name); v.kind == scalar {
				if x, ok := temperature.read(r, v); ok {
					*s.to = trial.SomeAt(x, v.at.pos)
				}
			}
		}
		out = append(out, p)
	}
	return out
}

// logTime is a clock time or a duration, in minutes.
func (r *reader) logTime(it *item) (float64, bool) {
	if it.kind == blank {
		r.fail(it.at, "missing-value", "a line of a log without its time", "fill it in, or delete the line")
		return 0, false
	}
	if c, problem := parseClock(it.text); problem == "" {
		m := float64(c.Minute) + float64(c.Second)/60
		if !c.Date.IsZero() {
			m += float64(c.Date.Days()) * 24 * 60
		}
		return m, true
	}
	d, ok := duration.read(r, it)
	return d.Minutes(), ok
}
