package report

import (
	"math"
	"sort"
	"strconv"
	"strings"

	"tamis/internal/answer"
	"tamis/internal/figure"
	"tamis/internal/trial"
)

// design is how the trial was laid out: units, levels of variation, the cooks in
// their order, and how they were tasted.
func (s *science) design() {
	s.section("design", "Design")
	r, t := s.r, s.rec.Trial
	s.part("What n counts")
	s.together(r.Text.Units)
	s.together(r.Text.Variance)
	u := s.table(phrase("The unit of each factor"), "Factor", "Unit", "#n", "Levels", "#Units a level", "Crossed with", "Moves with")
	for _, x := range r.Units {
		least, most := math.MaxInt, 0
		for _, n := range x.PerLevel {
			least, most = min(least, n), max(most, n)
		}
		per := strconv.Itoa(least)
		switch {
		case len(x.PerLevel) == 0:
			per = ""
		case least != most:
			per += " to " + strconv.Itoa(most)
		}
		u.row(capital(plain(x.Factor)), unitWord(x.Unit), x.N, levelsOf(x.Factor, x.Levels, t), per, plainList(x.Crossed), plainList(x.MovesWith))
	}
	s.addTable(u)
	v := s.table(phrase("Levels of variation"), "Level", "#Groups", "Enters the mixed model", "Mixed up with", "What that costs")
	for _, x := range r.Variance {
		enters := "yes"
		if !x.Separable {
			enters = "no"
		}
		if x.NotRecorded {
			enters += ", not recorded everywhere"
		}
		v.row(capital(levelWord(x.Level)), x.N, enters, levelWord(x.MixedWith), x.Cost)
	}
	s.addTable(v)
	if len(t.Cooks) > 0 {
		s.part("Cooks in their order")
		s.draw(untabled, built(orderFigure(r, t)))
		if _, ok := runsOf(t); !ok {
			s.p("The run order is not written down for every cook, so it is not drawn.")
		}
		s.addOrFold("All cooks", s.cookTable())
	}
	s.tasting()
	s.drop()
}

// levelsOf are the levels of a factor; set points in the reader's unit.
func levelsOf(factor string, levels []string, t *trial.Trial) words {
	if factor == trial.SetPointFactor {
		var parts []any
		for i, a := range t.Arms() {
			if i > 0 {
				parts = append(parts, ", ")
			}
			parts = append(parts, armTemperature(a.SetPoint.Celsius()))
		}
		if len(parts) > 0 {
			return phrase(parts...)
		}
	}
	if len(levels) > 12 {
		return phrase(plain(levels[0]) + " … " + plain(levels[len(levels)-1]))
	}
	return phrase(plainList(levels))
}

func armTemperature(celsius float64) answer.Quantity {
	return answer.Quantity{Kind: answer.Temperature, Value: celsius, Digits: 1}
}

func plainList(names []string) string {
	out := make([]string, len(names))
	for i, n := range names {
		out[i] = plain(n)
	}
	return strings.Join(out, ", ")
}

// levelWord names a level of variation: who scores is a taster.
func levelWord(l string) string {
	return strings.ReplaceAll(strings.ReplaceAll(plain(l), ":", " × "), "assessor", "taster")
}

// cookTable lists every cook as it was written down.
func (s *science) cookTable() *numbered {
	t := s.rec.Trial
	columns := []string{"Cook", "#Set point", "#In the bath", "Bath", "Session", "#Order", "Block", "Started"}
	rows := make([]trial.Observation, len(t.Cooks))
	for i := range rows {
		rows[i] = trial.Observation{Cook: i, Piece: -1}
	}
	var varied []trial.Varied
	for _, f := range t.VariedFactors(rows) {
		if f.Name != trial.SetPointFactor && f.Name != trial.TimeFactor && f.Name != trial.HoldFactor {
			varied = append(varied, f)
			columns = append(columns, capital(plain(f.Name)))
		}
	}
	out := s.table(phrase("The cooks, in the order of the file"), append(columns, "#Pieces", "#Served at")...)
	for i := range t.Cooks {
		c := &t.Cooks[i]
		var set, time, order, served any = "", "", "", ""
		if c.SetPoint.Known {
			set = armTemperature(c.SetPoint.V.Celsius())
		}
		if d, ok := c.BathTime(); ok {
			time = answer.Quantity{Kind: answer.Duration, Value: d.Minutes()}
		}
		if c.Order.Known {
			order = c.Order.V
		}
		if c.ServedAt.Known {
			served = tenths(c.ServedAt.V.Celsius())
		}
		started := ""
		if c.Started.Known {
			started = c.Started.V.String()
		}
		pieces := any("")
		if len(c.Pieces) > 0 {
			pieces = len(c.Pieces)
		}
		cells := []any{c.ID, set, time, c.Bath.V, c.Session.V, order, c.Block.V, started}
		for _, f := range varied {
			level := ""
			if k := f.Code[i]; k >= 0 {
				level = plain(f.Levels[k])
			}
			cells = append(cells, level)
		}
		out.row(append(cells, pieces, served)...)
	}
	return out
}

// tasting is how the cooks were tasted.
func (s *science) tasting() {
	p, ok := s.rec.Trial.Panel.Get()
	if !ok {
		return
	}
	var ds []def
	add := func(term, text string) {
		if text = clean(text); text != "" {
			ds = append(ds, def{term, words{{Text: text}}})
		}
	}
	ids := s.rec.Trial.AssessorIDs()
	if len(ids) > 0 {
		add("Tasters", strconv.Itoa(len(ids)))
	}
	kinds := map[string]int{}
	for _, a := range p.Assessors {
		if a.Kind.Known {
			kinds[string(a.Kind.V)]++
		}
	}
	var ks []string
	for k, n := range kinds {
		ks = append(ks, strconv.Itoa(n)+" "+k)
	}
	sort.Strings(ks)
	add("Of these", strings.Join(ks, ", "))
	yes := func(o trial.Opt[bool]) string {
		if !o.Known {
			return "not stated"
		}
		return map[bool]string{true: "yes", false: "no"}[o.V]
	}
	add("Blind", yes(p.Blind))
	masked := "not stated"
	if p.LooksMasked.Known {
		masked = string(p.LooksMasked.V)
	}
	add("Looks masked", masked)
	add("Talked while scoring", yes(p.Together))
	add("Warm-up sample", yes(p.WarmUp))
	if r, ok := p.Rinse.Get(); ok {
		text := r.With.V
		if r.Gap.Known {
			text = strings.TrimPrefix(text+", "+r.Gap.V.String(), ", ")
		}
		add("Rinse", text)
	}
	if p.Guessed.Known {
		g := p.Guessed.V
		add("Named the sample", strconv.Itoa(g.Correct)+" of "+strconv.Itoa(g.Answers)+" right, of "+strconv.Itoa(g.Of)+" choices")
	}
	if cooks, all := s.rec.Trial.CooksTasted(); cooks > 0 {
		text := "each taster tasted each of " + strconv.Itoa(cooks) + " cooks"
		if !all {
			text = "not every taster tasted each of " + strconv.Itoa(cooks) + " cooks"
		}
		add("Complete", text)
	}
	s.part("Tasting")
	s.add(block{Defs: ds})
}

// run is the place of a cook: its row (session) and its order in it, from 1.
type run struct{ row, order, all int }

// runs are the sessions in their order and the place of every cook.
type runs struct {
	sessions []string
	of       []run
	most     int
}

// runsOf puts the cooks in the order in which they were cooked: by session as
// the file lists them, in it by the order that is written down, else by the start.
// ok is false where a cook has neither.
func runsOf(t *trial.Trial) (runs, bool) {
	var rs runs
	rs.of = make([]run, len(t.Cooks))
	row := map[string]int{}
	for _, x := range t.Sessions {
		row[x.ID] = len(rs.sessions)
		rs.sessions = append(rs.sessions, x.ID)
	}
	members := map[int][]int{}
	stated, started := true, true
	for i := range t.Cooks {
		c := &t.Cooks[i]
		stated, started = stated && c.Order.Known, started && c.Started.Known
		name := c.Session.V
		if _, ok := row[name]; !ok {
			row[name] = len(rs.sessions)
			rs.sessions = append(rs.sessions, name)
		}
		rs.of[i].row = row[name]
		members[row[name]] = append(members[row[name]], i)
	}
	if len(t.Cooks) == 0 || !stated && !started {
		return runs{}, false
	}
	n := 0
	for r := range rs.sessions {
		list := members[r]
		sort.SliceStable(list, func(a, b int) bool {
			x, y := &t.Cooks[list[a]], &t.Cooks[list[b]]
			if stated {
				return x.Order.V < y.Order.V
			}
			return y.Started.V.MinutesAfter(x.Started.V) > 0
		})
		for k, i := range list {
			n++
			rs.of[i].order, rs.of[i].all = k+1, n
		}
		rs.most = max(rs.most, len(list))
	}
	return rs, true
}

// maxRows and maxRuns are what fits into the picture of the run order.
const maxRows, maxRuns = 12, 24

// orderFigure is the cooks by session and run order, in the tones of their set
// points. ok is false where the order is not written down, or there are too many.
func orderFigure(r *answer.Result, t *trial.Trial) (f figure.Figure, ok bool) {
	rs, ok := runsOf(t)
	arms := t.Arms()
	if !ok || len(arms) == 0 || rs.most < 2 || rs.most > maxRuns || len(rs.sessions) > maxRows {
		return f, false
	}
	names := make([]figure.Text, len(rs.sessions))
	for i, n := range rs.sessions {
		names[i] = figure.Same(plain(n))
		if n == "" {
			names[i] = figure.Same("all cooks")
		}
	}
	f = figure.Figure{ID: "order", Y: figure.Category("Session", names...)}
	f.X = figure.Axis{Label: figure.Same("Run order in the session"), Min: 0.4, Max: float64(rs.most) + 0.6}
	for k := 1; k <= rs.most; k++ {
		f.X.Metric = append(f.X.Metric, figure.Tick{At: float64(k), Label: strconv.Itoa(k)})
	}
	low, high := arms[0].SetPoint.Celsius(), arms[len(arms)-1].SetPoint.Celsius()
	p := figure.Spans{}
	for _, a := range arms {
		c := a.SetPoint.Celsius()
		// A field is narrow: the unit stands in the caption, the digits in the table.
		digits := 0
		if math.Abs(c-math.Round(c)) > 1e-6 {
			digits = 1
		}
		label := figure.Text{Metric: figure.FormatNumber(c, digits), US: figure.FormatNumber(a.SetPoint.Fahrenheit(), 0)}
		for _, i := range a.Cooks {
			at := rs.of[i]
			p.Items = append(p.Items, figure.Span{Row: at.row, From: float64(at.order) - 0.46, To: float64(at.order) + 0.46,
				Role: figure.SetPoint((c - low) / math.Max(high-low, 1e-9)), Label: label})
		}
	}
	f.Layers = append(f.Layers, p)
	f.Title = figure.Same("The cooks in the order in which they were cooked")
	said := func(unit string) string {
		return both(answer.Say(count(len(t.Cooks), "cook"), ", one field each, with the set point in "+unit+"; the tone goes from the coldest to the warmest.")).Metric
	}
	f.Caption = figure.Text{Metric: said("°C"), US: said("°F")}
	f.Desc = both(answer.Say("Sessions under each other, run order from left to right, each cook a field with its set point. The numbers are in the table below."))
	f.Footer = footer(r)
	return f, f.Validate() == nil
}
