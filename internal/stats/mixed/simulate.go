package mixed

import (
	"fmt"
	"math"
	"math/rand/v2"

	"tamis/internal/stats"
)

// Simulate draws responses from the fitted model: new random effects for every
// level and new residuals, around the marginal fitted values. Each draw has a
// generator of its own, made from the seed and the number of the draw, so that
// draw 7 is the same whoever makes it. stats.ErrDomain for a negative draw.
func (m *Model) Simulate(seed uint64, draw int) ([]float64, error) {
	if draw < 0 {
		return nil, fmt.Errorf("%w: draw %d", stats.ErrDomain, draw)
	}
	rng := rand.New(rand.NewPCG(seed, uint64(draw)))
	out := m.Fitted(false)
	for g, codes := range m.codes {
		b := make([]float64, len(m.used[g]))
		for l := range b {
			b[l] = m.Components[g].SD * rng.NormFloat64()
		}
		for i, c := range codes {
			out[i] += b[c]
		}
	}
	for i := range out {
		sd := m.Sigma
		if m.data.Weights != nil {
			sd /= math.Sqrt(m.data.Weights[i])
		}
		out[i] += sd * rng.NormFloat64()
	}
	return out, nil
}

// Refit fits the same model to another response. Errors as Fit.
func (m *Model) Refit(y []float64) (*Model, error) {
	d := m.data
	d.Y = y
	return Fit(d, Options{ML: m.ML})
}
