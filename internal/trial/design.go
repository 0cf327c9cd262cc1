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
	Bag               Opt[Bag] // that of every cook
	CooksEach         Opt[int]
	Sessions          Opt[int]
	Baths             []string
	Sources           []DesignSource
	PiecesPerCook     Opt[int]
	Assessors         []string
	SamplesPerSitting Opt[int]
	Triangles         Opt[int] // sets of three for each assessor
	Fixed             []Fixed
	ServeAt           Opt[Clock]
	At                diag.Pos
}

// DesignSource lists the pieces that a source yields; without a list it is one
// piece.
type DesignSource struct {
	ID     string
	Pieces []DesignPiece
	At     diag.Pos
}

// Parts are the parts that are named, in the order of the list.
func (s DesignSource) Parts() []string {
	out := make([]string, len(s.Pieces))
	for i, p := range s.Pieces {
		out[i] = p.Part
	}
	return out
}

// DesignPiece is one piece that there is, with what is known of its size.
type DesignPiece struct {
	Part      string
	Thickness Opt[quantity.Length]
	Before    Opt[quantity.Mass]
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
