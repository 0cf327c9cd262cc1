package answer

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/trial"
)

var (
	// ErrNotToBeEaten: the food of the trial is not to be eaten as it was cooked,
	// so nothing is proposed for it.
	ErrNotToBeEaten = errors.New("nothing is proposed, because this food is not to be eaten as it was cooked")
	// ErrNoProposal: the result has nothing to cook next.
	ErrNoProposal = errors.New("there is nothing to propose")
)

// repeatsAfterOne is how often a set point is cooked next when it was cooked
// once: the fewest that show how cooks differ.
const repeatsAfterOne = 2

// NextTrial is the trial that a result proposes: the same food, measures, aims
// and method, with the cooks of the first proposal spread over as many sessions
// as there are repeats. Where every set point was cooked once, it repeats up to
// three of them, those that came closest. Pieces have no source and nobody's
// scores. Neither t nor r is altered.
//
// ErrNotToBeEaten and ErrNoProposal, the latter wrapped with the reason.
func NextTrial(t *trial.Trial, r *Result) (*trial.Trial, error) {
	if r.Safety.Verdict == VerdictDoNotEat {
		return nil, ErrNotToBeEaten
	}
	b := &builder{t: t, r: r}
	points, method, repeats, err := b.toCook()
	if err != nil {
		return nil, err
	}
	for _, celsius := range points {
		if safety.For(t, coldestReading(celsius), cooksBy(t, method)).Verdict == safety.DoNotEat {
			return nil, ErrNotToBeEaten
		}
	}
	like, piece, ok := cookLike(t, method)
	if !ok {
		return nil, fmt.Errorf("%w: no cook has the method %q", ErrNoProposal, method)
	}
	out := &trial.Trial{
		Title: trial.Some(strings.TrimSpace(t.Title.V) + ", next"), Question: t.Question, By: t.By, Status: trial.Some(trial.Planned),
		Aims: append([]trial.Aim(nil), t.Aims...), Serve: append([]trial.Group(nil), t.Serve...), Rules: t.Rules, Medium: t.Medium, Food: t.Food,
		Measures: append([]trial.Measure(nil), t.Measures...), Factors: append([]trial.Factor(nil), t.Factors...),
		Parts: append([]string(nil), t.Parts...), Baths: append([]trial.Bath(nil), t.Baths...),
	}
	if p, ok := t.Panel.Get(); ok {
		out.Panel = trial.Some(trial.Panel{Blind: p.Blind, LooksMasked: p.LooksMasked, Together: p.Together, Bite: p.Bite, Plan: p.Plan,
			WarmUp: p.WarmUp, Rinse: p.Rinse, Assessors: append([]trial.Assessor(nil), p.Assessors...)})
	}
	for s := 0; s < repeats; s++ {
		session := fmt.Sprintf("session-%d", s+1)
		out.Sessions = append(out.Sessions, trial.Session{ID: session})
		for k := range points {
			// Every second session in reverse, so that no set point is always first.
			i := k
			if s%2 == 1 {
				i = len(points) - 1 - k
			}
			out.Cooks = append(out.Cooks, nextCook(&t.Cooks[like], piece, len(out.Cooks)+1, points[i], session, k+1))
		}
	}
	out.Notes = trial.Some(fmt.Sprintf("Proposed by tamis %s from %s (sha256 %.12s). Analyse it together with that trial.\n", r.Version, r.Trial.File, r.Trial.SHA256))
	return out, nil
}

// toCook is what to cook next: set points in °C, one method, and how often.
func (b *builder) toCook() (points []float64, method string, repeats int, err error) {
	if b.r.OneCookEach() {
		points, method = b.closestArms(3)
		if len(points) > 0 {
			return points, method, repeatsAfterOne, nil
		}
	}
	if len(b.r.Next) == 0 {
		why := "the trial gives no window that more cooks could narrow"
		for _, w := range b.r.Windows {
			if w.Cannot != "" {
				why = w.Cannot
			}
		}
		switch {
		case len(b.t.Aims) == 0:
			why = "the trial states no aim"
		case len(b.t.Arms()) < 2:
			why = "the trial does not vary the set point"
		}
		return nil, "", 0, fmt.Errorf("%w: %s", ErrNoProposal, why)
	}
	n := b.r.Next[0]
	return []float64{n.SetPoint}, n.Method, max(1, n.Repeats), nil
}

// closestArms are the cooked set points around the one that came closest to the
// aims, coldest first, and the method it had.
func (b *builder) closestArms(most int) (points []float64, method string) {
	near := closestOf(b.r)
	if near == nil {
		return nil, ""
	}
	at, ok := near.SetPoint.Get()
	if !ok {
		return nil, ""
	}
	arms := b.t.Arms()
	best := 0
	for i, a := range arms {
		if math.Abs(a.SetPoint.Celsius()-at) < math.Abs(arms[best].SetPoint.Celsius()-at) {
			best = i
		}
	}
	from := max(0, min(best-most/2, len(arms)-most))
	for i := from; i < min(len(arms), from+most); i++ {
		points = append(points, arms[i].SetPoint.Celsius())
	}
	return points, near.Method
}

// cookLike finds a cook, and a piece of it or -1, that had a method.
func cookLike(t *trial.Trial, method string) (cook, piece int, ok bool) {
	rows := t.Layout()
	methods, code := trial.Methods(t.VariedFactors(rows), len(rows))
	for i, row := range rows {
		if methods[code[i]].Label == method {
			return row.Cook, row.Piece, true
		}
	}
	return 0, 0, false
}

func nextCook(like *trial.Cook, piece, no int, celsius float64, session string, order int) trial.Cook {
	c := trial.Cook{ID: fmt.Sprintf("C%02d", no), SetPoint: trial.Some(inUnitOf(like.SetPoint.V, celsius)), Time: like.Time, Hold: like.Hold,
		Session: trial.Some(session), Order: trial.Some(order), Treatment: like.Treatments(piece), Bag: like.Bag}
	if d, ok := like.BathTime(); ok && !like.Time.Known && !like.Hold.Known {
		c.Time = trial.Some(d)
	}
	label := func(p int) string {
		tr := like.Treatments(p)
		s := tr.Finish.V.Label()
		if tr.Brine.Known {
			s += tr.Brine.V.Label()
		}
		return s + fmt.Sprint(len(tr.With))
	}
	for p := range like.Pieces {
		if label(p) == label(piece) {
			c.Pieces = append(c.Pieces, trial.Piece{ID: fmt.Sprintf("%s-%d", c.ID, len(c.Pieces)+1)})
		}
	}
	return c
}

// inUnitOf writes a set point as the trial writes them, whole degrees in °F.
func inUnitOf(like quantity.Temperature, celsius float64) quantity.Temperature {
	t := quantity.Celsius(celsius)
	if like.Unit() == "°F" {
		return quantity.Fahrenheit(math.Round(t.Fahrenheit()))
	}
	return t
}
