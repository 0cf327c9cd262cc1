package size

import (
	"errors"
	"slices"

	"tamis/internal/figure"
	"tamis/internal/prose"
	"tamis/internal/quantity"
)

// ErrNoCurve says that a result has nothing to draw.
var ErrNoCurve = errors.New("there is no curve to draw")

// Figure is the curve of a result: over cooks per set point or answers, the
// chance to see the difference that was named, or else the smallest visible
// difference. Errors: ErrNoCurve.
func Figure(r *Result) (figure.Figure, error) {
	f := figure.Figure{ID: "size", Desc: figure.Same("The numbers of the curve stand in the text and in the CSV table.")}
	var x, y []float64
	add := func(n int, v quantity.Number, factor float64) {
		if v, ok := v.Get(); ok {
			x, y = append(x, float64(n)), append(y, factor*v)
		}
	}
	label, goal, chance := "cooks per set point", 0.0, true
	f.Title = figure.Same(plain(r.Text.Answer))
	f.Caption = figure.Same(plain(append(slices.Clone(r.Text.Danger), r.Text.Assumed...)))
	switch c := r.Cooks; {
	case c == nil:
		label, goal = "answers", 100*r.Answers.Target
		if !r.Answers.Share.Known() {
			return f, ErrNoCurve
		}
		for _, p := range r.Answers.Curve {
			add(p.Answers, p.Power, 100)
		}
	case c.Question.Effect > 0:
		label, goal = "cooks per "+c.Arm, 100*c.Question.Power
		for _, p := range c.Curve {
			add(p.Design.Cooks, p.Power, 100)
		}
	default:
		label, chance = "cooks per "+c.Arm, false
		for _, p := range c.Curve {
			add(p.Design.Cooks, p.Visible, 1)
		}
	}
	if len(x) < 2 {
		return f, ErrNoCurve
	}
	lo, hi := figure.Padded(x[0], x[len(x)-1], 0.05)
	f.X = figure.Number(prose.Upper(label), "", max(0, lo), hi, 8)
	if chance {
		f.Y = figure.Number("Chance to succeed", "%", 0, 100, 5)
		f.Layers = append(f.Layers, figure.Threshold{Along: figure.AlongY, At: goal, Role: figure.Aim,
			Label: figure.Same(prose.Fixed(goal, 0) + " %")})
	} else {
		top := 0.0
		for _, v := range y {
			top = max(top, v)
		}
		f.Y = figure.Number("Smallest visible difference", r.Cooks.Unit, 0, 1.05*top, 5)
	}
	style := figure.Style{Role: figure.Curve}
	f.Layers = append(f.Layers, figure.Line{X: x, Y: y, Style: style}, figure.Points{X: x, Y: y, Style: style})
	return f, nil
}

// plain joins sentences.
func plain(ss []prose.Sentence) string {
	out := ""
	for i, s := range ss {
		if i > 0 {
			out += " "
		}
		out += s.Text(quantity.Metric)
	}
	return out
}
