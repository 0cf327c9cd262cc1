package report

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"tamis/internal/design/schedule"
	"tamis/internal/figure"
	"tamis/internal/figure/svg"
	"tamis/internal/prose"
	"tamis/internal/quantity"
)

// ErrNoDay is a day that a schedule does not have.
var ErrNoDay = errors.New("there is no such day in the schedule")

// TimelineFigure is one day of a schedule: a row for each bath, pan and pair of
// hands and one for the tasters, the time in clock hours along the bottom. Baths
// have the tone of their set point. The cautions travel in the footer. A day that
// is not there is ErrNoDay.
func TimelineFigure(s *schedule.Schedule, day int) (f figure.Figure, err error) {
	if s == nil || day < 0 || day >= len(s.Days) {
		return f, ErrNoDay
	}
	d := &s.Days[day]
	rows := map[string]int{}
	row := func(key, label string) {
		rows[key] = len(f.Y.Categories)
		f.Y.Categories = append(f.Y.Categories, figure.Same(clean(label)))
	}
	for _, b := range d.Baths {
		row("bath "+b, "bath "+b)
	}
	for _, p := range d.Pans {
		row("pan "+p, "pan "+strings.TrimPrefix(p, "pan "))
	}
	for h := 1; h <= d.Hands; h++ {
		row(fmt.Sprint("hand ", h), fmt.Sprint("hands ", h))
	}
	row("table", "at the table")
	low, high := math.Inf(1), math.Inf(-1)
	for _, c := range d.Cooks {
		if v, ok := c.SetPoint.Get(); ok {
			low, high = math.Min(low, v), math.Max(high, v)
		}
	}
	tone := func(v quantity.Number) figure.Role {
		x, ok := v.Get()
		if !ok || !(high > low) {
			return figure.Curve
		}
		return figure.SetPoint((x - low) / (high - low))
	}
	var spans figure.Spans
	first, last := math.Inf(1), math.Inf(-1)
	add := func(key string, x schedule.Step, role figure.Role, label figure.Text) {
		from, to := float64(x.From)/60, float64(x.To)/60
		if !(to > from) {
			return
		}
		first, last = math.Min(first, from), math.Max(last, to)
		spans.Items = append(spans.Items, figure.Span{Row: rows[key], From: from, To: to, Role: role, Label: label})
	}
	for _, x := range d.Steps {
		switch x.What {
		case schedule.Cooking, schedule.Rewarming:
			label := both(prose.Say(x.Cook))
			if v, ok := x.SetPoint.Get(); ok {
				label = both(prose.Say(x.Cook+", ", prose.Quantity{Kind: prose.Temperature, Value: v, Digits: 1}))
			}
			add("bath "+x.Bath, x, tone(x.SetPoint), label)
		case schedule.Heating:
			add("bath "+x.Bath, x, figure.Rule, figure.Text{})
		case schedule.Tasting:
			add("table", x, figure.Curve, figure.Same(fmt.Sprint("flight ", x.Flight)))
		case schedule.Discard:
		default:
			if x.Pan != "" {
				add("pan "+x.Pan, x, figure.Ink, figure.Same(x.Cook))
			}
			if x.Hand > 0 {
				add(fmt.Sprint("hand ", x.Hand), x, figure.Muted, figure.Text{})
			}
		}
	}
	if len(spans.Items) == 0 {
		return f, ErrNoDay
	}
	f.ID = fmt.Sprint("timeline-", day+1)
	f.X = hours(first, last)
	f.Layers = []figure.Layer{spans}
	for _, fl := range d.Flights {
		f.Layers = append(f.Layers, figure.Threshold{Along: figure.AlongX, At: float64(fl.Served) / 60, Role: figure.Ink, Label: figure.Same(fl.Served.Clock())})
	}
	when := ""
	if d.Date != "" {
		when = ", " + d.Date
	}
	served := "served at " + d.Flights[0].Served.String()
	for _, fl := range d.Flights[1:] {
		served += " and " + fl.Served.String()
	}
	f.Title = figure.Same(clean(s.Title + ": " + served + when))
	f.Desc = figure.Same(clean(fmt.Sprintf("A timeline with a row for each of %d baths, %d pans and %d pairs of hands. %d cooks, %s.", len(d.Baths), len(d.Pans), d.Hands, len(d.Cooks), served)))
	f.Caption = figure.Same(fmt.Sprintf("%d cooks. Bars in the rows of the baths are cooks, warmer tones hotter set points; pale ones before them are the bath getting there.", len(d.Cooks)))
	var lead []prose.Sentence
	if s.NotTasted {
		lead = append(lead, prose.Say("Do not eat it and do not taste it: it is weighed and sheared."))
	}
	from := "tamis"
	if s.Version != "" {
		from += " " + s.Version
	}
	if s.File != "" {
		from += ", " + clean(s.File)
	}
	from = "Planned, not what happened. " + from
	if lead = append(lead, s.Lead...); len(lead) > 0 {
		f.Footer = append(f.Footer, both(sentences(lead)))
	}
	f.Footer = append(f.Footer, figure.Same(from))
	return f, nil
}

// hours is an axis of clock times in minutes from midnight, with a tick at every
// hour, or every so many where the day is long.
func hours(first, last float64) figure.Axis {
	lo, hi := 30*math.Floor(first/30), 30*math.Ceil(last/30)
	step := 60.0
	for (hi-lo)/step > 9 {
		step *= 2
	}
	if (hi-lo)/step < 4 {
		step = 30
	}
	a := figure.Axis{Label: figure.Same("Clock"), Min: lo, Max: hi}
	for t := step * math.Ceil(lo/step); t <= hi; t += step {
		a.Metric = append(a.Metric, figure.Tick{At: t, Label: schedule.Moment(60 * t).Clock()})
	}
	return a
}

// Timeline is the figure of a day as a file of its own.
func Timeline(s *schedule.Schedule, day int, sys quantity.System) ([]byte, error) {
	f, err := TimelineFigure(s, day)
	if err != nil {
		return nil, err
	}
	u := figure.Metric
	if sys == quantity.US {
		u = figure.US
	}
	return svg.Standalone(f, u)
}
