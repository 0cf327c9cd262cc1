package pool

import "fmt"

// Method estimates the variance between trials.
type Method int

const (
	// REML is restricted maximum likelihood.
	REML Method = iota
	// Fixed assumes one common effect: τ² = 0.
	Fixed
	// DerSimonianLaird (1986) is the moment estimator from Q.
	DerSimonianLaird
	// PauleMandel (1982) makes the generalised Q equal to its degrees of
	// freedom. The empirical Bayes estimator of Morris (1983) is the same.
	PauleMandel
	// ML is maximum likelihood; it underestimates τ² for few trials.
	ML
	// HunterSchmidt (1990) is (Q − k)/Σw.
	HunterSchmidt
	// SidikJonkman (2005) is the two-step estimator from the plain variance.
	SidikJonkman
)

// String is the name in lower case.
func (m Method) String() string {
	names := [...]string{"REML", "fixed", "DerSimonian-Laird", "Paule-Mandel", "ML", "Hunter-Schmidt", "Sidik-Jonkman"}
	if m < 0 || int(m) >= len(names) {
		return fmt.Sprintf("method(%d)", int(m))
	}
	return names[m]
}
