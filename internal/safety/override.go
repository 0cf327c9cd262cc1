package safety

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// Override is what somebody who knows better puts in place of the tables. Each
// field that is not known keeps the table's value. The zero Override changes
// nothing.
//
// D, Z and Decades replace all rows of a kind of whole muscle by one. They leave
// the fixed temperatures and times of poultry, game, eggs, bivalves, pulses and
// opened food alone. The values of the heat are taken as they are, with nothing
// deducted.
type Override struct {
	D            trial.Opt[Reduction]
	Z            trial.Opt[float64] // K
	Decades      trial.Opt[float64]
	Diffusivity  trial.Opt[float64] // m²/s
	Conductivity trial.Opt[float64] // W/m/K
	Coefficient  trial.Opt[float64] // W/m²/K
	Shape        trial.Opt[heat.Shape]
}

// ErrOverride: a value that cannot stand in for one of a table.
var ErrOverride = errors.New("not a value that can be used")

// Reduction is a decimal reduction time: minutes at a temperature in °C.
type Reduction struct{ Minutes, At float64 }

// Check refuses what is not a positive finite number. The error says which.
func (o Override) Check() error {
	for _, x := range []struct {
		name string
		v    trial.Opt[float64]
	}{{"z", o.Z}, {"decades", o.Decades}, {"diffusivity", o.Diffusivity}, {"conductivity", o.Conductivity}, {"coefficient", o.Coefficient},
		{"D", trial.Opt[float64]{V: o.D.V.Minutes, Known: o.D.Known}}} {
		if x.v.Known && !(x.v.V > 0 && !math.IsInf(x.v.V, 1)) {
			return fmt.Errorf("%w: %s is %v, and has to be above 0", ErrOverride, x.name, x.v.V)
		}
	}
	if o.D.Known && !(o.D.V.At > -50 && o.D.V.At < 200) {
		return fmt.Errorf("%w: D is given at %v °C", ErrOverride, o.D.V.At)
	}
	if o.Shape.Known && o.Shape.V > heat.Sphere {
		return fmt.Errorf("%w: the shape is not slab, cylinder or sphere", ErrOverride)
	}
	return nil
}

func (o Override) kills() bool { return o.D.Known || o.Z.Known || o.Decades.Known }
func (o Override) conducts() bool {
	return o.Diffusivity.Known || o.Conductivity.Known || o.Coefficient.Known || o.Shape.Known
}

// Any reports whether anything is overridden.
func (o Override) Any() bool { return o.kills() || o.conducts() }

// Words names the values that are the user's, as in "D 2.88 min at 60 °C". It is
// nil where there are none.
func (o Override) Words() Words {
	var ws []Words
	if o.D.Known {
		ws = append(ws, words("D "+number(o.D.V.Minutes)+" min at ", temp(o.D.V.At, digitsOf(o.D.V.At))))
	}
	if o.Z.Known {
		ws = append(ws, words("z ", kelvins(o.Z.V, digitsOf(o.Z.V))))
	}
	if o.Decades.Known {
		ws = append(ws, words(number(o.Decades.V)+" decades"))
	}
	if o.Diffusivity.Known {
		ws = append(ws, words("a diffusivity of "+number(o.Diffusivity.V)+" m²/s"))
	}
	if o.Conductivity.Known {
		ws = append(ws, words("a conductivity of "+number(o.Conductivity.V)+" W/m·K"))
	}
	if o.Coefficient.Known {
		ws = append(ws, words("a coefficient of "+number(o.Coefficient.V)+" W/m²·K"))
	}
	if o.Shape.Known {
		ws = append(ws, words("the shape of a "+o.Shape.V.String()))
	}
	var out Words
	for i, w := range ws {
		switch {
		case i > 0 && i == len(ws)-1:
			out = append(out, words(" and ")...)
		case i > 0:
			out = append(out, words(", ")...)
		}
		out = append(out, w...)
	}
	return out
}

// number prints a bare number with as many digits as it was given.
func number(v float64) string {
	return strings.ReplaceAll(fmt.Sprintf("%.6g", v), "e-0", "e-")
}

// digitsOf is how many decimals a number was given with, at most 2.
func digitsOf(v float64) int {
	for d := range 2 {
		if s := math.Pow10(d) * v; math.Abs(s-math.Round(s)) < 1e-9 {
			return d
		}
	}
	return 2
}

// rows are the rows of a kind of whole muscle, or the user's.
func (o Override) rows(kind string) []Row {
	rows := rowsOf(kind)
	if !o.kills() || len(rows) == 0 {
		return rows
	}
	// What is not given comes from the row that asks for most at 60 °C.
	r := rows[0]
	for _, x := range rows[1:] {
		if x.Minutes(60) > r.Minutes(60) {
			r = x
		}
	}
	r.Source, r.Memory, r.Low, r.High = "the user's value", "", math.Inf(-1), math.Inf(1)
	if o.D.Known {
		r.D, r.At = o.D.V.Minutes, o.D.V.At
	}
	r.Z, r.Decades = o.Z.Or(r.Z), o.Decades.Or(r.Decades)
	return []Row{r}
}

// core is the core of a cook by the user's heat. ok is false where it cannot be
// computed.
func (o Override) core(t *trial.Trial, c *heat.Cook) (at func(float64) float64, solid heat.Solid, ok bool) {
	if c.Cannot != nil || c.Logged() {
		return nil, nil, false
	}
	m, known := heat.Slow(t, c.Start, c.Bath)
	if !known {
		return nil, nil, false
	}
	m.Diffusivity, m.Conductivity, m.Transfer = o.Diffusivity.Or(m.Diffusivity), o.Conductivity.Or(m.Conductivity), o.Coefficient.Or(m.Transfer)
	body, err := heat.New(o.Shape.Or(heat.Slab), c.Thickness/2000, m)
	if err != nil {
		return nil, nil, false
	}
	bath, start := c.Bath, c.Start
	return func(minutes float64) float64 { return bath - (bath-start)*body.Centre(60*minutes) }, body, true
}

// arrivals are the earliest arrival and the longest time in the bath where the
// cook counts a hold from the arrival, by the user's heat.
func (o Override) arrivals(solid heat.Solid, c *heat.Cook, hold quantity.Duration) (from, longest float64, ok bool) {
	early, err1 := heat.SecondsTo(solid, c.Start, c.SetPoint, c.SetPoint-heat.ComeUp)
	late, err2 := heat.SecondsTo(solid, c.Start, c.Bath, c.Bath-heat.ComeUp)
	if err1 != nil || err2 != nil {
		return 0, 0, false
	}
	return early / 60, late/60 + hold.Minutes(), true
}
