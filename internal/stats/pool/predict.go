package pool

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

// Predicted is the mean at given moderators and the effect of a new trial there.
type Predicted struct {
	Mean, SE float64
	Interval stats.Interval // of the mean, normal
	// As in Result; nil where undefined (too few trials, no spread, Fixed).
	Prediction, PredictionNormal, PredictionKH *stats.Interval
}

// At predicts at one value per moderator (none without moderators). It does not
// say whether the values lie inside the range of the trials.
//
// Errors: ErrLengths, ErrNonFinite, ErrDomain for a result that Pool did not make.
func (r *Result) At(moderators []float64) (Predicted, error) {
	if r == nil || r.design == nil {
		return Predicted{}, fmt.Errorf("%w: not a result of Pool", stats.ErrDomain)
	}
	d, p := r.design, r.design.p()
	if err := stats.CheckLengths("moderators", len(moderators), "the model", p-1); err != nil {
		return Predicted{}, err
	}
	if err := stats.CheckFinite("moderators", moderators); err != nil {
		return Predicted{}, err
	}
	x := mat.NewVecDense(p, nil)
	x.SetVec(0, 1)
	for j, v := range moderators {
		x.SetVec(j+1, (v-d.mean[j])/d.scale[j])
	}
	out := Predicted{Mean: mat.Dot(x, mat.NewVecDense(p, append([]float64(nil), r.fit.beta...)))}
	variance := mat.Inner(x, r.fit.a, x)
	out.SE = math.Sqrt(variance)
	z := math.Sqrt2 * math.Erfinv(r.level)
	out.Interval = around(out.Mean, z*out.SE, r.level)
	if r.Method != Fixed {
		normal := around(out.Mean, z*math.Sqrt(r.Tau2+variance), r.level)
		out.PredictionNormal = &normal
		if df := r.K - p - 1; df >= 1 {
			t, err := r.tQuantile(df)
			if err != nil {
				return Predicted{}, err
			}
			iv := around(out.Mean, t*math.Sqrt(r.Tau2+variance), r.level)
			out.Prediction = &iv
		}
		if kappa, ok := r.kappa(); ok {
			t, err := r.tQuantile(r.DF)
			if err != nil {
				return Predicted{}, err
			}
			iv := around(out.Mean, t*math.Sqrt(r.Tau2+kappa*variance), r.level)
			out.PredictionKH = &iv
		}
	}
	return out, stats.CheckFinite("prediction", []float64{out.Mean, out.SE})
}

// Shrunken is the best prediction of the true effect of one trial in hand.
type Shrunken struct {
	Value, SE float64
}

// Shrink draws each trial's effect towards the mean by its reliability
// λ = τ²/(τ² + v): λy + (1 − λ)x'β, variance λv + (1 − λ)² x'(X'WX)⁻¹x. Fixed or
// τ² = 0 gives the mean itself.
func (r *Result) Shrink() []Shrunken {
	if r == nil || r.design == nil {
		return nil
	}
	d := r.design
	out := make([]Shrunken, d.k())
	for i := range out {
		lambda := r.Tau2 / (r.Tau2 + d.v[i])
		x := mat.NewVecDense(d.p(), d.x[i])
		mean := d.y[i] - r.fit.e[i]
		out[i].Value = lambda*d.y[i] + (1-lambda)*mean
		out[i].SE = math.Sqrt(lambda*d.v[i] + (1-lambda)*(1-lambda)*mat.Inner(x, r.fit.a, x))
	}
	return out
}

// LeaveOneOut repeats the analysis without each trial in turn, in the order of
// the trials. Errors: those of Pool, naming the trial left out.
func LeaveOneOut(effects, variances []float64, opt Options) ([]*Result, error) {
	if _, err := Pool(effects, variances, opt); err != nil {
		return nil, err
	}
	k := len(effects)
	if k < 2 {
		return nil, fmt.Errorf("%w: %d trials, 2 needed", stats.ErrTooFew, k)
	}
	out := make([]*Result, k)
	for i := range k {
		y := append(append([]float64(nil), effects[:i]...), effects[i+1:]...)
		v := append(append([]float64(nil), variances[:i]...), variances[i+1:]...)
		o := opt
		if opt.Moderators != nil && !opt.Moderators.IsEmpty() {
			_, m := opt.Moderators.Dims()
			o.Moderators = mat.NewDense(k-1, m, nil)
			for j := range k - 1 {
				from := j
				if j >= i {
					from++
				}
				o.Moderators.SetRow(j, mat.Row(nil, from, opt.Moderators))
			}
		}
		var err error
		if out[i], err = Pool(y, v, o); err != nil {
			return nil, fmt.Errorf("without trial %d: %w", i, err)
		}
	}
	return out, nil
}

// Asymmetry is the regression test for a funnel plot that leans: do the small
// trials find other effects than the large ones?
type Asymmetry struct {
	Slope, SE float64 // of the effect on its standard error, weights 1/v
	T         float64
	DF        int
	P         float64
}

// Egger is the weighted regression of the effect on its standard error with a
// free residual variance (Egger et al. 1997, BMJ 315, 629–634). It has little
// power below ten trials (common practice, no source).
//
// Errors: those of Pool; ErrTooFew below 3 trials; ErrSingular for equal
// variances; ErrNoVariation when the fit is exact.
func Egger(effects, variances []float64) (Asymmetry, error) {
	if err := stats.CheckSample("variances", variances); err != nil {
		return Asymmetry{}, err
	}
	se := make([]float64, len(variances))
	for i, v := range variances {
		if v <= 0 {
			return Asymmetry{}, fmt.Errorf("%w: variances[%d] = %v, above 0 needed", stats.ErrDomain, i, v)
		}
		se[i] = math.Sqrt(v)
	}
	if len(se) < 3 {
		return Asymmetry{}, fmt.Errorf("%w: %d trials, 3 needed", stats.ErrTooFew, len(se))
	}
	r, err := Pool(effects, variances, Options{Method: Fixed, Moderators: mat.NewDense(len(se), 1, se), Names: []string{"standard error"}})
	if err != nil {
		return Asymmetry{}, err
	}
	if r.KnappHartung == nil {
		return Asymmetry{}, fmt.Errorf("%w: the line fits exactly", stats.ErrNoVariation)
	}
	// Rescaling by the weighted residuals is what a free residual variance does.
	c := r.KnappHartung[1]
	return Asymmetry{Slope: c.Estimate, SE: c.SE, T: c.Stat, DF: r.DF, P: c.P}, nil
}
