package mixed

import (
	"errors"
	"math"
	"testing"

	"tamis/internal/stats"
	"tamis/internal/stats/frame"
	"tamis/internal/stats/internal/reftest"
)

func TestCakeProfile(t *testing.T) {
	t.Parallel()
	all, source := readJSON(t, "cake.json")
	var ref []struct {
		Term string  `json:"term"`
		Low  float64 `json:"2_5_%"`
		High float64 `json:"97_5_%"`
	}
	decode(t, all["profile_ci_add"], &ref)
	f, d := cakeFrame(t, "cake.csv")
	mx := must(frame.Build(f, frame.Model{Intercept: true, Terms: []frame.Term{frame.T("recipe"), frame.T("tempU")}}))
	m := must(FitMatrix(floats(t, d["angle"]), mx, cakeGroups(d, false), nil, Options{}))
	got := must(m.ProfileSD(0.95))
	for i, r := range ref {
		reftest.Within(t, r.Term+" low", got[i].Interval.Low, r.Low, 1e-3, source+"; it interpolates the profile by splines")
		reftest.Within(t, r.Term+" high", got[i].Interval.High, r.High, 1e-3, source+"; it interpolates the profile by splines")
	}
	for _, level := range []float64{0, 1} {
		if _, err := m.ProfileSD(level); !errors.Is(err, stats.ErrDomain) {
			t.Errorf("level %v: %v", level, err)
		}
	}
}

// Without groupings the profile of a slope has a closed form: the deviance is
// n ln(1 + t²/(n-p)) above its minimum.
func TestProfileContrastLinear(t *testing.T) {
	t.Parallel()
	d := small()
	d.Groups = nil
	m := must(Fit(d, Options{}))
	l := []float64{0, 1}
	e, p := must(m.Contrast(l, Satterthwaite)), must(m.ProfileContrast(l, 0.95))
	const chi = 3.841458820694124 // 95 % of χ² on 1 df
	n := float64(m.N)
	half := e.SE * math.Sqrt((n-2)*math.Expm1(chi/n))
	reftest.Within(t, "low", p.Interval.Low, e.Estimate-half, 1e-8, "closed form")
	reftest.Within(t, "high", p.Interval.High, e.Estimate+half, 1e-8, "closed form")
}

// The deviance at an end of the interval, computed by refitting with that value
// taken off the response, is the smallest plus the quantile.
func TestProfileContrastRefit(t *testing.T) {
	t.Parallel()
	d := small()
	m := must(Fit(d, Options{ML: true}))
	p := must(m.ProfileContrast([]float64{0, 1}, 0.9))
	for _, end := range []float64{p.Interval.Low, p.Interval.High} {
		h := small()
		for i := range h.Y {
			h.Y[i] -= end * h.X.At(i, 1)
		}
		h.X, h.Names = ones(24), nil
		reftest.Within(t, "deviance at the end", must(Fit(h, Options{ML: true})).Criterion, m.Criterion+2.705543454095404, 1e-8,
			"90 % of χ² on 1 df, and a search that ends at 1e-10 of the interval")
	}
}

// A variance on its bound has an interval that starts at 0.
func TestProfileBound(t *testing.T) {
	t.Parallel()
	d := readCSV(t, "boundary.csv")
	m := must(Fit(Data{Y: floats(t, d["y"]), X: ones(len(d["y"])), Groups: []Grouping{grouping("assessor", d["assessor"]), grouping("ap", d["ap"])}}, Options{}))
	iv := must(m.ProfileSD(0.95))
	if len(iv) != 3 || iv[0].Interval.Low != 0 || !(iv[0].Interval.High > 0) || !(iv[2].Interval.Low > 0) {
		t.Errorf("%+v", iv)
	}
}
