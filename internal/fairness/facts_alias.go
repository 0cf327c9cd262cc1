package fairness

import (
	"slices"

	"tamis/internal/quantity"
	"tamis/internal/stats/alias"
	"tamis/internal/trial"
)

// category is something that each row of a table was or had, beside the level of
// the compared factor that the row belongs to.
type category struct {
	level, code []int // code -1: not stated
	names       []string
	cooks       []int    // the cook of each row
	lacks       []string // cooks, or pieces, for which it is not stated
}

// categoryFor has room for so many rows.
func categoryFor(rows int) category {
	room := make([]int, 3*rows)
	return category{level: room[:0:rows], code: room[rows : rows : 2*rows], cooks: room[2*rows : 2*rows]}
}

func (k *category) add(cook, level int, name string, known bool) {
	code := -1
	if known {
		if code = slices.Index(k.names, name); code < 0 {
			code = len(k.names)
			k.names = append(k.names, name)
		}
	}
	k.level, k.code, k.cooks = append(k.level, level), append(k.code, code), append(k.cooks, cook)
}

// ofRuns sorts the runs at compared levels by something that their first cook
// had.
func (c *Case) ofRuns(of func(k *trial.Cook) (string, bool)) category {
	out := categoryFor(len(c.facts.runs))
	for _, r := range c.runs() {
		k := &c.Trial.Cooks[r.Cooks[0]]
		name, ok := of(k)
		out.add(r.Cooks[0], r.Level, name, ok)
		if !ok {
			out.lacks = append(out.lacks, k.ID)
		}
	}
	return out
}

// ofPieces sorts the pieces at compared levels. Cooks without pieces are in
// lacks.
func (c *Case) ofPieces(of func(p *trial.Piece) (string, bool)) category {
	out := categoryFor(len(c.facts.pieces) + len(c.Trial.Cooks))
	for ci := range c.Trial.Cooks {
		k := &c.Trial.Cooks[ci]
		if len(k.Pieces) == 0 && c.level(ci, -1) >= 0 {
			out.lacks = append(out.lacks, k.ID)
		}
		for pi := range k.Pieces {
			level := c.level(ci, pi)
			if level < 0 {
				continue
			}
			name, ok := of(&k.Pieces[pi])
			out.add(ci, level, name, ok)
			if !ok {
				out.lacks = append(out.lacks, k.Pieces[pi].ID)
			}
		}
	}
	return out
}

// together is how far a category goes along with the levels.
type together struct {
	*alias.Tie
	v float64 // Cramér's V, corrected; 0 where it is not defined
}

// together compares a category with the levels. The rank comes first: a table of
// one row a cell has a corrected V of 0 and is tied all the same.
func (c *Case) together(k category) together {
	tie, err := alias.Lost(k.level, c.Levels(), alias.Category(k.code))
	if err != nil { // no rows
		return together{Tie: &alias.Tie{}}
	}
	out := together{Tie: tie}
	if l, err := alias.CramersV(alias.Count(k.level, k.code)); err == nil {
		out.v = l.Corrected
	}
	return out
}

// tied is the part of a judgement that all checks of something tied share: what
// was lost by rank, or V, and the levels, cooks and pairs concerned. ok is false
// where neither reaches its limit. Pairs that are lost name the levels; of a V
// all levels are named.
func (c *Case) tied(k category, t together) (j Judgement, ok bool) {
	limit := c.set.number("tie-v")
	j = Judgement{Outcome: Fires, Severity: Weakens, Details: []Detail{
		{Name: "comparisons lost by rank", Value: quantity.Num(float64(t.Lost))},
		{Name: "Cramér's V, corrected", Value: quantity.Num(t.v)},
	}}
	var levels []int
	switch {
	case t.Lost > 0:
		j.Statistic, j.Value, j.Threshold = "comparisons lost by rank", quantity.Num(float64(t.Lost)), quantity.Num(0)
		for _, p := range t.Pairs {
			levels = append(levels, p[0], p[1])
			j.Where.Pairs = append(j.Where.Pairs, [2]string{c.label(p[0]), c.label(p[1])})
		}
		slices.Sort(levels)
		levels = slices.Compact(levels)
	case t.v > limit:
		j.Variant = "uneven"
		j.Statistic, j.Value, j.Threshold, j.Option = "Cramér's V, corrected", quantity.Num(t.v), quantity.Num(limit), "tie-v"
		for l := range c.Levels() {
			levels = append(levels, l)
		}
	default:
		return j, false
	}
	pairs := j.Where.Pairs
	j.Where = c.whereLevels(levels...)
	j.Where.Pairs = pairs
	j.Fill = Fill{"levels": c.levelsWords(levels...), "factor": c.factorWords()}
	return j, true
}

// namesAt lists the categories that rows at a level had.
func (k category) namesAt(level int) []string {
	var out []string
	for i, l := range k.level {
		if l == level && k.code[i] >= 0 && !slices.Contains(out, k.names[k.code[i]]) {
			out = append(out, k.names[k.code[i]])
		}
	}
	return out
}
