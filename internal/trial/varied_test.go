package trial

import (
	"strings"
	"testing"

	"tamis/internal/quantity"
)

// Times that differ by what a cook is late are no treatment.
func TestTimesThatBelongTogether(t *testing.T) {
	t.Parallel()
	for _, w := range []struct {
		name    string
		minutes []float64
		meant   bool
		levels  string
	}{
		{"late by minutes", []float64{108, 113, 110, 112}, false, ""},
		{"5 min of 30", []float64{30, 35, 30, 35}, false, ""},
		{"6 min of 30", []float64{30, 36, 30, 36}, false, "30 min, 36 min"},
		{"a tenth of the median", []float64{200, 220, 200, 220}, false, ""},
		{"two times, not to the minute", []float64{30, 61, 32, 60, 31, 62}, false, "31 min, 61 min"},
		{"two times that are meant", []float64{30, 33, 30, 33}, true, "30 min, 33 min"},
		{"one", []float64{30}, false, ""},
		{"none", nil, false, ""},
	} {
		tr := &Trial{}
		for i, m := range w.minutes {
			d, err := quantity.ParseDuration(quantity.FromMinutes(m).String())
			if err != nil {
				t.Fatal(err)
			}
			tr.Cooks = append(tr.Cooks, Cook{ID: string(rune('A' + i)), SetPoint: Some(quantity.Celsius(50)), Time: Some(d)})
		}
		if w.meant {
			tr.Design = Some(Design{Times: []quantity.Duration{quantity.FromMinutes(30), quantity.FromMinutes(33)}})
		}
		got := ""
		for _, v := range tr.VariedFactors(tr.Layout()) {
			if v.Name == TimeFactor {
				got = strings.Join(v.Levels, ", ")
				for i := 1; i < len(v.Values); i++ {
					if v.Values[i] <= v.Values[i-1] {
						t.Errorf("%s: values %v", w.name, v.Values)
					}
				}
			}
		}
		if got != w.levels {
			t.Errorf("%s: %q, want %q", w.name, got, w.levels)
		}
	}
}
