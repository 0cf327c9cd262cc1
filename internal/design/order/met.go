package order

// met counts the people who taste both of two labels, on whatever day.
type met struct {
	has    [][]int     // samples, by person and label
	shared [][]float64 // people, by two labels; symmetric
	people float64
	even   float64 // of them for each two labels, if everybody takes as many labels as can be
}

func newMet(sittings []Sitting, people, labels int) *met {
	m := &met{has: table(people, labels), shared: make([][]float64, labels), people: float64(people)}
	for a := range m.shared {
		m.shared[a] = make([]float64, labels)
	}
	takes := make([]int, people)
	for _, s := range sittings {
		takes[s.Who] += s.Size
	}
	for _, n := range takes {
		if q := float64(min(n, labels)); labels > 1 {
			m.even += q * (q - 1) / float64(labels*(labels-1))
		}
	}
	return m
}

// cost of two labels that n people share: as many as can be, and of equal sums of
// squares the one without extremes.
func (m *met) cost(n float64) float64 {
	d := (n - m.even) * (n - m.even)
	return (m.people-n)*(m.people-n) + extremes*d*d
}

// extremes weighs the fourth power against the square.
const extremes = 0.25

// add gives a person a sample of a label (by 1) or takes it away (by -1), and
// returns the growth of the cost: it is smallest where every two labels share as many
// people, and as equally many, as can be.
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
		d -= m.cost(*v)
		*v += by
		m.shared[b][a] += by
		d += m.cost(*v)
	}
	return d
}
