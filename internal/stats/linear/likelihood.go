package linear

import (
	"fmt"
	"math"

	"tamis/internal/stats"
)

// LogLik is the largest Gaussian log-likelihood (ML), with the residual
// variance RSS/N. It returns stats.ErrNoVariation when RSS is 0.
func (f *Fit) LogLik() (float64, error) {
	return f.logLik(f.N)
}

// RestrictedLogLik is the restricted (REML) log-likelihood at Sigma². It depends
// on the coding and the scale of the columns, so compare only fits with the same
// ones. Errors: stats.ErrNoVariation, and stats.ErrTooFew without residual
// degrees of freedom.
func (f *Fit) RestrictedLogLik() (float64, error) {
	if err := f.needDF(); err != nil {
		return 0, err
	}
	l, err := f.logLik(f.DF)
	if err != nil {
		return 0, err
	}
	for k, j := range f.sys.qr.kept {
		// R belongs to scaled columns; undo the scale.
		l -= math.Log(math.Abs(f.sys.qr.r[k][k])) - math.Log(f.scale[j])
	}
	return l, nil
}

func (f *Fit) logLik(n int) (float64, error) {
	rss := dotDD(f.rw, f.rw)
	if rss == 0 {
		return 0, fmt.Errorf("%w: all residuals are 0, the likelihood has no largest value", stats.ErrNoVariation)
	}
	m := float64(n)
	logRSS := math.Log(rss) - 2*math.Log(f.yscale)
	return -m/2*(math.Log(2*math.Pi)+1-math.Log(m)+logRSS) - f.white.logDet/2, nil
}
