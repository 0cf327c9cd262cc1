package fairness

import (
	"slices"
	"strings"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/stats/alias"
	"tamis/internal/trial"
)

var anythingElseMoves = Check{
	Slug:   "anything-else-moves",
	Family: Material,
	Stage:  Cooked,
	Short:  "something else written down",
	Asks:   "Did anything else that was written down change along with the set point?",
	Needs:  []string{"cooks.bag", "cooks.with", "brine.at", "sources.kept_at", "sources.frozen", "sources.thawed", "cooks.started", "deviations"},
	Finds: "Every recorded field that no other check looks at. A category: comparisons lost by rank, then the corrected Cramér's V above {tie-v}, which is a note unless shuffling gives as much with p < 0.005 only. A number, " +
		"averaged over each cook: the larger of |r| and |ρ| with the set point above {order-r}, means at the ends more than one pooled SD apart, and " +
		"either constant within every set point, or a range of the means with p < 0.005, or a permutation p within sessions of at most 0.10, which from " +
		"0.005 on is a note. It blocks when every comparison is lost. Columns of the tables that are no key of the format are looked at too, and the hour " +
		"of the day where each session has one run.",
	Clears:   "None of the other fields goes along with the set point.",
	Unjudged: "No other field is written down. Worth writing down: how the bags were sealed, what else was in them, how warm the brine was, how cold the food was kept.",
	Why: "What nobody thought of can still be in the notes. A seal that changed with the bath, or a sauce that came with one set point, is tasted as " +
		"the set point.",
	Wording: "{Field} moved along with the {factor}: {values}.",
	Hedge:   "{field} moved along",
	Next:    "Keep {field} the same throughout, or spread it evenly over the {factor}s.",
	Avoid:   "Keep what is not compared equal at every set point, or spread it evenly over all of them.",
	Fix:     "keep-equal",
	Source:  "Rank, Cramér's V with the correction of Bergsma 2013 (from memory), permutation within blocks. Limits are house rules.",
	Options: []string{"tie-v", "order-r"},
	FiresOn: "cooks: [{id: A, set_point: 48 °C, bag: chamber}, {id: B, set_point: 54 °C, bag: clamp}, {id: C, set_point: 54 °C, bag: clamp}, {id: D, set_point: 48 °C, bag: chamber}]",
	ClearOn: "cooks: [{id: A, set_point: 48 °C, bag: chamber}, {id: B, set_point: 54 °C, bag: clamp}, {id: C, set_point: 54 °C, bag: chamber}, {id: D, set_point: 48 °C, bag: clamp}]",

	EachFactor: true,
	Judge:      judgeAnythingElse,
	Example:    exampleAnythingElse,
}

// movesAlpha is the permutation p up to which a number that moves along counts: as
// a note, because a small trial has many fields, and in one of ten of them a lot
// gives as much.
const movesAlpha = 0.10

// movedField is a recorded field with what it did.
type movedField struct {
	name, words string
	severity    Severity
	statistic   string
	value       float64
	threshold   float64
	option      string
	values      prose.Sentence
}

func judgeAnythingElse(c *Case) Judgement {
	if !c.Compares() {
		return notApplicable("nothing is compared")
	}
	var moved []movedField
	recorded := 0
	for _, f := range c.otherCategories() {
		k := c.categoryOf(f.of, f.ofPieces)
		if len(k.level) == 0 || len(k.lacks) == len(k.level) {
			continue
		}
		recorded++
		if m, ok := c.categoryMoves(k); ok {
			m.name, m.words = f.name, f.words
			moved = append(moved, m)
		}
	}
	for _, f := range c.otherNumbers() {
		marks, _ := c.marks(func(k *trial.Cook, p *trial.Piece, _, _ int) (float64, bool) { return f.of(c, k, p) })
		if len(marks) == 0 {
			continue
		}
		recorded++
		// What a source brings along is said with the source.
		if m, ok := c.numberMoves(marks, f.say); ok && !(strings.HasPrefix(f.name, "sources.") && c.sourcesTied()) {
			m.name, m.words = f.name, f.words
			moved = append(moved, m)
		}
	}
	if len(moved) == 0 {
		if recorded == 0 {
			return Judgement{Outcome: CannotJudge, Missing: []Missing{{Field: "cooks.bag"}},
				Remark: prose.Say("No other field is written down. Worth writing down: how bags were sealed, what else was in them, how cold the food was kept.")}
		}
		return clear()
	}
	worst := moved[0]
	for _, m := range moved[1:] {
		if m.severity > worst.severity {
			worst = m
		}
	}
	j := Judgement{
		Outcome: Fires, Severity: worst.severity, Statistic: worst.statistic, Value: quantity.Num(worst.value), Threshold: quantity.Num(worst.threshold),
		Option: worst.option, Where: c.whereLevels(allLevels(c)...), Fill: Fill{"field": worst.words, "Field": prose.Upper(worst.words), "factor": c.factorWords(), "values": worst.values},
	}
	j.Where.Fields = []string{worst.name}
	for _, m := range moved {
		if m.name != worst.name {
			j.Where.Fields = append(j.Where.Fields, m.name)
			j.Details = append(j.Details, Detail{Name: m.name + ": " + m.statistic, Value: quantity.Num(m.value)})
		}
	}
	return j
}

// categoryOf sorts pieces, or cooks without pieces, by a field.
func (c *Case) categoryOf(of func(k *trial.Cook, piece int) (string, bool), ofPieces bool) category {
	out := categoryFor(len(c.facts.pieces) + len(c.Trial.Cooks))
	for ci := range c.Trial.Cooks {
		k := &c.Trial.Cooks[ci]
		for pi := -1; pi < len(k.Pieces); pi++ {
			level := c.level(ci, pi)
			// A cook is one row where its pieces share its level and its category.
			if level < 0 || pi >= 0 && !c.Factor.WithinCooks() && !ofPieces || pi < 0 && ofPieces {
				continue
			}
			name, ok := of(k, pi)
			out.add(ci, level, name, ok)
			if !ok {
				out.lacks = append(out.lacks, k.ID)
			}
		}
	}
	return out
}

func (c *Case) categoryMoves(k category) (movedField, bool) {
	t := c.together(k)
	j, ok := c.tied(k, t)
	if !ok {
		return movedField{}, false
	}
	m := movedField{severity: Weakens, statistic: j.Statistic, value: j.Value.Or(0), threshold: j.Threshold.Or(0), option: j.Option}
	switch {
	case t.Full():
		m.severity = Blocks
	case t.Lost == 0 && !k.hardlyByChance():
		m.severity = Note
	}
	for l := range c.Levels() {
		if names := k.namesAt(l); len(names) > 0 {
			if len(m.values) > 0 {
				m.values = prose.Say(m.values, "; ")
			}
			m.values = prose.Say(m.values, c.levelWords(l), ": ", listWords(names))
		}
	}
	return m, true
}

// numberMoves judges a number on units: the mean over each cook, or over the
// pieces of a level within it where the factor varies within cooks.
func (c *Case) numberMoves(marks []mark, words func(float64) any) (movedField, bool) {
	if c.Factor.Values == nil && c.Levels() > 2 {
		return movedField{}, false // a category has no direction
	}
	type unit struct{ cook, level int }
	sums := map[unit]*sum{}
	var units []unit
	for _, m := range marks {
		u := unit{m.cook, m.level}
		if sums[u] == nil {
			sums[u] = &sum{}
			units = append(units, u)
		}
		sums[u].total, sums[u].n = sums[u].total+m.v, sums[u].n+1
	}
	level, x, v, block := make([]int, len(units)), make([]float64, len(units)), make([]float64, len(units)), make([]int, len(units))
	groups, index := make([][]float64, c.Levels()), map[string]int{}
	for i, u := range units {
		level[i], v[i] = u.level, sums[u].total/float64(sums[u].n)
		x[i] = float64(u.level)
		if c.Factor.Values != nil {
			x[i] = c.Factor.Values[u.level]
		}
		// Levels were drawn within sessions, or within cooks.
		name, _ := sessionOf(&c.Trial.Cooks[u.cook])
		if c.Factor.WithinCooks() {
			name = c.Trial.Cooks[u.cook].ID
		}
		if _, ok := index[name]; !ok {
			index[name] = len(index)
		}
		block[i] = index[name]
		groups[u.level] = append(groups[u.level], v[i])
	}
	groups = slices.DeleteFunc(groups, func(g []float64) bool { return len(g) == 0 })
	spread, err := alias.Imbalance(groups)
	if err != nil || spread.HasD && spread.D <= 1 || spread.Range == 0 {
		return movedField{}, false
	}
	tie, err := alias.Lost(level, c.Levels(), alias.Number(v))
	if err != nil {
		return movedField{}, false
	}
	// The cheap correlation first: no permutation where it is small anyway.
	follows, err := alias.OrderFollows(nil, v, x)
	limit := c.set.number("order-r")
	if err != nil || follows.Most() <= limit {
		return movedField{}, false
	}
	severity := Weakens
	if tie.Lost == 0 {
		_, hardly := hardlyByChance(groups)
		m, err := alias.Moves(x, v, block, movesAlpha, 1)
		permuted := err == nil && m.HasP && m.P <= movesAlpha
		switch {
		case hardly, permuted && m.P < weakensBelow:
		case permuted:
			severity = Note
		default:
			return movedField{}, false
		}
	}
	out := movedField{severity: severity, statistic: "larger of |r| and |ρ| with the set point", value: follows.Most(), threshold: limit, option: "order-r"}
	if tie.Full() {
		out.severity = Blocks
	}
	mean, n := c.levelMeans(marks)
	for l := range mean {
		if n[l] > 0 {
			if len(out.values) > 0 {
				out.values = prose.Say(out.values, "; ")
			}
			out.values = prose.Say(out.values, c.levelWords(l), ": ", words(mean[l]))
		}
	}
	return out, true
}

// sourcesTied reports whether comparisons are lost to the source.
func (c *Case) sourcesTied() bool {
	return c.together(c.ofPieces(func(p *trial.Piece) (string, bool) { return p.Source.V, p.Source.Known })).Lost > 0
}
