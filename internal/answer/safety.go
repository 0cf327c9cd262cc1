package answer

import (
	"strings"

	"tamis/internal/trial"
)

// The verdicts for eating now, worst first.
const (
	VerdictDoNotEat       = "do not eat, do not taste"
	VerdictNone           = "no verdict: treat as not pasteurised"
	VerdictNotPasteurised = "not pasteurised"
	VerdictNotAsked       = "no verdict applies"
)

// safetyOf says what can be said about eating it without a heat calculation,
// which this version does not make: so nothing is ever called pasteurised.
func safetyOf(t *trial.Trial) Safety {
	s := Safety{Verdict: VerdictNone, Why: "this version makes no heat calculation"}
	kind := strings.ToLower(t.Food.Kind.V)
	_ = kind
	return s
}
