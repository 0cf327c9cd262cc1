package fairness

import (
	"math"
	"slices"

	"tamis/internal/diag"
	"tamis/internal/prose"
	"tamis/internal/trial"
)

// likes are values of one kind, all above 0, with their places.
type likes struct {
	values  []like
	measure string              // "" for what is no measure
	words   func(v float64) any // a value in a sentence
	units   map[string]float64  // other units, and what one of them is in ours
}

// like is a value of a cook, or of one of its pieces.
type like struct {
	v           float64
	cook, piece int // piece -1: of the cook
	at          *diag.Pos
}

// ounces and the like: what one unit is in grams, or in millimetres.
var (
	massUnits   = map[string]float64{"kg": 1000, "oz": 28.349523125, "lb": 453.59237}
	lengthUnits = map[string]float64{"cm": 10, "in": 25.4}
	timeUnits   = map[string]float64{"h": 60, "s": 1.0 / 60}
)

// likes collects masses, thicknesses, times and amounts, each with its like.
func (c *Case) likes() []likes {
	before := c.newLikes(massWords, massUnits)
	brined := c.newLikes(massWords, massUnits)
	after := c.newLikes(massWords, massUnits)
	thick := c.newLikes(func(v float64) any { return prose.Quantity{Kind: prose.Length, Value: v} }, lengthUnits)
	times := likes{words: func(v float64) any { return prose.Quantity{Kind: prose.Duration, Value: v} }, units: timeUnits}
	for ci := range c.Trial.Cooks {
		k := &c.Trial.Cooks[ci]
		if k.Time.Known {
			times.add(like{k.Time.V.Minutes(), ci, -1, &k.Time.At})
		}
		for pi := range k.Pieces {
			p := &k.Pieces[pi]
			put := func(l *likes, v float64, known bool, at *diag.Pos) {
				if known {
					l.add(like{v, ci, pi, at})
				}
			}
			put(&before, p.Before.V.Grams(), p.Before.Known, &p.Before.At)
			put(&brined, p.Brined.V.Grams(), p.Brined.Known, &p.Brined.At)
			put(&after, p.After.V.Grams(), p.After.Known, &p.After.At)
			put(&thick, p.Thickness.V.Millimetres(), p.Thickness.Known, &p.Thickness.At)
		}
	}
	return append([]likes{before, brined, after, thick, times}, c.amounts()...)
}

// newLikes has room for a value of each piece.
func (c *Case) newLikes(words func(v float64) any, units map[string]float64) likes {
	return likes{values: make([]like, 0, len(c.facts.pieces)), words: words, units: units}
}

// unitNear is how near to the middle of its fellows, by ratio, a value comes that
// was meant in another unit.
const unitNear = 1.4

func massWords(v float64) any { return prose.Quantity{Kind: prose.Mass, Value: v} }

// amounts are the readings in a unit, each with those of its set point.
func (c *Case) amounts() []likes {
	var out []likes
	for _, m := range c.Trial.Measures {
		if m.Kind != trial.Amount || m.FromWeights() {
			continue
		}
		by := make([]likes, c.Levels())
		for l := range by {
			by[l].measure = m.Name
			by[l].words = func(v float64) any { return amount(v, m.Unit.V, decimals(v)) }
		}
		rows := c.Trial.Observe(m).Rows
		for i := range rows {
			o := &rows[i]
			if level := c.level(o.Cook, o.Piece); level >= 0 {
				by[level].add(like{o.Value, o.Cook, o.Piece, &o.At})
			}
		}
		out = append(out, by...)
	}
	return out
}

func (l *likes) add(v like) {
	if v.v > 0 {
		l.values = append(l.values, v)
	}
}

// slip is the value furthest from the median of its like, by ratio.
func (l *likes) slip(t *trial.Trial) (slip, bool) {
	if len(l.values) < leastLike {
		return slip{}, false
	}
	least, most := math.Inf(1), 0.0
	for i := range l.values {
		least, most = math.Min(least, l.values[i].v), math.Max(most, l.values[i].v)
	}
	if most < slipRatio*least { // nothing can be that far from the median
		return slip{}, false
	}
	sorted := make([]float64, len(l.values))
	for i, v := range l.values {
		sorted[i] = v.v
	}
	slices.Sort(sorted)
	n := len(sorted)
	median := (sorted[(n-1)/2] + sorted[n/2]) / 2
	worst, ratio := like{}, 1.0
	for _, v := range l.values {
		if r := math.Max(v.v/median, median/v.v); r > ratio {
			worst, ratio = v, r
		}
	}
	if ratio < slipRatio {
		return slip{}, false
	}
	s := slip{value: l.words(worst.v), usual: prose.Say("their middle value is ", l.words(median)), ratio: ratio, at: *worst.at}
	cook := &t.Cooks[worst.cook]
	s.where.Cooks = []string{cook.ID}
	switch {
	case worst.piece < 0:
		s.place = quoted("cook", cook.ID)
	case cook.Pieces[worst.piece].ID == "":
		s.place = prose.Say("a piece of cook ", cook.ID)
	default:
		id := cook.Pieces[worst.piece].ID
		s.place, s.where.Pieces = quoted("piece", id), []string{id}
	}
	if l.measure != "" {
		s.where.Measures = []string{l.measure}
	}
	// The typed number may have been meant in another unit: it then lies near its
	// fellows. The units are further apart than that, so at most one fits.
	for _, name := range sortedKeys(l.units) {
		if v := worst.v * l.units[name]; math.Max(v/median, median/v) < unitNear {
			s.variant, s.unit = "unit", name
		}
	}
	return s, true
}

func sortedKeys(m map[string]float64) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// scaleNear is how close, °C, a log must stand to the other reading of the set
// point to be taken for a slip.
const scaleNear = 1.0

// logInOtherScale finds a log whose plateau is the set point read in the other
// temperature scale.
func (c *Case) logInOtherScale() (slip, bool) {
	var room []float64
	for ci := range c.Trial.Cooks {
		k := &c.Trial.Cooks[ci]
		if !k.SetPoint.Known || len(k.Log) < leastLike {
			continue
		}
		room = room[:0]
		for i := range k.Log {
			if p := &k.Log[i]; p.Bath.Known {
				room = append(room, p.Bath.V.Celsius())
			}
		}
		if len(room) == 0 {
			for i := range k.Log {
				if p := &k.Log[i]; p.Core.Known {
					room = append(room, p.Core.V.Celsius())
				}
			}
		}
		bath := room
		if len(bath) == 0 {
			continue
		}
		slices.Sort(bath)
		plateau := bath[len(bath)*3/4] // the upper quartile: a bath dips when it is loaded
		set := k.SetPoint.V.Celsius()
		asTyped, asRead := set*1.8+32, (set-32)/1.8
		if math.Abs(plateau-asTyped) <= scaleNear || math.Abs(plateau-asRead) <= scaleNear {
			return slip{variant: "scale", value: celsius(math.Round(plateau)), usual: celsius(set), place: quoted("cook", k.ID),
				where: Where{Cooks: []string{k.ID}}, at: k.At}, true
		}
	}
	return slip{}, false
}

// clockOutOfOrder finds a cook that came out before it went in, was served before
// it came out, or went in before one that was to go in earlier that day.
func (c *Case) clockOutOfOrder() (slip, bool) {
	for ci := range c.Trial.Cooks {
		k := &c.Trial.Cooks[ci]
		at := func(what, before trial.Opt[trial.Clock], words, than string) (slip, bool) {
			if !what.Known || !before.Known || !earlier(what.V, before.V) {
				return slip{}, false
			}
			return slip{variant: "clock", value: prose.Say(words, " ", what.V.String()), usual: prose.Say(than, " ", before.V.String()),
				place: quoted("cook", k.ID), where: Where{Cooks: []string{k.ID}}, at: what.At}, true
		}
		if s, ok := at(k.Served, k.Out, "served", "out"); ok {
			return s, true
		}
		// A long cook may well end on the next day, so only a stated time tells.
		if k.Time.Known && k.Started.Known && k.Out.Known {
			if d := k.Out.V.MinutesAfter(k.Started.V); math.Abs(d-k.Time.V.Minutes()) > longestWait {
				if s, ok := at(k.Out, k.Started, "out", "started"); ok {
					return s, true
				}
			}
		}
	}
	for i := range c.Trial.Cooks {
		for j := range c.Trial.Cooks {
			a, b := &c.Trial.Cooks[i], &c.Trial.Cooks[j]
			if !a.Order.Known || !b.Order.Known || a.Order.V >= b.Order.V || !a.Started.Known || !b.Started.Known ||
				!a.Session.Known || a.Session.V != b.Session.V {
				continue
			}
			if minuteOf(c.Trial, b, b.Started.V) < minuteOf(c.Trial, a, a.Started.V) {
				return slip{variant: "clock", value: prose.Say("started ", b.Started.V.String()), usual: prose.Say("cook ", a.ID, ", which comes before it and started ", a.Started.V.String()),
					place: quoted("cook", b.ID), where: Where{Cooks: []string{a.ID, b.ID}}, at: b.Started.At}, true
			}
		}
	}
	return slip{}, false
}

// earlier reports whether a lies before b, as far as two times of day can tell:
// more than longestWait after it.
func earlier(a, b trial.Clock) bool {
	if !a.Date.IsZero() && !b.Date.IsZero() {
		return a.MinutesAfter(b) < 0
	}
	return a.MinutesAfter(b) > longestWait
}

// alikeByChance is how many equal scores two rows may have by chance when nothing
// else tells them apart.
const alikeByChance = 2

// rowTwice finds two rows of one assessor, session, repeat, place and sample with
// the same scores. Two samples may well be scored alike, so that equal scores
// alone mean nothing.
func (c *Case) rowTwice() (slip, bool) {
	// Few rows share what the key holds; those that do stand in a chain.
	type sheet struct {
		assessor              string
		cook, piece, position int
	}
	last := make(map[sheet]int, len(c.facts.scores)) // the last row of a chain, from 1
	before := make([]int, len(c.facts.scores))       // the one before it, from 1; 0 for none
	for i, r := range c.facts.scores {
		key := sheet{r.S.Assessor, r.Cook, r.Piece, r.S.Position.V}
		var have *trial.Score
		for k := last[key]; k > 0 && have == nil; k = before[k-1] {
			if s := c.facts.scores[k-1].S; s.Session.V == r.S.Session.V && s.Repeat.V == r.S.Repeat.V && s.Code.V == r.S.Code.V {
				have = s
			}
		}
		if have == nil {
			before[i], last[key] = last[key], i+1
			continue
		}
		if n := equalScores(have, r.S); n == 0 || !r.S.Position.Known && n <= alikeByChance {
			continue
		}
		sample := r.S.Code.V
		if sample == "" {
			sample = "cook " + c.Trial.Cooks[r.Cook].ID
		}
		return slip{variant: "twice", value: prose.Say(c.person(r.S.Assessor)), place: prose.Say(sample),
			where: Where{Assessors: []string{r.S.Assessor}, Cooks: []string{c.Trial.Cooks[r.Cook].ID}}, at: r.S.At}, true
	}
	return slip{}, false
}

// equalScores counts the scores of two rows, and is 0 when any differs.
func equalScores(a, b *trial.Score) int {
	n := 0
	for _, x := range a.Values {
		y, ok := b.Values.Get(x.Measure)
		if !ok || x.Missing != y.Missing || x.V != y.V {
			return 0
		}
		if !x.Missing {
			n++
		}
	}
	return n
}
