package texture

import "testing"

// BenchmarkSensitivity is everything that this part adds to 270 cooks.
func BenchmarkSensitivity(b *testing.B) {
	tr := cake(b)
	a := &analysis{t: tr, opt: Options{}.withDefaults(), out: &Result{}}
	tb := newTable(tr, tr.Measures[0])
	out := &Measure{}
	tb.compare(out, a.opt, nil)
	b.ResetTimer()
	for i := 0; i < b.N; i++ {
		out.Sensitivity = nil
		a.sensitivity(tb, out)
	}
}

func BenchmarkLeaveOut(b *testing.B) {
	tr := cake(b)
	a := &analysis{t: tr, opt: Options{}.withDefaults(), out: &Result{}}
	tb := newTable(tr, tr.Measures[0])
	e, _ := tb.estimandOf()
	head, s, err := e.onUnits(tb, 0.95)
	if err != nil {
		b.Fatal(err)
	}
	b.ResetTimer()
	for i := 0; i < b.N; i++ {
		a.leaveOut(tb, e, s, head, &Sensitivity{})
	}
}
