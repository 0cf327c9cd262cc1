package fairness

import "testing"

// The size of the pieces goes under a short core where that is all it does, and is
// said aloud where it sets set points apart besides.
func TestSizeUnderShortCore(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ name, cooks, under string }{
		{"one short, two set points", `cooks: [{set_point: 50 °C, time: 50 min, log: none, pieces: [{thickness: 15 mm}]}, {set_point: 56 °C, time: 50 min, log: none, pieces: [{thickness: 35 mm}]}]`, "core-short"},
		{"one short, the others alike", `cooks: [{set_point: 50 °C, time: 50 min, log: none, pieces: [{thickness: 15 mm}]}, {set_point: 53 °C, time: 50 min, log: none, pieces: [{thickness: 15 mm}]}, {set_point: 56 °C, time: 50 min, log: none, pieces: [{thickness: 35 mm}]}]`, "core-short"},
		{"one short, the others not alike", `cooks: [{set_point: 50 °C, time: 50 min, log: none, pieces: [{thickness: 10 mm}]}, {set_point: 53 °C, time: 50 min, log: none, pieces: [{thickness: 14 mm}]}, {set_point: 56 °C, time: 50 min, log: none, pieces: [{thickness: 35 mm}]}]`, ""},
		{"two short, and not alike", `cooks: [{set_point: 50 °C, time: 50 min, log: none, pieces: [{thickness: 10 mm}]}, {set_point: 53 °C, time: 50 min, log: none, pieces: [{thickness: 30 mm}]}, {set_point: 56 °C, time: 50 min, log: none, pieces: [{thickness: 40 mm}]}]`, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			r, err := Run(Inputs{Trial: graft(t, tt.cooks)})
			if err != nil {
				t.Fatal(err)
			}
			var size, core Finding
			for _, f := range r.Findings {
				switch f.Slug {
				case "size-differs":
					size = f
				case "core-short":
					core = f
				}
			}
			if core.Outcome != Fires || size.Outcome != Fires || size.Severity != Weakens || size.Under != tt.under {
				t.Errorf("core-short %s (%v); size-differs %s %s under %q, want %q", core.Outcome, core.Where.Cooks, size.Outcome, size.Severity, size.Under, tt.under)
			}
		})
	}
}
