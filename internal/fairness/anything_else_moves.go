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
	Needs:  []string{"cooks.bag", "cooks.with", "brine.at", "sources.kept_at", "sources.frozen", "sources.thawed"},
	Finds: "Every recorded field that no other check looks at. A category: comparisons lost by rank, then the corrected Cramér's V above {tie-v}. A number, " +
		"averaged over each cook: the larger of |r| and |ρ| with the set point above {order-r}, and either constant within every set point or with a " +
		"permutation p within sessions of at most 0.10, and means at the ends more than one pooled SD apart. It blocks when every comparison is lost.",
	Clears:   "None of the other fields goes along with the set point.",
	Unjudged: "No other field is written down. Worth writing down: how the bags were sealed, what else was in them, how warm the brine was, how cold the food was kept.",
	Why: "What nobody thought of can still be in the notes. A seal that changed with the bath, or a sauce that came with one set point, is tasted as " +
		"the set point.",
	Wording: "{Field} moved along with the {factor}: {values}.",
	Hedge:   "{field} moved along",
	Next:    "Keep {field} equal, or spread it evenly over every {factor}.",
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

// movesAlpha is the permutation p up to which a number that moves along counts.
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
		k := c.categoryOf(f.of)
		if len(k.level) == 0 || len(k.lacks) == len(k.level) {
			continue
		}
		recorded++
		if m, ok := c.categoryMoves(k); ok {
			m.name, m.words = f.name, f.words
			moved = append(moved, m)
		}
	}
	for _, f := range otherNumbers {
		marks, _ := c.marks(func(k *trial.Cook, p *trial.Piece, _, _ int) (float64, bool) { return f.of(c, k, p) })
		if len(marks) == 0 {
			continue
		}
		recorded++
		// What a source brings along is said with the source.
		if m, ok := c.numberMoves(marks, f.quantity); ok && !(strings.HasPrefix(f.name, "sources.") && c.sourcesTied()) {
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

// otherCategory is a field with words in it that no other check compares.
type otherCategory struct {
	name, words string
	of          func(k *trial.Cook, piece int) (string, bool)
}

func (c *Case) otherCategories() []otherCategory {
	out := []otherCategory{
		{"cooks.bag.seal", "how the bags were sealed", func(k *trial.Cook, _ int) (string, bool) {
			return string(k.Bag.V.Seal.V), k.Bag.Known && k.Bag.V.Seal.Known
		}},
		{"cooks.bag.with", "what else was in the bags", func(k *trial.Cook, _ int) (string, bool) {
			with := slices.Clone(k.Bag.V.With)
			slices.Sort(with)
			return "with " + prose.List(with), k.Bag.Known && len(with) > 0
		}},
	}
	for _, f := range c.Trial.Factors {
		if f.Name == c.Factor.Name {
			continue
		}
		out = append(out, otherCategory{"cooks.with." + f.Name, "the " + strings.ReplaceAll(f.Name, "_", " "), func(k *trial.Cook, piece int) (string, bool) {
			for _, l := range k.Treatments(piece).With {
				if l.Factor == f.Name {
					return l.Level, true
				}
			}
			return "", false
		}})
	}
	return out
}

// categoryOf sorts pieces, or cooks without pieces, by a field.
func (c *Case) categoryOf(of func(k *trial.Cook, piece int) (string, bool)) category {
	var out category
	for ci := range c.Trial.Cooks {
		k := &c.Trial.Cooks[ci]
		for pi := -1; pi < len(k.Pieces); pi++ {
			level := c.level(ci, pi)
			// A cook is one row where its pieces share its level.
			if level < 0 || pi >= 0 && !c.Factor.WithinCooks() {
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
	if t.Full() {
		m.severity = Blocks
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

// otherNumber is a field with a number in it that no other check compares.
type otherNumber struct {
	name, words string
	of          func(c *Case, k *trial.Cook, p *trial.Piece) (float64, bool)
	quantity    func(v float64) prose.Quantity
}

var otherNumbers = []otherNumber{
	{"brine.at", "the temperature of the brine", func(_ *Case, k *trial.Cook, p *trial.Piece) (float64, bool) {
		b := k.Brine
		if p != nil && p.Brine.Known {
			b = p.Brine
		}
		return b.V.AtTmp.V.Celsius(), b.Known && b.V.AtTmp.Known
	}, celsius},
	{"sources.kept_at", "how cold the food was kept", func(c *Case, _ *trial.Cook, p *trial.Piece) (float64, bool) {
		s := c.sourceOf(p)
		if s == nil {
			return 0, false
		}
		return s.KeptAt.V.Celsius(), s.KeptAt.Known
	}, celsius},
	{"sources.frozen.for", "how long the food was frozen", func(c *Case, _ *trial.Cook, p *trial.Piece) (float64, bool) {
		s := c.sourceOf(p)
		if s == nil || !s.Frozen.Known || !s.Frozen.V.For.Known {
			return 0, false
		}
		return s.Frozen.V.For.V.Minutes(), true
	}, minutes},
	{"sources.thawed.for", "how long the food thawed", func(c *Case, _ *trial.Cook, p *trial.Piece) (float64, bool) {
		s := c.sourceOf(p)
		if s == nil || !s.Thawed.Known || !s.Thawed.V.For.Known {
			return 0, false
		}
		return s.Thawed.V.For.V.Minutes(), true
	}, minutes},
}

// numberMoves judges a number on units: the mean over each cook, or over the
// pieces of a level within it where the factor varies within cooks.
func (c *Case) numberMoves(marks []mark, words func(float64) prose.Quantity) (movedField, bool) {
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
	if tie.Lost == 0 {
		m, err := alias.Moves(x, v, block, movesAlpha, 1)
		if err != nil || !m.HasP || m.P > movesAlpha {
			return movedField{}, false
		}
	}
	out := movedField{severity: Weakens, statistic: "larger of |r| and |ρ| with the set point", value: follows.Most(), threshold: limit, option: "order-r"}
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
