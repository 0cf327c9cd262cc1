package fairness

import "testing"

// Two sessions on days of their own: the drift goes as far as a session does, and
// not over the night between them. Blocks have no session.
func TestDriftReach(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name    string
		order   []float64
		session []int
		want    float64
	}{
		{"orders", []float64{1, 2, 3, 1, 2, 3, 4}, []int{0, 0, 0, 1, 1, 1, 1}, 3},
		{"clocks of two days", []float64{600, 690, 2040, 2070}, []int{0, 0, 1, 1}, 90},
		{"blocks", []float64{3, 1, 15}, nil, 14},
		{"one run", []float64{7}, []int{0}, 0},
	} {
		d := driftModel{order: tt.order, session: tt.session}
		if got := d.reach(); got != tt.want {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
	}
}
