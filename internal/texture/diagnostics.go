package texture

import (
	"fmt"
	"sort"

	"tamis/internal/stats/dist"
	"tamis/internal/trial"
)

// Diagnostics is the fit that the headline tests of one unit come from, unit by
// unit: what it expects of each, what was seen, and how much each one pulls.
type Diagnostics struct {
	Unit   string         `json:"unit"`
	Fixed  []string       `json:"fixed"` // blocks first, then the terms that were tested
	DF     int            `json:"df"`
	SD     Number         `json:"residual_sd"`
	Units  []UnitResidual `json:"units"`
	Cannot string         `json:"cannot,omitempty"` // why pulls and standardised residuals are absent
}

// UnitResidual is one unit of a fit. Standardised is the residual over its own
// standard error, Studentised the same with the error of the fit without this
// unit, Distance Cook's distance; all three are absent where the unit alone
// determines a coefficient. Normal is the score expected of a residual of this
// rank under a normal distribution (Blom 1958: (rank − 3/8) / (n + 1/4)).
type UnitResidual struct {
	Cook         string `json:"cook"` // the first of a coarser unit
	Piece        string `json:"piece,omitempty"`
	SetPoint     Number `json:"set_point"` // °C
	Mean         Number `json:"mean"`
	Fitted       Number `json:"fitted"`
	Residual     Number `json:"residual"`
	Leverage     Number `json:"leverage"`
	Standardised Number `json:"standardised"`
	Studentised  Number `json:"studentised"`
	Distance     Number `json:"distance"`
	Normal       Number `json:"normal_score"`
}

// diagnostics describes the fit of every stratum but that of single scores.
func (tb *table) diagnostics(strata map[trial.Grouping]*stratum) []Diagnostics {
	var out []Diagnostics
	for _, by := range tb.strata() {
		s := strata[by]
		if s == nil || by == trial.ByScore || s.err != nil || s.fit == nil || s.fit.DF == 0 || s.exact {
			continue
		}
		d := Diagnostics{Unit: string(by), DF: s.fit.DF, SD: num(s.fit.Sigma)}
		d.Fixed = append(d.Fixed, s.blockNames()...)
		for _, t := range s.terms {
			d.Fixed = append(d.Fixed, termName(t))
		}
		first := firstRows(s.ut.unit.Code, len(s.ut.y))
		for u, y := range s.ut.y {
			row := tb.rows[first[u]]
			c := &tb.t.Cooks[row.Cook]
			r := UnitResidual{Cook: c.ID, SetPoint: absent("none stated, or several"), Mean: num(y), Fitted: num(s.fit.Fitted[u]), Residual: num(s.fit.Residuals[u])}
			if row.Piece >= 0 && by == trial.ByPiece {
				r.Piece = c.Pieces[row.Piece].ID
			}
			if (by == trial.ByCook || by == trial.ByPiece) && c.SetPoint.Known {
				r.SetPoint = num(c.SetPoint.V.Celsius())
			}
			d.Units = append(d.Units, r)
		}
		d.pulls(s)
		d.normalScores()
		out = append(out, d)
	}
	return out
}

// firstRows is the first row of each of n units.
func firstRows(code []int, n int) []int {
	first := make([]int, n)
	for i := len(code) - 1; i >= 0; i-- {
		if code[i] >= 0 {
			first[code[i]] = i
		}
	}
	return first
}

// pulls fills leverage, standardised residuals and distances.
func (d *Diagnostics) pulls(s *stratum) {
	set := func(r *UnitResidual, why string) {
		no := absent(why)
		r.Standardised, r.Studentised, r.Distance = no, no, no
	}
	inf, err := s.fit.Influence()
	if err != nil {
		d.Cannot = plain(err)
		for i := range d.Units {
			set(&d.Units[i], d.Cannot)
			d.Units[i].Leverage = absent(d.Cannot)
		}
		return
	}
	alone := map[int]bool{}
	for _, i := range inf.Exact {
		alone[i] = true
	}
	for i := range d.Units {
		r := &d.Units[i]
		r.Leverage = num(inf.Leverage[i])
		if alone[i] {
			set(r, "it alone determines a coefficient, or the error")
			continue
		}
		r.Standardised, r.Studentised, r.Distance = num(inf.Standardised[i]), num(inf.Studentised[i]), num(inf.Cook[i])
	}
	if len(alone) > 0 {
		d.Cannot = fmt.Sprintf("%d of %d %s determine a coefficient, or the error, alone", len(alone), len(d.Units), plural(d.Unit))
	}
}

// normalScores ranks the standardised residuals that there are; equal ones keep
// the order of the units.
func (d *Diagnostics) normalScores() {
	var order []int
	for i, r := range d.Units {
		if r.Standardised.Known() {
			order = append(order, i)
		} else {
			d.Units[i].Normal = absent(r.Standardised.Reason())
		}
	}
	sort.SliceStable(order, func(a, b int) bool {
		return d.Units[order[a]].Standardised.Or(0) < d.Units[order[b]].Standardised.Or(0)
	})
	for rank, i := range order {
		z, err := dist.NormalQuantile((float64(rank+1) - 0.375) / (float64(len(order)) + 0.25))
		if err != nil {
			d.Units[i].Normal = absent(plain(err))
			continue
		}
		d.Units[i].Normal = num(z)
	}
}
