package sim

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"

	"tamis/internal/stats"
	"tamis/internal/stats/frame"
	"tamis/internal/stats/linear"
	"tamis/internal/stats/mixed"
)

// Design is an invented trial. The variance within an arm is 1, the share ICC of
// it between cooks. Cooks counts both arms together and is even.
type Design struct {
	Cooks    int
	Pieces   int     // in each cook
	ICC      float64 // from 0 to below 1
	Effect   float64 // second arm minus first, in within-arm standard deviations
	Sessions bool    // one cook of each arm per session; sessions differ with variance 1
}

// Trial is a design laid out: what does not change between draws.
type Trial struct {
	design Design
	frame  *frame.Frame
	matrix *frame.Matrix
	groups []mixed.Grouping
	cook   []int // of each piece
	arm    []int
}

// NewTrial lays a design out. Errors: stats.ErrDomain for an odd number of cooks
// or an ICC outside [0, 1), stats.ErrTooFew below 4 cooks or 2 pieces,
// stats.ErrNonFinite.
func NewTrial(d Design) (*Trial, error) {
	if err := stats.CheckFinite("design", []float64{d.ICC, d.Effect}); err != nil {
		return nil, err
	}
	switch {
	case d.Cooks < 4 || d.Pieces < 2:
		return nil, fmt.Errorf("%w: %d cooks of %d pieces, at least 4 of 2 needed", stats.ErrTooFew, d.Cooks, d.Pieces)
	case d.Cooks%2 != 0 || d.ICC < 0 || d.ICC >= 1:
		return nil, fmt.Errorf("%w: %d cooks, ICC %v", stats.ErrDomain, d.Cooks, d.ICC)
	}
	t := &Trial{design: d}
	var session []int
	for c := range d.Cooks {
		for range d.Pieces {
			t.cook = append(t.cook, c)
			t.arm = append(t.arm, c%2)
			session = append(session, c/2)
		}
	}
	cook, err := frame.FactorCodes("cook", t.cook, names("cook", d.Cooks))
	if err != nil {
		return nil, err
	}
	arm, err := frame.FactorCodes("arm", t.arm, []string{"first", "second"})
	if err != nil {
		return nil, err
	}
	sessions, err := frame.FactorCodes("session", session, names("session", d.Cooks/2))
	if err != nil {
		return nil, err
	}
	if t.frame, err = frame.New(cook, arm, sessions); err != nil {
		return nil, err
	}
	terms := append(t.blocks(), frame.T("arm"))
	if t.matrix, err = frame.Build(t.frame, frame.Model{Intercept: true, Terms: terms}); err != nil {
		return nil, err
	}
	group, err := mixed.FromColumn(cook)
	if err != nil {
		return nil, err
	}
	t.groups = []mixed.Grouping{group}
	return t, nil
}

func (t *Trial) blocks() []frame.Term {
	if t.design.Sessions {
		return []frame.Term{frame.T("session")}
	}
	return nil
}

// Draw invents the values of all pieces, cook after cook.
func (t *Trial) Draw(seed uint64, draw int) []float64 {
	d := t.design
	// The design is part of the stream, so that no two rows of a table share
	// their draws.
	stream := uint64(draw)<<16 ^ uint64(d.Cooks)<<8 ^ uint64(math.Round(100*d.ICC))
	if d.Sessions {
		stream ^= 1 << 15
	}
	rng := rand.New(rand.NewPCG(seed, stream))
	between, within := math.Sqrt(d.ICC), math.Sqrt(1-d.ICC)
	y := make([]float64, 0, d.Cooks*d.Pieces)
	session := 0.0
	for c := range d.Cooks {
		if d.Sessions && c%2 == 0 {
			session = rng.NormFloat64()
		}
		level := session + float64(c%2)*d.Effect + between*rng.NormFloat64()
		for range d.Pieces {
			y = append(y, level+within*rng.NormFloat64())
		}
	}
	return y
}

// Answer is the test of the arms and the interval of their difference, second
// minus first, at 95 %.
type Answer struct {
	P        float64
	DF       float64
	Estimate float64
	Interval stats.Interval
	Boundary bool // the variance between cooks was put at 0
}

// Unit is the headline answer: F of the arms on cook means, sessions removed.
func (t *Trial) Unit(y []float64) (Answer, error) {
	u, err := linear.Units(t.frame, y, linear.UnitModel{
		Unit:   []string{"cook"},
		Terms:  []frame.Term{frame.T("arm")},
		Blocks: t.blocks(),
	})
	if err != nil {
		return Answer{}, err
	}
	e, err := u.Fit.Estimate(t.contrast(), 0.95)
	if err != nil {
		return Answer{}, err
	}
	return Answer{P: u.Anova.Rows[0].P, DF: float64(e.DF), Estimate: e.Value, Interval: e.Interval}, nil
}

// Mixed is the answer of the mixed model by REML with Satterthwaite's degrees of
// freedom.
func (t *Trial) Mixed(y []float64) (Answer, error) {
	m, err := mixed.FitMatrix(y, t.matrix, t.groups, nil, mixed.Options{})
	if err != nil {
		return Answer{}, err
	}
	e, err := m.Contrast(t.contrast(), mixed.Satterthwaite)
	if err != nil {
		return Answer{}, err
	}
	iv, err := e.Interval(0.95)
	if err != nil {
		return Answer{}, err
	}
	return Answer{P: e.P, DF: e.DF, Estimate: e.Estimate, Interval: iv, Boundary: m.Status.Boundary}, nil
}

// contrast picks the coefficient of the second arm, the last column.
func (t *Trial) contrast() []float64 {
	l := make([]float64, len(t.matrix.Names))
	l[len(l)-1] = 1
	return l
}

func names(prefix string, n int) []string {
	out := make([]string, n)
	for i := range out {
		out[i] = prefix + strconv.Itoa(i+1)
	}
	return out
}
