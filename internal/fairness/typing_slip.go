package fairness

import (
	"tamis/internal/diag"
	"tamis/internal/prose"
	"tamis/internal/quantity"
)

var typingSlip = Check{
	Slug:   "typing-slip",
	Short:  "a slip of the pen",
	Family: Data,
	Stage:  Cooked,
	Asks:   "Is a value a slip of the pen?",
	Needs:  []string{"pieces", "cooks", "panel.scores"},
	Finds: "It looks for a value that is 8 times the median of its like or more, or an eighth of it or less (masses, thicknesses, times, and " +
		"amounts at one set point, with five of its like or more); a log that stands where the set point would be in the other temperature " +
		"scale; a time out of order; and a score row that was entered twice.",
	Clears:   "None of these, with something to compare.",
	Unjudged: "There are fewer than five values of any kind.",
	Why: "One slip can move a mean further than any set point does, and a mean does not show it. Only whoever wrote it down can say " +
		"what it should be.",
	Wording: "{value} at {place} is far from the others of its kind ({usual}). Is it a slip?",
	Others: map[string]string{
		"unit":  "{value} at {place} is far from the others of its kind ({usual}), but would fit in {unit}. Is it a slip?",
		"scale": "The log of {place} stands at {value}, where the set point of {usual} would be in the other temperature scale. Is it a slip?",
		"clock": "At {place}, {value} is out of order with {usual}. Is it a slip?",
		"twice": "{value} has the same scores for {place} twice. Was the row entered twice?",
	},
	Hedge:   "a value may be a slip",
	Next:    "Read the values back aloud on the day, when the piece can still be weighed again.",
	Fix:     "read-back",
	Source:  "House rules.",
	FiresOn: "cooks: [{id: A, set_point: 46 °C, pieces: [{thickness: 18 mm}, {thickness: 180 mm}, {thickness: 19 mm}]}, {id: B, set_point: 54 °C, pieces: [{thickness: 18 mm}, {thickness: 17 mm}]}]",
	ClearOn: "cooks: [{id: A, set_point: 46 °C, pieces: [{thickness: 18 mm}, {thickness: 17 mm}, {thickness: 19 mm}]}, {id: B, set_point: 54 °C, pieces: [{thickness: 18 mm}, {thickness: 17 mm}]}]",
	Judge:   judgeTypingSlip,
	Example: exampleTypingSlip,
}

const (
	slipRatio = 8.0 // a value and the median of its like
	leastLike = 5   // values that make a median to hold one against
)

func judgeTypingSlip(c *Case) Judgement {
	most := 0
	all := c.likes()
	for i := range all {
		l := &all[i]
		most = max(most, len(l.values))
		if s, ok := l.slip(c.Trial); ok {
			return s.judgement()
		}
	}
	for _, look := range []func() (slip, bool){c.logInOtherScale, c.clockOutOfOrder, c.rowTwice} {
		if s, ok := look(); ok {
			return s.judgement()
		}
	}
	if most < leastLike && len(c.facts.scores) < leastLike {
		return tooFew("values of one kind", most, leastLike)
	}
	return clear()
}

// slip is one suspicious value.
type slip struct {
	variant             string
	value, place, usual any // parts
	unit                string
	ratio               float64
	where               Where
	at                  diag.Pos
}

func (s slip) judgement() Judgement {
	j := Judgement{Outcome: Fires, Severity: Note, Variant: s.variant, Where: s.where,
		Fill: Fill{"value": s.value, "place": s.place, "usual": s.usual, "unit": s.unit}}
	j.Where.At = s.at
	if s.ratio > 0 {
		j.Statistic, j.Value, j.Threshold = "value over the median of its like", quantity.Num(s.ratio), quantity.Num(slipRatio)
	}
	return j
}

// quoted is an id in a sentence.
func quoted(kind, id string) prose.Sentence { return prose.Say(kind, " ", id) }
