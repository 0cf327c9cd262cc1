package size

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"sync"

	"tamis/internal/quantity"
	"tamis/internal/stats/dist"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

func chiSquareUpper(upper, df float64) (float64, error) {
	return dist.ChiSquareUpperQuantile(upper, df)
}

// simulate makes invented trials with the layout of d, whose set points truly
// differ by effect, runs the headline analysis of texture on each and counts how
// often the difference is found. Every draw has a generator of its own, derived
// from the seed and its index, and only counts are added up, so the count does
// not depend on the number of cores. It ends early with the error of ctx.
func simulate(ctx context.Context, d Design, s Spread, q Question, effect float64, seed uint64, draws int) (Simulated, error) {
	return simulateOn(ctx, runtime.GOMAXPROCS(0), d, s, q, effect, seed, draws)
}

func simulateOn(ctx context.Context, cores int, d Design, s Spread, q Question, effect float64, seed uint64, draws int) (Simulated, error) {
	c, err := layOut(d, s)
	if err != nil {
		return Simulated{}, err
	}
	formula, err := c.power(q, effect)
	if err != nil {
		return Simulated{}, err
	}
	g := newGenerator(d, s, c.effects(q, effect))
	analysis := texture.NewRepeated(g.trial, g.observed)
	outcome := make([]outcome, draws)
	workers := min(cores, draws)
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			values := make([]float64, len(g.observed.Rows))
			for i := w; i < draws && ctx.Err() == nil; i += workers {
				g.draw(seed, i, values)
				outcome[i] = judge(analysis, values, q, c)
			}
		})
	}
	wg.Wait()
	if err := ctx.Err(); err != nil {
		return Simulated{}, err
	}
	out := Simulated{Design: d, Effect: effect, Draws: draws, Formula: formula}
	for _, o := range outcome {
		switch o {
		case seen:
			out.Seen++
		case noTest:
			out.NoTest++
		}
	}
	n := float64(draws)
	out.Share = float64(out.Seen) / n
	out.Error = math.Sqrt(out.Share * (1 - out.Share) / n)
	// The distance is judged by the error that the closed form implies, which is
	// there also when every draw found the difference.
	out.Within = math.Abs(out.Share-formula) <= 3*math.Sqrt(formula*(1-formula)/n)+0.5/n
	return out, nil
}

type outcome uint8

const (
	unseen outcome = iota
	seen
	noTest
)

// judge runs the headline analysis and reads off it what the question asks.
func judge(analysis *texture.Repeated, values []float64, q Question, c *closed) outcome {
	factor, label := trial.SetPointFactor, armLabel
	if c.within {
		factor, label = treatment, levelLabel
	}
	tests, pairs := analysis.Headline(values, factor)
	if q.pair(c.layout.Arms()) {
		a, b := label(c.i), label(c.j)
		for _, d := range pairs {
			if !(d.A == a && d.B == b || d.A == b && d.B == a) {
				continue
			}
			p, ok := d.PRaw.Get()
			if !ok {
				return noTest
			}
			if !q.OneSided {
				return found(p < q.Alpha)
			}
			// The named direction is that j lies above i.
			difference := d.Estimate.Or(0) // of A less B
			if d.A == a {
				difference = -difference
			}
			return found(p/2 < q.Alpha && difference > 0)
		}
		return noTest
	}
	for _, t := range tests {
		if t.Term == factor {
			if p, ok := t.P.Get(); ok {
				return found(p < q.Alpha)
			}
		}
	}
	return noTest
}

func found(yes bool) outcome {
	if yes {
		return seen
	}
	return unseen
}

// generator invents the numbers of a trial.
type generator struct {
	d        Design
	s        Spread
	effects  []float64
	trial    *trial.Trial
	observed trial.Observed
	visits   []int
	arm      []int // of each cook
}

// setPointOf are invented set points half a degree apart; only that they differ
// matters.
func setPointOf(arm int) quantity.Temperature { return quantity.Celsius(40 + 0.5*float64(arm)) }

func armLabel(arm int) string { return setPointOf(arm).String() }

// treatment is the invented factor of pieces.
const treatment = "treatment"

func levelLabel(level int) string { return fmt.Sprint("level ", level+1) }

// newGenerator lays the trial out as a record like any other.
func newGenerator(d Design, s Spread, effects []float64) *generator {
	g := &generator{d: d, s: s, effects: effects, trial: &trial.Trial{}, visits: d.visits(), arm: d.armOf()}
	m := trial.Measure{Name: "measure", Kind: trial.ScaleScore, Scale: trial.Range{Low: 0, High: 10}}
	g.trial.Measures = []trial.Measure{m}
	for j := range d.Sessions {
		g.trial.Sessions = append(g.trial.Sessions, trial.Session{ID: fmt.Sprint("s", j+1)})
	}
	g.observed.Measure = m
	if d.within() {
		f := trial.Factor{Name: treatment}
		for l := range d.Within {
			f.Levels = append(f.Levels, levelLabel(l))
		}
		g.trial.Factors = []trial.Factor{f}
	}
	for q := range d.TotalCooks() {
		c := trial.Cook{ID: fmt.Sprint("c", q+1), SetPoint: trial.Some(setPointOf(g.arm[q])),
			Session: trial.Some(fmt.Sprint("s", d.sessionOf(q)+1))}
		for p := range d.Pieces {
			x := trial.Piece{ID: fmt.Sprintf("c%d-%d", q+1, p+1)}
			if d.within() {
				x.With = []trial.Level{{Factor: treatment, Level: levelLabel(d.levelOf(q/d.SetPoints, p))}}
			}
			if d.Sources > 1 {
				x.Source = trial.Some(fmt.Sprintf("f%d-%d", q+1, d.sourceOf(p)+1))
			}
			c.Pieces = append(c.Pieces, x)
		}
		g.trial.Cooks = append(g.trial.Cooks, c)
		for v, p := range g.visits {
			o := trial.Observation{Cook: q, Piece: p}
			if d.Assessors > 0 {
				o.Assessor = fmt.Sprint("a", v/d.tasted()+1)
			}
			g.observed.Rows = append(g.observed.Rows, o)
		}
	}
	return g
}

// draw fills values, one for each row of the layout:
//
//	effect of the set point, or of the level of a piece + session + cook + source
//	+ piece + assessor + assessor × set point (centred over the panel) + score
//
// all normal and independent. The panel is fixed (claims are "as our panel
// scores"), so what assessors see differently is centred for each set point: its
// mean over the panel is part of the effect.
func (g *generator) draw(seed uint64, index int, values []float64) {
	rng := rand.New(rand.NewPCG(seed, stream(index)))
	d, s := g.d, g.s
	normals := func(n int, sd float64) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = sd * rng.NormFloat64()
		}
		return out
	}
	session := normals(d.Sessions, s.Sessions)
	assessor := normals(max(1, d.Assessors), s.Assessors)
	arm := make([][]float64, d.SetPoints)
	for k := range arm {
		arm[k] = normals(max(1, d.Assessors), s.AssessorArm)
		mean := 0.0
		for _, v := range arm[k] {
			mean += v / float64(len(arm[k]))
		}
		for a := range arm[k] {
			arm[k][a] -= mean
		}
	}
	i := 0
	for q := range d.TotalCooks() {
		k := g.arm[q]
		cook := session[d.sessionOf(q)] + s.Cooks*rng.NormFloat64()
		piece := normals(d.Pieces, s.Pieces)
		if d.within() {
			// Sources differ as much as pieces do; they cancel.
			source := normals(d.blocksOfCook(), s.Pieces)
			for p := range piece {
				piece[p] += g.effects[d.levelOf(q/d.SetPoints, p)]
				if d.Sources > 1 {
					piece[p] += source[d.sourceOf(p)]
				}
			}
		} else {
			cook += g.effects[k]
		}
		for v, p := range g.visits {
			a := 0
			if d.Assessors > 0 {
				a = v / d.tasted()
			}
			values[i] = cook + piece[p] + assessor[a] + arm[k][a] + s.Scores*rng.NormFloat64()
			i++
		}
	}
}

// stream spreads the index of a draw over all bits (the finaliser of SplitMix64;
// Steele, Lea & Flood 2014, OOPSLA), so that neighbouring draws share nothing.
func stream(index int) uint64 {
	z := uint64(index)*0x9e3779b97f4a7c15 + 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}
