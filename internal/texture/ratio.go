package texture

import (
	"strings"

	"tamis/internal/stats/linear"
	"tamis/internal/trial"
)

// hasRatio says whether a measure can be given as a ratio: an amount whose 0
// means none of it. Ratings and temperatures have no such 0.
func (tb *table) hasRatio() bool {
	if tb.measure.Kind != trial.Amount {
		return false
	}
	switch strings.TrimSpace(strings.ToLower(tb.measure.Unit.Or(""))) {
	case "°c", "°f", "ph", "points", "point", "score", "scores":
		return false
	}
	for _, v := range tb.y {
		if v < 0 {
			return false
		}
	}
	return true
}

// ratio is B over A with Fieller's interval, for amounts. Within blocks, the
// pairs of block means have one covariance matrix: b - ratio × a has mean 0,
// so its t statistic is exact. Otherwise the means and covariance come from the
// stratum of the factor.
func (c *comparison) ratio() *Ratio {
	if !c.tb.hasRatio() {
		return nil
	}
	unit := c.tb.units[c.f.Name].By
	var a, b, vaa, vab, vbb, df float64
	var ok bool
	if unit == trial.ByPiece || unit == trial.ByScore {
		a, b, vaa, vab, vbb, df, ok = c.pairMoments()
	} else if fam := c.tb.levelMeans(c.f, c.tb.fitStratum(unit), c.level); fam.ok {
		a, b, ok = fam.mean[c.a], fam.mean[c.b], true
		vaa, vab, vbb, df = fam.cov[c.a][c.a], fam.cov[c.a][c.b], fam.cov[c.b][c.b], fam.df
	}
	out := &Ratio{Estimate: absent("no error to judge it by"), Low: absent("no error to judge it by"), High: absent("no error to judge it by")}
	if !ok {
		return out
	}
	r, err := linear.Ratio(b, a, vbb, vab, vaa, df, c.level)
	if err != nil {
		out.Estimate, out.Low, out.High = absent(plain(err)), absent(plain(err)), absent(plain(err))
		return out
	}
	if r.HasEstimate {
		out.Estimate = num(r.Estimate)
	}
	out.Low, out.High = absent("open"), absent("open")
	if r.Shape == linear.Outside {
		return out
	}
	if !r.Interval.LowOpen {
		out.Low = num(r.Interval.Low)
	}
	if !r.Interval.HighOpen {
		out.High = num(r.Interval.High)
	}
	return out
}

// pairMoments are the means of both levels over the blocks that hold both,
// set points weighted equally, with their covariance pooled within set points.
func (c *comparison) pairMoments() (a, b, vaa, vab, vbb, df float64, ok bool) {
	type pair struct {
		a, b   float64
		na, nb int
		s      int
	}
	pairs := map[int]*pair{}
	var order []int
	var setPoint []int
	for _, g := range c.ut.factors {
		if g.Name == trial.SetPointFactor {
			setPoint = g.Code
		}
	}
	for i, g := range c.block {
		if g < 0 {
			continue
		}
		p := pairs[g]
		if p == nil {
			p = &pair{}
			if setPoint != nil {
				p.s = setPoint[i]
			}
			pairs[g] = p
			order = append(order, g)
		}
		if c.code[i] == c.a {
			p.a, p.na = p.a+c.ut.y[i], p.na+1
		} else {
			p.b, p.nb = p.b+c.ut.y[i], p.nb+1
		}
	}
	sums := map[int]*struct{ a, b, n float64 }{}
	var full []*pair
	var arms []int
	for _, g := range order {
		p := pairs[g]
		if p.na == 0 || p.nb == 0 || p.s < 0 {
			continue
		}
		p.a, p.b = p.a/float64(p.na), p.b/float64(p.nb)
		full = append(full, p)
		s := sums[p.s]
		if s == nil {
			s = &struct{ a, b, n float64 }{}
			sums[p.s] = s
			arms = append(arms, p.s)
		}
		s.a, s.b, s.n = s.a+p.a, s.b+p.b, s.n+1
	}
	df = float64(len(full) - len(arms))
	if df < 1 {
		return
	}
	var saa, sab, sbb float64
	for _, p := range full {
		s := sums[p.s]
		da, db := p.a-s.a/s.n, p.b-s.b/s.n
		saa, sab, sbb = saa+da*da, sab+da*db, sbb+db*db
	}
	k := float64(len(arms))
	var weight float64 // of the pooled covariance in that of the equal average
	for _, arm := range arms {
		s := sums[arm]
		a, b = a+s.a/s.n/k, b+s.b/s.n/k
		weight += 1 / s.n / (k * k)
	}
	return a, b, weight * saa / df, weight * sab / df, weight * sbb / df, df, true
}
