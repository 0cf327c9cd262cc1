package allot

// matching pairs things on the left with places on the right, one to one, by
// augmenting paths (Kuhn): a thing that finds no free place takes one whose
// holder can go elsewhere. What was paired once stays paired.
type matching struct {
	of, by  []int // the place of a thing, the thing at a place; -1 without
	allowed func(i, j int) bool
	seen    []bool
}

func newMatching(things, places int, allowed func(i, j int) bool) *matching {
	m := &matching{of: make([]int, things), by: make([]int, places), allowed: allowed}
	for i := range m.of {
		m.of[i] = -1
	}
	for j := range m.by {
		m.by[j] = -1
	}
	return m
}

// left finds a place for a thing and reports whether there is one.
func (m *matching) left(i int) bool {
	m.seen = make([]bool, len(m.by))
	return m.place(i)
}

func (m *matching) place(i int) bool {
	for j := range m.by { // a free place first, so that few have to move
		if m.by[j] < 0 && !m.seen[j] && m.allowed(i, j) {
			m.of[i], m.by[j] = j, i
			return true
		}
	}
	for j := range m.by {
		if m.seen[j] || !m.allowed(i, j) {
			continue
		}
		m.seen[j] = true
		if m.place(m.by[j]) {
			m.of[i], m.by[j] = j, i
			return true
		}
	}
	return false
}

// right finds a thing for a place that is empty.
func (m *matching) right(j int) bool {
	m.seen = make([]bool, len(m.of))
	return m.fill(j)
}

func (m *matching) fill(j int) bool {
	for i := range m.of {
		if m.of[i] < 0 && !m.seen[i] && m.allowed(i, j) {
			m.of[i], m.by[j] = j, i
			return true
		}
	}
	for i := range m.of {
		if m.seen[i] || !m.allowed(i, j) {
			continue
		}
		m.seen[i] = true
		old := m.of[i]
		if m.fill(old) { // somebody else goes where i was
			m.of[i], m.by[j] = j, i
			return true
		}
	}
	return false
}
