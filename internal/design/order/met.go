package order

// met counts the people who taste both of two labels, on whatever day.
type met struct {
	has    [][]int     // samples, by person and label
	shared [][]float64 // people, by two labels, less all of them; symmetric
}

func newMet(people, labels int) *met {
	m := &met{has: table(people, labels), shared: make([][]float64, labels)}
	for a := range m.shared {
		m.shared[a] = make([]float64, labels)
		for b := range m.shared[a] {
			m.shared[a][b] = -float64(people)
		}
	}
	return m
}

// add gives a person a sample of a label (by 1) or takes it away (by -1), and
// returns the growth of the sum of squares: it is smallest where every two labels
// share as many people, and as equally many, as can be.
func (m *met) add(who, a int, by float64) (d float64) {
	n := &m.has[who][a]
	had := *n > 0
	*n += int(by)
	if had == (*n > 0) {
		return 0
	}
	for b, k := range m.has[who] {
		if b == a || k == 0 {
			continue
		}
		v := &m.shared[a][b]
		*v += by
		m.shared[b][a] += by
		d += by * (2**v - by)
	}
	return d
}
