package trial

import (
	"tamis/internal/diag"
	"tamis/internal/quantity"
)

// Panel is the assessors of a trial and what they said.
type Panel struct {
	ScoresFile    Opt[string]
	KeyFile       Opt[string]
	TrianglesFile Opt[string]
	Blind         Opt[bool]
	LooksMasked   Opt[Mask]
	Together      Opt[bool]
	Bite          Opt[quantity.Mass]
	Plan          Opt[Layout]
	Guessed       Opt[Guessed]
	WarmUp        Opt[bool]
	Rinse         Opt[Rinse]
	Assessors     []Assessor // facts from the file; not every assessor needs an entry
	Key           []KeyEntry
	Scores        []Score
	Triangles     []TriangleSet
	At            diag.Pos
}

// Guessed counts how often assessors named the sample they were given.
type Guessed struct{ Answers, Correct, Of int }

// Rinse is what happened between samples.
type Rinse struct {
	With Opt[string]
	Gap  Opt[quantity.Duration]
}

// Assessor holds facts on one assessor.
type Assessor struct {
	ID     string
	Kind   Opt[AssessorKind]
	Cooked Opt[bool]
	Chose  Opt[bool]
	At     diag.Pos
}

// KeyEntry maps a blind code to a piece.
type KeyEntry struct {
	Code, Piece string
	At          diag.Pos
}

// Score is one line of a score sheet: one assessor, one sample.
//
// Piece and Cook are filled by the reader from Code and the key where they can
// be; a score names at least a cook.
type Score struct {
	Assessor   string
	Session    Opt[string]
	Repeat     Opt[string]
	Position   Opt[int]
	Code       Opt[string]
	Piece      Opt[string]
	Cook       string
	Clock      Opt[Clock]
	ServedAt   Opt[quantity.Temperature]
	Values     Readings
	WhyMissing Opt[string]
	LeftOut    Opt[string]
	Notes      Opt[string]
	At         diag.Pos
}
