package dist

import (
	"math"
	"sync/atomic"
)

// tailTable stores a smooth, decreasing upper tail f of x ≥ 0 that is costly to
// evaluate and needed at many places: log f by Chebyshev interpolation on panels
// of width 1, each filled when it is first touched. The logarithm keeps the
// relative accuracy of small tails. A panel's content depends on f alone, so it
// makes no difference which goroutine fills it, or how often.
type tailTable struct {
	f      func(x float64) float64
	panels [tablePanels]atomic.Pointer[[tableNodes]float64]
}

const (
	// Normal tails of the kinds used here fall as e^{−x²/4} or faster and leave
	// float64 before x = 54.
	tablePanels = 54
	// The nearest complex zero of a tail lies about 2 away from the real axis:
	// Chebyshev coefficients on a panel of half-width ½ then fall by 8 each.
	tableNodes = 18
)

func newTailTable(f func(x float64) float64) *tailTable { return &tailTable{f: f} }

// at is f(x), interpolated; 1 for x ≤ 0 and 0 beyond the table.
func (t *tailTable) at(x float64) float64 {
	if x <= 0 {
		return 1
	}
	if !(x < tablePanels) {
		return 0
	}
	i := int(x)
	c := t.panels[i].Load()
	if c == nil {
		c = t.fill(i)
		t.panels[i].Store(c)
	}
	// Clenshaw's recurrence on [−1, 1].
	u := 2 * (2*(x-float64(i)) - 1)
	var b1, b2 float64
	for k := tableNodes - 1; k > 0; k-- {
		b1, b2 = u*b1-b2+c[k], b1
	}
	return math.Exp(u/2*b1 - b2 + c[0])
}

func (t *tailTable) fill(i int) *[tableNodes]float64 {
	var y, c [tableNodes]float64
	for j := range y {
		theta := (float64(j) + 0.5) * math.Pi / tableNodes
		f := t.f(float64(i) + (1+math.Cos(theta))/2)
		y[j] = math.Log(math.Max(f, 5e-324))
	}
	for k := range c {
		for j := range y {
			c[k] += y[j] * math.Cos(float64(k)*(float64(j)+0.5)*math.Pi/tableNodes)
		}
		c[k] *= 2.0 / tableNodes
	}
	c[0] /= 2
	return &c
}
