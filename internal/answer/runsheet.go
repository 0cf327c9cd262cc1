package answer

import (
	"math"

	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

// RunSheet is how to cook by the answer: its set point, how well the bath must
// hold it, and the time for pieces of several thicknesses with what may be eaten
// then.
type RunSheet struct {
	SetPoint  float64         `json:"set_point"` // °C
	Tolerance quantity.Number `json:"tolerance"` // K
	// Hold is the time after the core has arrived, in minutes, as the trial had it.
	Hold quantity.Number `json:"hold"`
	Rows []RunRow        `json:"rows"`
	Note Sentence        `json:"note"`
}

// RunRow is one thickness.
type RunRow struct {
	Thickness float64 `json:"thickness"` // mm
	// Cooked: pieces of about this thickness were in the trial. The time of all
	// others is calculated, and their texture was not tasted.
	Cooked  bool            `json:"cooked"`
	Minutes quantity.Number `json:"minutes"` // in the bath; absent for what is not to be eaten
	Verdict string          `json:"verdict"`
	Word    string          `json:"word"`
	// Pasteurised is how long it would have to stay in the bath to be pasteurised
	// at the core; absent where that never happens or is no better.
	Pasteurised quantity.Number `json:"pasteurised_after"`
	DiscardBy   float64         `json:"discard_after"` // minutes after it went in
}

// runThicknesses are the thicknesses of a run sheet, mm.
var runThicknesses = []float64{15, 20, 25, 30, 35, 40}

// timeToServe is how many minutes must be left between the bath and the discard
// time: a house rule.
const timeToServe = 15

// sameThickness is how near, in mm, a piece counts as of that thickness.
const sameThickness = 2.5

// runSheetOf is the run sheet of the set point that the answer names; nil where
// it names none, where the heat cannot be computed, or where nothing may be
// eaten.
func runSheetOf(t *trial.Trial, r *Result) *RunSheet {
	w := headOf(r)
	celsius, method, ok := named(r, w)
	shown, _ := shownPoint(r, w)
	if !ok || r.Safety.Verdict == VerdictDoNotEat || t.Medium.Or(trial.WaterBath) != trial.WaterBath {
		return nil
	}
	cooks := cooksBy(t, method)
	minutes, timed := sharedTime(t, cooks)
	own, known := ownThickness(t, cooks)
	if !timed || !known || len(cooks) == 0 {
		return nil
	}
	comeUp := func(mm float64) (heat.Range, bool) {
		alone := cellTrial(t, quantity.Millimetres(mm), quantity.Celsius(celsius))
		c := heat.OfTrial(alone).Cooks[0]
		return c.ComeUp(), c.ComeUp().Known
	}
	at, ok := comeUp(own)
	if !ok {
		return nil
	}
	hold := math.Max(0, minutes-at.Mid)
	out := &RunSheet{SetPoint: shown, Tolerance: quantity.Absent("not known"), Hold: quantity.Num(math.Round(hold)), Rows: []RunRow{}}
	if w != nil && w.Tol.Known() && !r.OneCookEach() && w.Cannot == "" && holds(w) {
		out.Tolerance = w.Tol
	}
	planner := safety.NewPlanner(t, safety.Override{})
	thinner := false // a thinner piece than the one of the row may be served
	for _, mm := range withOwn(own) {
		come, ok := comeUp(mm)
		if !ok {
			continue
		}
		row := RunRow{Thickness: mm, Cooked: cookedThickness(t, cooks, mm), Pasteurised: quantity.Absent("not at this set point")}
		inBath := 5 * math.Ceil((come.Mid+hold)/5-1e-9)
		if mm == own {
			inBath = minutes
		}
		v := worstAt(planner, cooks, celsius, mm, inBath)
		row.Verdict, row.Word, row.DiscardBy = v.Verdict.String(), verdictWord(v, !thinner && inBath > upToFive(come.High).Minutes()), v.Discard
		if v.Verdict == safety.DoNotEat {
			row.DiscardBy = 0 // it is thrown away at once
		}
		row.Minutes = quantity.Num(inBath)
		if v.Verdict < safety.Pasteurised && v.Verdict > safety.DoNotEat && v.Discard > 0 && v.Discard < inBath+timeToServe {
			row.Word = WordTooThick // it would have to go as soon as it is done
			row.Minutes, row.Pasteurised, row.DiscardBy = quantity.Absent("no time is left to serve it"), quantity.Absent("no time is left to serve it"), 0
			out.Rows = append(out.Rows, row)
			continue
		}
		thinner = thinner || v.Verdict > safety.DoNotEat
		switch {
		case v.Verdict == safety.DoNotEat:
			row.Minutes = quantity.Absent("not to be eaten")
			row.Pasteurised = quantity.Absent("not to be eaten")
		case v.Verdict >= safety.Pasteurised:
			row.Pasteurised = quantity.Absent("it is by then")
		default:
			if after, ok := surelyPasteurised(planner, cooks, celsius, mm); ok {
				row.Pasteurised = quantity.Num(after)
			}
		}
		out.Rows = append(out.Rows, row)
	}
	if len(out.Rows) == 0 {
		return nil
	}
	out.Note = Say("Times let every piece stay as long after its core has arrived as the pieces of the trial did. What is marked * was calculated, and its texture was not tested.")
	if r.Safety.Verdict != VerdictNotAsked {
		out.Note = Say(out.Note, " Check the core of the thickest piece with a probe.")
	}
	return out
}

// shownPoint is the set point that the answer names as it was estimated; what
// is computed for it takes the coldest reading of it.
func shownPoint(r *Result, w *texture.Window) (float64, bool) {
	if w != nil && w.Best.Known() && !r.OneCookEach() && w.Cannot == "" && holds(w) {
		return w.Best.Get()
	}
	if c := closestOf(r); c != nil {
		return c.SetPoint.Get()
	}
	return 0, false
}

// sharedTime is the bath time of the cooks in minutes when they share it, else
// the middle of the lot.
func sharedTime(t *trial.Trial, cooks []int) (float64, bool) {
	low, high := math.Inf(1), 0.0
	for _, i := range cooks {
		d, ok := t.Cooks[i].BathTime()
		if !ok {
			return 0, false
		}
		low, high = math.Min(low, d.Minutes()), math.Max(high, d.Minutes())
	}
	return high, high > 0 && high-low < 0.05*high
}

// ownThickness is the middle thickness of the pieces, in whole mm, else that of
// the food.
func ownThickness(t *trial.Trial, cooks []int) (float64, bool) {
	var sum, n float64
	for _, i := range cooks {
		for _, p := range t.Cooks[i].Pieces {
			if p.Thickness.Known {
				sum, n = sum+p.Thickness.V.Millimetres(), n+1
			}
		}
	}
	if n > 0 {
		return math.Round(sum / n), true
	}
	return math.Round(t.Food.Thickness.V.Millimetres()), t.Food.Thickness.Known
}

// withOwn puts the trial's own thickness among the others, in place of one that
// is about the same.
func withOwn(own float64) []float64 {
	out := []float64{}
	placed := false
	for _, mm := range runThicknesses {
		if !placed && own <= mm+1 {
			out, placed = append(out, own), true
			if math.Abs(own-mm) <= 1 {
				continue
			}
		}
		out = append(out, mm)
	}
	if !placed {
		out = append(out, own)
	}
	return out
}

func cookedThickness(t *trial.Trial, cooks []int, mm float64) bool {
	for _, i := range cooks {
		for _, p := range t.Cooks[i].Pieces {
			if p.Thickness.Known && math.Abs(p.Thickness.V.Millimetres()-mm) <= sameThickness {
				return true
			}
		}
	}
	return t.Food.Thickness.Known && math.Abs(t.Food.Thickness.V.Millimetres()-mm) <= sameThickness
}

// surelyPasteurised is when the slowest of the cooks of a method is pasteurised; ok is
// false where one of them never is.
func surelyPasteurised(p *safety.Planner, cooks []int, celsius, mm float64) (minutes float64, ok bool) {
	for _, i := range cooks {
		a := p.PasteurisedAfter(i, celsius, mm)
		if a.Never != nil || a.Verdict.Verdict < safety.Pasteurised {
			return 0, false
		}
		minutes = math.Max(minutes, a.Minutes)
	}
	return minutes, len(cooks) > 0
}

// worstAt is the worst verdict over the cooks of a method.
func worstAt(p *safety.Planner, cooks []int, celsius, mm, minutes float64) safety.CookVerdict {
	worst := p.At(cooks[0], celsius, mm, minutes)
	for _, i := range cooks[1:] {
		if v := p.At(i, celsius, mm, minutes); v.Verdict < worst.Verdict {
			worst = v
		}
	}
	return worst
}
