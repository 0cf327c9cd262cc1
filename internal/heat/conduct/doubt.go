package conduct

import "math"

// Doubt is by how much what is taken as known of a log may be wrong, either way.
type Doubt struct {
	Bath      float64 // K
	Thickness float64 // share of Half
	Transfer  float64 // share of a coefficient that is given, below 1
}

// Doubted is Fit with intervals that hold the doubt too: the log is fitted again
// with each thing wrong by its doubt in either direction, the larger change of the
// logarithm is taken as that thing's half width, and half widths are added as
// squares to that of the scatter. Errors are those of Fit.
func Doubted(l Log, level float64, d Doubt) (Fitted, error) {
	out, err := Fit(l, level)
	if err != nil {
		return Fitted{}, err
	}
	for _, v := range []float64{d.Bath, d.Thickness, d.Transfer} {
		if !(v >= 0) || !finite(v) {
			return Fitted{}, bad("a doubt of %v", v)
		}
	}
	if d.Thickness >= 1 || d.Transfer >= 1 {
		return Fitted{}, bad("a doubt of the whole")
	}
	var wrong []func(*Log, float64)
	if d.Bath > 0 {
		wrong = append(wrong, func(l *Log, sign float64) { l.Bath = l.Bath.plus(sign * d.Bath) })
	}
	if d.Thickness > 0 {
		wrong = append(wrong, func(l *Log, sign float64) { l.Half *= 1 + sign*d.Thickness })
	}
	if d.Transfer > 0 && l.Transfer > 0 {
		wrong = append(wrong, func(l *Log, sign float64) { l.Transfer *= 1 + sign*d.Transfer })
	}
	var a, h float64 // squares of half widths, in logarithms
	for _, w := range wrong {
		var da, dh float64
		for _, sign := range []float64{-1, 1} {
			other := l
			w(&other, sign)
			f, err := Fit(other, level)
			if err != nil {
				return Fitted{}, err
			}
			da = math.Max(da, math.Abs(math.Log(f.Diffusivity.Value/out.Diffusivity.Value)))
			dh = math.Max(dh, math.Abs(math.Log(f.Transfer.Value/out.Transfer.Value)))
		}
		a += da * da
		h += dh * dh
	}
	out.Diffusivity.widen(a)
	out.Transfer.widen(h)
	return out, nil
}

func (e *Estimate) widen(square float64) {
	e.Low = e.Value * math.Exp(-math.Hypot(math.Log(e.Value/e.Low), math.Sqrt(square)))
	e.High = e.Value * math.Exp(math.Hypot(math.Log(e.High/e.Value), math.Sqrt(square)))
}

// plus is the profile shifted by v.
func (p Profile) plus(v float64) Profile {
	out := Profile{p.at, make([]float64, len(p.value))}
	for i, x := range p.value {
		out.value[i] = x + v
	}
	return out
}
