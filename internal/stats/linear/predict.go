package linear

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
	"tamis/internal/stats/internal/vec"
)

// Prediction is the fitted mean at one row with its standard error, the
// confidence interval of the mean and the interval for one new observation (of
// weight 1, independent of the data).
type Prediction struct {
	Mean     float64
	SE       float64
	Interval stats.Interval
	New      stats.Interval
}

// Predict returns the prediction for each row of x, which has the columns of the
// model (frame.Matrix.Encode makes such rows). A model without residual
// variation gives intervals of no width. Errors: stats.ErrEmpty,
// stats.ErrLengths, stats.ErrNonFinite, stats.ErrSingular for a row that the
// data do not determine, stats.ErrTooFew without residual degrees of freedom,
// stats.ErrDomain for a level outside (0, 1).
func (f *Fit) Predict(x mat.Matrix, level float64) ([]Prediction, error) {
	if x == nil {
		return nil, fmt.Errorf("%w: no rows", stats.ErrEmpty)
	}
	t, err := f.critical(level)
	if err != nil {
		return nil, err
	}
	n, _ := x.Dims()
	out := make([]Prediction, n)
	for i := range out {
		l := mat.Row(nil, i, x)
		if err := f.checkRow(l); err != nil {
			return nil, err
		}
		if err := f.needEstimable(fmt.Sprintf("row %d", i), l); err != nil {
			return nil, err
		}
		d := vec.Norm(f.spread(l)) // SE in units of sigma
		p := Prediction{Mean: f.value(l), SE: f.Sigma * d}
		half, wide := t*p.SE, t*f.Sigma*math.Hypot(1, d)
		p.Interval = stats.Interval{Low: p.Mean - half, High: p.Mean + half, Level: level}
		p.New = stats.Interval{Low: p.Mean - wide, High: p.Mean + wide, Level: level}
		if err := finite(p.Mean, p.SE, p.New.Low, p.New.High); err != nil {
			return nil, err
		}
		out[i] = p
	}
	return out, nil
}
