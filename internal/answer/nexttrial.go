package answer

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"tamis/internal/design"
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

// NextTrial is the trial that a result proposes, as a design that package design
// can lay out: the same food, measures, aims and method, with the set points of
// the first proposal and as many sessions as there are repeats. Where every set
// point was cooked once, it repeats up to three of them, those that came closest.
// Who tasted is asked again; no source and nobody's scores come along. Neither t nor
// r is altered.
//
// ErrNotToBeEaten, and ErrNoProposal wrapped with the reason, which may be that
// no layout can exist.
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
		Title: trial.Some(strings.TrimSpace(t.Title.V) + ", next"), Question: t.Question, By: t.By, Status: trial.Some(trial.Idea),
		Aims: append([]trial.Aim(nil), t.Aims...), Serve: append([]trial.Group(nil), t.Serve...), Rules: t.Rules, Medium: t.Medium, Food: t.Food,
		Measures: append([]trial.Measure(nil), t.Measures...), Factors: append([]trial.Factor(nil), t.Factors...),
		Parts: append([]string(nil), t.Parts...),
	}
	if p, ok := t.Panel.Get(); ok {
		out.Panel = trial.Some(trial.Panel{Blind: p.Blind, LooksMasked: p.LooksMasked, Together: p.Together, Bite: p.Bite, Plan: p.Plan,
			WarmUp: p.WarmUp, Rinse: p.Rinse, Assessors: append([]trial.Assessor(nil), p.Assessors...)})
	}
	frozen, ok := frozenAlike(t)
	if ok {
		out.Food.Frozen = frozen
	}
	out.Design = trial.Some(nextDesign(t, &t.Cooks[like], piece, points, repeats))
	for _, id := range out.Design.V.Baths {
		bath := trial.Bath{ID: id}
		if i := slices.IndexFunc(t.Baths, func(b trial.Bath) bool { return b.ID == id }); i >= 0 {
			bath = t.Baths[i]
		}
		out.Baths = append(out.Baths, bath)
	}
	out.Notes = trial.Some(fmt.Sprintf("Proposed by tamis %s from %s (sha256 %.12s). Analyse it together with that trial.\n", r.Version, r.Trial.File, r.Trial.SHA256))
	if ok && safety.For(t, coldestReading(points[0]), cooksBy(t, method)).Parasites == safety.ParasitesFrozen {
		out.Notes.V += "It takes for granted that what is bought for it was frozen as before, with a record. Write food.frozen anew when it is bought; without it nobody tastes.\n"
	}
	// What is proposed can be laid out, and every cook of it may be eaten.
	if _, err := design.Of(out, design.Options{Seed: 1}); err != nil {
		var no *design.Refusal
		if errors.Is(err, design.ErrUnsafe) {
			return nil, unsafeNext(err)
		} else if errors.As(err, &no) {
			return nil, fmt.Errorf("%w: %s", ErrNoProposal, no.Text.Text(quantity.Metric))
		}
		return nil, err
	}
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

// unsafeNext is ErrNotToBeEaten with the reason of a refusal.
func unsafeNext(err error) error {
	var no *design.Refusal
	if errors.As(err, &no) {
		return fmt.Errorf("%w: %s", ErrNotToBeEaten, no.Text.Text(quantity.Metric))
	}
	return ErrNotToBeEaten
}

// frozenAlike is how all of the food was frozen, where nothing of it was frozen
// otherwise and parasites were not controlled by anything else.
func frozenAlike(t *trial.Trial) (how trial.Opt[trial.Frozen], ok bool) {
	for i := range t.Sources {
		f := t.Sources[i].Frozen
		if !f.Known {
			f = t.Food.Frozen
		}
		a, b, control := f.V, how.V, t.Sources[i].Parasites.V.Control
		switch {
		case !f.Known, control.Known && control.V != trial.ByFreezing:
			return trial.Opt[trial.Frozen]{}, false
		case !how.Known:
			how = f
		case a.Is != b.Is || a.Tmp.Known != b.Tmp.Known || a.Tmp.V != b.Tmp.V || a.Then.Known != b.Then.Known || a.Then.V != b.Then.V ||
			a.For.Known != b.For.Known || a.For.V != b.For.V || a.By.V != b.By.V:
			return trial.Opt[trial.Frozen]{}, false
		}
	}
	return how, how.Known
}

// nextDesign asks for set points in °C with all else as a cook had it, in the
// baths and by the people of the trial.
func nextDesign(t *trial.Trial, like *trial.Cook, piece int, points []float64, repeats int) trial.Design {
	method := like.Treatments(piece)
	d := trial.Design{CooksEach: trial.Some(repeats), Sessions: trial.Some(repeats), Bag: like.Bag, Assessors: t.AssessorIDs()}
	for _, celsius := range points {
		d.SetPoints = append(d.SetPoints, inUnitOf(like.SetPoint.V, celsius))
	}
	switch spent, known := like.BathTime(); {
	case like.Hold.Known:
		d.Holds = []quantity.Duration{like.Hold.V}
	case like.Time.Known:
		d.Times = []quantity.Duration{like.Time.V}
	case known:
		d.Times = []quantity.Duration{spent}
	}
	if method.Brine.Known {
		d.Brine = []trial.Brine{method.Brine.V}
	}
	if method.Finish.Known {
		d.Finish = []trial.Finish{method.Finish.V}
	}
	for _, l := range method.With {
		d.Factors = append(d.Factors, trial.Factor{Name: l.Factor, Levels: []string{l.Level}})
	}
	for i := range t.Cooks {
		if b := t.Cooks[i].Bath; b.Known && !slices.Contains(d.Baths, b.V) {
			d.Baths = append(d.Baths, b.V)
		}
	}
	slices.Sort(d.Baths)
	label := func(m trial.Treatment) string {
		s := m.Brine.V.Label() + "; " + m.Finish.V.Label()
		for _, l := range m.With {
			s += "; " + l.Factor + " " + l.Level
		}
		return s
	}
	same := 0
	for p := range like.Pieces {
		if label(like.Treatments(p)) == label(method) {
			same++
		}
	}
	if same > 0 {
		d.PiecesPerCook = trial.Some(same)
	}
	return d
}

// inUnitOf writes a set point as the trial writes them, whole degrees in °F.
func inUnitOf(like quantity.Temperature, celsius float64) quantity.Temperature {
	t := quantity.Celsius(celsius)
	if like.Unit() == "°F" {
		return quantity.Fahrenheit(math.Round(t.Fahrenheit()))
	}
	return t
}
