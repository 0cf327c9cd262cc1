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

// Sears and soaks by the stopwatch are no treatments either.
func TestSearsAndSoaksThatBelongTogether(t *testing.T) {
	t.Parallel()
	sear := func(seconds float64, perSide bool) Opt[Finish] {
		return Some(Finish{Sear: Some(quantity.FromSeconds(seconds)), PerSide: perSide})
	}
	soak := func(minutes float64, salt string) Opt[Brine] {
		share, err := quantity.ParseShare(salt)
		if err != nil {
			t.Fatal(err)
		}
		return Some(Brine{Kind: WetBrine, Salt: Some(share), For: Some(quantity.FromMinutes(minutes))})
	}
	for _, w := range []struct {
		name, factor string
		finish       []Opt[Finish]
		brine        []Opt[Brine]
		design       Design
		levels       string
	}{
		{"one sear, to the second", FinishFactor, []Opt[Finish]{sear(24, true), sear(25, true), sear(29, true), sear(25, true)}, nil, Design{}, ""},
		{"two sears, to the second", FinishFactor, []Opt[Finish]{sear(29, true), sear(61, true), sear(30, true), sear(60, true), sear(30, true)}, nil, Design{}, "seared 30 s per side, seared 60 s per side"},
		{"two that are meant", FinishFactor, []Opt[Finish]{sear(25, true), sear(30, true)}, nil, Design{Finish: []Finish{{}, {}}}, "seared 25 s per side, seared 30 s per side"},
		{"a side and in all", FinishFactor, []Opt[Finish]{sear(30, true), sear(30, false)}, nil, Design{}, "seared 30 s, seared 30 s per side"},
		{"seared and not", FinishFactor, []Opt[Finish]{sear(30, true), Some(Finish{None: true}), sear(32, true)}, nil, Design{}, "no finish, seared 30 s per side"},
		{"one soak, to the minute", BrineFactor, nil, []Opt[Brine]{soak(30, "5 %"), soak(32, "5 %"), soak(31, "5 %")}, Design{}, ""},
		{"two soaks", BrineFactor, nil, []Opt[Brine]{soak(30, "5 %"), soak(60, "5 %"), soak(31, "5 %")}, Design{}, "brined (5 %, 30 min), brined (5 %, 60 min)"},
		{"two strengths", BrineFactor, nil, []Opt[Brine]{soak(30, "5 %"), soak(31, "8 %"), soak(32, "5 %")}, Design{}, "brined (5 %, 30 min), brined (8 %, 31 min)"},
		{"plain and brined", BrineFactor, nil, []Opt[Brine]{soak(30, "5 %"), Some(Brine{Kind: NoBrine}), soak(31, "5 %")}, Design{}, "plain, brined"},
	} {
		tr := &Trial{Design: Some(w.design)}
		for i := range max(len(w.finish), len(w.brine)) {
			c := Cook{ID: string(rune('A' + i)), SetPoint: Some(quantity.Celsius(50))}
			if w.finish != nil {
				c.Finish = w.finish[i]
			}
			if w.brine != nil {
				c.Brine = w.brine[i]
			}
			tr.Cooks = append(tr.Cooks, c)
		}
		got := ""
		for _, v := range tr.VariedFactors(tr.Layout()) {
			if v.Name == w.factor {
				got = strings.Join(v.Levels, ", ")
			}
		}
		if got != w.levels {
			t.Errorf("%s: %q, want %q", w.name, got, w.levels)
		}
	}
}
