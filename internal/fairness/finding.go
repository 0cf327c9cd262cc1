package fairness

import (
	"strings"

	"tamis/internal/diag"
	"tamis/internal/prose"
	"tamis/internal/quantity"
)

// Finding is the result of one check on one trial.
type Finding struct {
	Slug     string   `json:"slug"`
	Family   Family   `json:"family"`
	Factor   string   `json:"factor,omitempty"` // the compared factor, where it is not the set point
	Severity Severity `json:"severity,omitempty"`
	About    Subject  `json:"about"`
	Kind     Kind     `json:"kind,omitempty"` // of a block
	Outcome  Outcome  `json:"outcome"`
	Stage    Stage    `json:"stage"`

	Statistic string          `json:"statistic,omitempty"` // what Value is
	Value     quantity.Number `json:"value,omitzero"`
	Threshold quantity.Number `json:"threshold,omitzero"`
	Option    string          `json:"option,omitempty"` // the threshold's name
	Where     Where           `json:"where,omitzero"`

	Text  prose.Sentence `json:"text,omitempty"`  // the finding, or what a clear check must add
	Hedge prose.Sentence `json:"hedge,omitempty"` // half a sentence for a claim
	Next  prose.Sentence `json:"next,omitempty"`  // what to do in the next trial
	Fix   string         `json:"fix,omitempty"`   // equal keys are one thing to do
	Cost  *Cost          `json:"cost,omitempty"`

	Missing []Missing `json:"missing,omitempty"` // of cannot-judge
	TooFew  *TooFew   `json:"too_few,omitempty"` // of cannot-judge

	Describes bool      `json:"describes,omitempty"` // speaks of the result, accuses no design
	Under     string    `json:"under,omitempty"`     // slug of the root cause it is part of
	Accepted  *Accepted `json:"accepted,omitempty"`
	Details   []Detail  `json:"details,omitempty"` // further statistics, for the scientist
}

// Where lists what a finding concerns, by id, and its place in the file.
type Where struct {
	Cooks     []string    `json:"cooks,omitempty"`
	Pieces    []string    `json:"pieces,omitempty"`
	Arms      []string    `json:"arms,omitempty"`
	Pairs     [][2]string `json:"pairs,omitempty"` // arms that cannot be told apart
	Sources   []string    `json:"sources,omitempty"`
	Sessions  []string    `json:"sessions,omitempty"`
	Baths     []string    `json:"baths,omitempty"`
	Assessors []string    `json:"assessors,omitempty"`
	Measures  []string    `json:"measures,omitempty"`
	Fields    []string    `json:"fields,omitempty"`
	Quote     string      `json:"quote,omitempty"` // words of the author
	At        diag.Pos    `json:"at,omitzero"`
}

// Missing is a field that would let a check judge.
type Missing struct {
	Field string   `json:"field"` // as in the trial file: cooks.session
	Where []string `json:"where,omitempty"`
}

// OfPeople reports whether Where lists assessors.
func (m Missing) OfPeople() bool {
	return strings.HasPrefix(m.Field, "panel.") || strings.HasPrefix(m.Field, "scores.")
}

// TooFew is a number that is too small to judge.
type TooFew struct {
	What string `json:"what"`
	Have int    `json:"have"`
	Need int    `json:"need"`
}

// Cost is how much of an observed difference the fault could explain, in points
// of the measure.
type Cost struct {
	Measure string          `json:"measure"`
	Unit    string          `json:"unit,omitempty"`
	Low     quantity.Number `json:"low"`
	High    quantity.Number `json:"high"`
	Of      quantity.Number `json:"of"` // the difference that was seen
	Text    prose.Sentence  `json:"text"`
}

// Accepted is the author's reason for living with a finding.
type Accepted struct {
	Because string   `json:"because"`
	At      diag.Pos `json:"at"`
}

// Detail is one more statistic of a finding.
type Detail struct {
	Name  string          `json:"name"`
	Value quantity.Number `json:"value"`
	Unit  string          `json:"unit,omitempty"`
	Words string          `json:"words,omitempty"`
}

// Judgement is what a check says of a case. The framework adds the rest of the
// Finding from the check's literal.
type Judgement struct {
	Outcome   Outcome
	Severity  Severity
	About     Subject // "" = the check's
	Kind      Kind    // "" = the check's
	Statistic string
	Value     quantity.Number
	Threshold quantity.Number
	Option    string
	Where     Where
	Variant   string // which of the check's other wordings; "" = Wording
	Fill      Fill   // of the placeholders of Wording, Hedge and Next
	Remark    prose.Sentence
	Missing   []Missing
	TooFew    *TooFew
	Cost      *Cost
	Details   []Detail
}

// Fill gives the parts for placeholders, by name without braces. A value is
// anything that prose.Say takes: text, a quantity or a sentence.
type Fill map[string]any

// clear, cannot, tooFew and notApplicable are the judgements without a fault.
func clear() Judgement { return Judgement{Outcome: Clear} }

// clearBut is clear with something that must be said beside it.
func clearBut(parts ...any) Judgement {
	return Judgement{Outcome: Clear, Remark: prose.Say(parts...)}
}

func notApplicable(parts ...any) Judgement {
	return Judgement{Outcome: DoesNotApply, Remark: prose.Say(parts...)}
}

// cannot names the field that is missing, and where.
func cannot(field string, where ...string) Judgement {
	return Judgement{Outcome: CannotJudge, Missing: []Missing{{Field: field, Where: where}}}
}

func tooFew(what string, have, need int) Judgement {
	return Judgement{Outcome: CannotJudge, TooFew: &TooFew{What: what, Have: have, Need: need}}
}

// Short is the finding in a word or two: "day", "bath", "run order".
func (f *Finding) Short() string {
	if c, ok := Lookup(f.Slug); ok && c.Short != "" {
		return c.Short
	}
	return f.Slug
}
