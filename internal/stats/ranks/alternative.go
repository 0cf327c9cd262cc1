package ranks

import (
	"fmt"

	"tamis/internal/stats"
)

// Alternative says which departures count against the null hypothesis. It is
// part of the question and is fixed before the data are seen.
type Alternative int

const (
	// TwoSided: either direction counts.
	TwoSided Alternative = iota
	// Greater: only a first sample (or difference) above counts.
	Greater
	// Less: only a first sample (or difference) below counts.
	Less
)

func (a Alternative) check() error {
	if a != TwoSided && a != Greater && a != Less {
		return fmt.Errorf("%w: alternative %d", stats.ErrDomain, int(a))
	}
	return nil
}

// String names the alternative in words.
func (a Alternative) String() string {
	switch a {
	case TwoSided:
		return "two-sided"
	case Greater:
		return "greater"
	case Less:
		return "less"
	}
	return "unknown alternative"
}
