package linear

import (
	"fmt"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
	"tamis/internal/stats/frame"
)

// AnovaRow is a line of an analysis of variance. F and P are given where Tested
// is true: not for residuals, and not without residual degrees of freedom or
// residual variation. DF 0 marks a term that adds nothing.
type AnovaRow struct {
	Term   string
	DF     int
	SS     float64
	MS     float64
	F      float64
	P      float64
	Tested bool
}

// Anova is an analysis of variance: a row per term of the model, the residual
// last.
type Anova struct {
	Rows     []AnovaRow
	Residual AnovaRow
	Warnings []stats.Warning
}

// Anova tests each term of a fit made by NewFrame. Type III hypotheses are
// about sum-to-zero effects whatever the coding; where cells are empty, only the
// part that the data determine is tested, with the warning "not-estimable".
// Errors: stats.ErrDomain for a fit without a frame or an unknown type.
func (f *Fit) Anova(kind frame.SumsOfSquares) (*Anova, error) {
	if f.matrix == nil {
		return nil, fmt.Errorf("%w: the fit was not made from a frame, its columns have no terms", stats.ErrDomain)
	}
	hypotheses, err := f.matrix.Hypotheses(kind, f.whitened())
	if err != nil {
		return nil, err
	}
	out := &Anova{Residual: f.residualRow()}
	for _, h := range hypotheses {
		row := AnovaRow{Term: h.Term}
		if h.L != nil {
			full, _ := h.L.Dims()
			l := f.estimablePart(h.L)
			if l != nil {
				rows, _ := l.Dims()
				row.SS, row.DF, err = f.sumOfSquares(l, make([]float64, rows))
				if err != nil {
					return nil, err
				}
			}
			if kind == frame.TypeIII && row.DF < full {
				out.Warnings = append(out.Warnings, stats.Warning{ID: "not-estimable",
					Text: fmt.Sprintf("The data determine %d of the %d degrees of freedom of %s; the test is on those.", row.DF, full, h.Term)})
			}
		}
		if row, err = f.complete(row); err != nil {
			return nil, err
		}
		out.Rows = append(out.Rows, row)
	}
	return out, nil
}

// complete fills the mean square and, where there is something to test against,
// the test.
func (f *Fit) complete(row AnovaRow) (AnovaRow, error) {
	if row.DF == 0 {
		return row, nil
	}
	row.MS = row.SS / float64(row.DF)
	if f.DF == 0 || !(f.Sigma > 0) {
		return row, nil
	}
	t, err := f.against(row.SS, row.DF)
	row.F, row.P, row.Tested = t.F, t.P, true
	return row, err
}

func (f *Fit) residualRow() AnovaRow {
	r := AnovaRow{Term: "residual", DF: f.DF, SS: f.RSS}
	if f.DF > 0 {
		r.MS = f.RSS / float64(f.DF)
	}
	return r
}

// whitened is the model matrix of the whitened observations.
func (f *Fit) whitened() *mat.Dense {
	out := mat.DenseCopyOf(f.x)
	if f.white.root == nil && f.white.lower == nil {
		return out
	}
	_, p := out.Dims()
	for j := range p {
		c := mat.Col(nil, j, out)
		f.white.apply(c)
		out.SetCol(j, c)
	}
	return out
}
