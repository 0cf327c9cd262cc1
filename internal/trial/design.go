package trial

import (
	"tamis/internal/diag"
	"tamis/internal/quantity"
)

// Design is a trial before the cook: what is to be compared and what there is
// to compare it with.
type Design struct {
	SetPoints         []quantity.Temperature
	Times             []quantity.Duration
	Holds             []quantity.Duration
	Brine             []Brine
	Finish            []Finish
	Factors           []Factor
	CooksEach         Opt[int]
	Sessions          Opt[int]
	Baths             []string
	Sources           []DesignSource
	PiecesPerCook     Opt[int]
	Assessors         []string
	SamplesPerSitting Opt[int]
	Fixed             []Fixed
	ServeAt           Opt[Clock]
	At                diag.Pos
}

// DesignSource lists the parts that a source yields.
type DesignSource struct {
	ID    string
	Parts []string
	At    diag.Pos
}

// Fixed is an assignment that cannot be changed.
type Fixed struct {
	Source   Opt[string]
	Part     Opt[string]
	Cook     Opt[string]
	SetPoint Opt[quantity.Temperature]
	Session  Opt[string]
	Bath     Opt[string]
	At       diag.Pos
}
