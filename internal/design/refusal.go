package design

import (
	"errors"

	"tamis/internal/diag"
	"tamis/internal/prose"
	"tamis/internal/quantity"
)

// The reasons for which a plan cannot exist.
var (
	ErrNoDesign = errors.New("there is nothing to lay out")
	ErrPlanned  = errors.New("the trial has cooks already")
	ErrDesign   = errors.New("the design contradicts itself")
	ErrPieces   = errors.New("there are too few pieces")
	ErrRuns     = errors.New("there are more runs than the baths can hold")
	ErrFixed    = errors.New("what is fixed cannot all hold")
	ErrHungry   = errors.New("the pieces do not feed the panel")
	ErrCodes    = errors.New("there are too few codes")
	ErrUnsafe   = errors.New("the food must not be eaten")
)

// Refusal says why a trial cannot be laid out and what would help.
type Refusal struct {
	Reason error          // one of the reasons above
	Text   prose.Sentence // why, without a capital and a full stop
	Hint   prose.Sentence // what to do; may be empty
	At     diag.Pos       // where in the file; zero where nowhere in particular
	Notes  []Note         // further places that belong to it
}

// Note is a further place of a refusal.
type Note struct {
	At   diag.Pos
	Text string
}

func (r *Refusal) Error() string {
	return r.Reason.Error() + ": " + r.Text.Text(quantity.Metric)
}

// Unwrap gives the reason, for errors.Is.
func (r *Refusal) Unwrap() error { return r.Reason }

func refuse(reason error, at diag.Pos, text, hint prose.Sentence) *Refusal {
	return &Refusal{Reason: reason, Text: text, Hint: hint, At: at}
}

// say builds a sentence; whole numbers become counts.
func say(parts ...any) prose.Sentence {
	for i, p := range parts {
		switch v := p.(type) {
		case int:
			parts[i] = prose.Quantity{Kind: prose.Count, Value: float64(v)}
		case quantity.Temperature:
			parts[i] = prose.Quantity{Kind: prose.Temperature, Value: v.Celsius(), Digits: 1}
		case quantity.Duration:
			parts[i] = prose.Quantity{Kind: prose.Duration, Value: v.Minutes()}
		case quantity.Mass:
			parts[i] = prose.Quantity{Kind: prose.Mass, Value: v.Grams()}
		}
	}
	return prose.Say(parts...)
}

// count says "1 cook" or "3 cooks".
func count(n int, one, many string) prose.Sentence {
	if n == 1 {
		return say(n, " "+one)
	}
	return say(n, " "+many)
}
