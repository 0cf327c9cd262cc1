package answer

import (
	"slices"

	"tamis/internal/design"
	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/trial"
)

// HeatSchema names the version of the result of HeatOf.
const HeatSchema = "heat/1"

// Heat is what the heat does in every cook of a trial, and who may eat it. Its
// JSON is documented by `tamis schema heat`. Temperatures are in °C, times in
// minutes, lengths in millimetres.
type Heat struct {
	Tamis   string     `json:"tamis"`
	Version string     `json:"version"`
	Trial   Ref        `json:"trial"`
	Title   Sentence   `json:"title"` // the trial's own, or what was asked
	Yours   []Sentence `json:"yours"` // numbers that somebody put in the place of the table's
	Cooks   []HeatCook `json:"cooks"`
	// Verdicts are those of the cooks, the same of several said once; Discards are
	// when what is left of them is thrown away.
	Verdicts []HeatVerdict `json:"verdicts"`
	Discards []Sentence    `json:"discards"`
	Table    *HeatTable    `json:"table,omitempty"`
	Cautions []Sentence    `json:"cautions"` // beside the method
	Method   []Sentence    `json:"method"`
}

// HeatRange is a number with its two ends. Low is the smaller.
type HeatRange struct {
	Low  quantity.Number `json:"low"`
	Mid  quantity.Number `json:"likely"`
	High quantity.Number `json:"high"`
}

// HeatCook is one cook.
type HeatCook struct {
	Cook      string          `json:"cook,omitempty"`
	SetPoint  quantity.Number `json:"set_point"`
	Thickness quantity.Number `json:"thickness"`
	Shape     string          `json:"shape"`
	Start     quantity.Number `json:"start"`
	Minutes   quantity.Number `json:"minutes"` // in the bath
	// Assumed says that no time was stated, and that Minutes is the shortest that does
	// what can be done at this set point: the core is there even if everything is
	// slow, and where it can be, it is pasteurised.
	Assumed bool `json:"assumed,omitempty"`

	ComeUp HeatRange `json:"come_up"`
	// Bath says what the times take the bath to do: steady, loaded (it dips with the
	// food and its heater brings it back) or logged.
	Bath      string          `json:"bath"`
	Hold      HeatRange       `json:"hold"`
	CoreAtOut HeatRange       `json:"core_at_out"`
	Dip       quantity.Number `json:"dip"`
	Recovery  quantity.Number `json:"recovery"`
	Pieces    []HeatPiece     `json:"pieces"`
	Course    []HeatSample    `json:"course"`
	Bite      *HeatBite       `json:"bite,omitempty"` // where it is known when it was served
	Log       *HeatLog        `json:"log,omitempty"`
	Limits    []HeatLimit     `json:"limits"`

	Kills []HeatKill `json:"kills"`
	// Quoted are published minimums of the rules that the trial names, each with its
	// authority. They decide nothing.
	Quoted    []HeatQuote `json:"quoted"`
	Safety    Safety      `json:"safety"`
	Word      string      `json:"word"`      // the verdict in a word or three
	Parasites string      `json:"parasites"` // the separate verdict on them
	// Vulnerable says that by calculation it may go to vulnerable people too.
	Vulnerable bool            `json:"vulnerable"`
	Discard    quantity.Number `json:"discard"` // minutes after it went into the bath
	DiscardAt  string          `json:"discard_at,omitempty"`
	// PasteurisedFrom is the time in the bath, up to the next 5 min, from which the
	// verdict is pasteurised.
	PasteurisedFrom quantity.Number `json:"pasteurised_from"`

	// KillLikely is the time in the bath by which the decades of the table made for the
	// kind are most likely reached, nothing deducted. It is for comparison with
	// published tables and no verdict.
	KillLikely quantity.Number `json:"kill_likely"`

	Text []Sentence `json:"text"` // stands over the verdict

	verdict safety.CookVerdict
	never   string // slug of why it is never pasteurised
}

// HeatPiece is one piece of a cook.
type HeatPiece struct {
	Piece     string          `json:"piece"`
	Thickness quantity.Number `json:"thickness"`
	ComeUp    HeatRange       `json:"come_up"`
	Hold      HeatRange       `json:"hold"`
}

// HeatSample is a moment of a cook: the core as a range and the likely surface.
type HeatSample struct {
	Minutes float64   `json:"minutes"`
	Core    HeatRange `json:"core"`
	Surface float64   `json:"surface"`
}

// HeatLog is what the probe log says.
type HeatLog struct {
	BathMean quantity.Number `json:"bath_mean"`
	BathSD   quantity.Number `json:"bath_sd"`
	BathLow  quantity.Number `json:"bath_low"`
	BackAt   quantity.Number `json:"back_at"` // minutes
	CoreMax  quantity.Number `json:"core_max"`
	Reached  bool            `json:"reached"`
	Arrived  quantity.Number `json:"arrived"` // minutes
	Offset   quantity.Number `json:"offset"`
	// Diffusivity, m²/s, and Coefficient, W/m²/K, fitted to the core with 95 %
	// intervals; Residual is the scatter of the readings about that curve, K.
	Diffusivity HeatRange       `json:"diffusivity"`
	Coefficient HeatRange       `json:"coefficient"`
	Residual    quantity.Number `json:"residual"`
	// Lag, s, and ProbeOffset, K, are estimated from the whole curve with 95 %
	// intervals: how far the probe is behind its piece, and how much it reads high.
	Lag         HeatRange     `json:"lag"`
	ProbeOffset HeatRange     `json:"probe_offset"`
	Core        []HeatReading `json:"core"`
	Bath        []HeatReading `json:"bath"`
	Text        []Sentence    `json:"text"`
	Measured    []Sentence    `json:"measured"` // what the log says of the piece itself
}

// HeatBite is a piece when it was served, °C, on the likely side.
type HeatBite struct {
	Minutes float64  `json:"minutes"` // after it came out of the bath
	Core    float64  `json:"core"`
	Mean    float64  `json:"mean"`
	Surface float64  `json:"surface"`
	Stages  []string `json:"stages"`
	Text    Sentence `json:"text"`
}

// HeatKill is what the core gets by one way of killing, on the unfavourable side.
type HeatKill struct {
	Organism string  `json:"organism"`
	Decades  float64 `json:"decades"` // that count as pasteurised
	Got      float64 `json:"got"`
	D        float64 `json:"d"`          // minutes
	At       float64 `json:"d_at"`       // °C
	Z        float64 `json:"z"`          // K
	F        float64 `json:"equivalent"` // minutes at d_at
	Source   string  `json:"source"`
	Memory   string  `json:"from_memory,omitempty"`
	Outside  bool    `json:"outside_data"` // the core never came into the span of the data
}

// HeatQuote is a published minimum and the row of it that the core meets, on the
// unfavourable side, or else the coolest that may be relied on.
type HeatQuote struct {
	Authority string          `json:"authority"`
	Edition   string          `json:"edition"`
	Place     string          `json:"place"`
	For       string          `json:"for"`
	Celsius   quantity.Number `json:"celsius"`
	Minutes   quantity.Number `json:"minutes"`
	Met       bool            `json:"met"`
	Memory    string          `json:"from_memory,omitempty"`
}

// HeatReading is one line of a log.
type HeatReading struct {
	Minutes float64 `json:"minutes"`
	Celsius float64 `json:"celsius"`
}

// HeatLimit is a reason for which a prediction is worth less, or nothing.
type HeatLimit struct {
	Slug  string   `json:"slug"`
	Field string   `json:"field,omitempty"`
	Voids bool     `json:"voids"`
	Text  Sentence `json:"text"`
}

// HeatOptions say what is asked beside the cooks of the trial.
type HeatOptions struct {
	Own HeatOwn
	// Assume judges a cook without a time as of the shortest that does what can be done
	// at its set point.
	Assume bool
	// Table asks for every thickness with every set point; nil for none.
	Table *HeatGrid
}

// HeatGrid is what a table runs over.
type HeatGrid struct {
	Thicknesses []quantity.Length
	SetPoints   []quantity.Temperature
}

// HeatOf says what the heat does in every cook of a trial. It never fails: what
// cannot be computed is an absence with its reason. The trial is not altered.
func HeatOf(t *trial.Trial, opt HeatOptions) *Heat {
	h := newHeater(opt)
	t = design.AsCooked(t)
	out := &Heat{Tamis: HeatSchema, Version: Version, Trial: refOf(t), Title: heatTitle(t), Yours: opt.Own.sentences(), Cooks: []HeatCook{}, Cautions: []Sentence{}}
	for _, c := range h.cooks(t) {
		out.Cooks = append(out.Cooks, c)
		out.Cautions = append(out.Cautions, c.Safety.Cautions...)
	}
	out.Verdicts, out.Discards = verdictsByCook(t, out.Cooks), discards(out.Cooks)
	if opt.Table != nil {
		out.Table = h.table(t, *opt.Table)
		if len(out.Cooks) == 0 {
			out.Cautions = append(out.Cautions, out.Table.cautions...)
		}
	}
	out.Cautions = distinctSentences(out.Cautions)
	out.Method = []Sentence{}
	if out.Table != nil || slices.ContainsFunc(out.Cooks, func(c HeatCook) bool { return c.ComeUp.Mid.Known() || c.Log != nil }) {
		out.Method = heatMethod(t)
	}
	if len(out.Cooks) <= 1 { // a report on many says what it needs elsewhere
		for _, n := range safety.RulesNotes(t) {
			out.Method = append(out.Method, n.Sentence())
		}
	}
	if len(out.Cooks) == 1 {
		if m, ok := out.Cooks[0].KillLikely.Get(); ok {
			out.Method = append(out.Method, Say("With nothing deducted the kill that published tables ask for would be reached after about ", minutesAbout(m), " in the bath. That is to be held against such tables, and no verdict."))
		}
	}
	return out
}

// heater computes the heat of trials with one set of options.
type heater struct {
	opt    HeatOptions
	solver *heat.Solver
}

func newHeater(opt HeatOptions) *heater {
	return &heater{opt: opt, solver: heat.NewSolver(opt.Own.given())}
}

// judge is the one way from a trial to its heat and its verdicts.
func (h *heater) judge(t *trial.Trial) (*heat.Trial, *safety.Result) {
	ht := h.solver.OfTrial(t)
	return ht, h.opt.Own.judge(t, ht)
}

// cooks computes every cook of a trial.
func (h *heater) cooks(t *trial.Trial) []HeatCook {
	ht, verdicts := h.judge(t)
	out := make([]HeatCook, 0, len(t.Cooks))
	for i := range t.Cooks {
		if c := &t.Cooks[i]; h.opt.Assume && !timed(c) {
			if there := arrival(t, i, &ht.Cooks[i]); there.Known {
				out = append(out, h.assumed(t, i, &ht.Cooks[i], there))
				continue
			}
		}
		out = append(out, h.cook(t, i, &ht.Cooks[i], verdicts.Cooks[i]))
	}
	return out
}

// arrival is when the core of the i-th cook is there, from frozen too.
func arrival(t *trial.Trial, i int, c *heat.Cook) heat.Range {
	if c.ComeUp().Known {
		return c.ComeUp()
	}
	return heat.FromFrozen(t, i, c)
}

// timed reports whether it is stated how long a cook was in the bath.
func timed(c *trial.Cook) bool {
	_, ok := c.BathTime()
	return ok || c.Hold.Known
}

// assumed computes a cook whose time is not stated as of the shortest that does what
// can be done, up to the next 5 min. So a thicker piece, which is in the bath for
// longer until its core is there, is not called pasteurised for that alone.
func (h *heater) assumed(t *trial.Trial, i int, c *heat.Cook, there heat.Range) HeatCook {
	alone := with(t, t.Cooks[i])
	minutes := surely(c, there)
	if from, _ := h.pasteurisedFrom(alone, 0); from.Known() {
		minutes = quantity.FromMinutes(max(minutes.Minutes(), from.Or(0)))
	}
	alone.Cooks[0].Time = trial.Some(minutes)
	ht, verdicts := h.judge(alone)
	out := h.cook(alone, 0, &ht.Cooks[0], verdicts.Cooks[0])
	out.Assumed = true
	out.Text = heatText(&out)
	return out
}

// with is a copy of a trial whose only cook is the one given.
func with(t *trial.Trial, c trial.Cook) *trial.Trial {
	out := *t
	out.Cooks = []trial.Cook{c}
	return &out
}

// pasteurisedFrom is the time in the bath, up to the next 5 min, from which the
// i-th cook is pasteurised by its verdict; everything else about it stays. never is
// the slug of the reason where it cannot be.
func (h *heater) pasteurisedFrom(t *trial.Trial, i int) (from quantity.Number, never string) {
	c := &t.Cooks[i]
	if !c.SetPoint.Known {
		return quantity.Absent("the set point is not stated"), "no-heat"
	}
	after := safety.NewPlanner(t, h.opt.Own.Override).PasteurisedAfter(i, c.SetPoint.V.Celsius(), 0)
	switch {
	case after.Never != nil:
		return quantity.Absent(after.Never.Text.Sentence().Text(quantity.Metric)), after.Never.Slug
	case after.Verdict.Verdict != safety.Pasteurised:
		return quantity.Absent("whatever the time, the verdict is: " + after.Verdict.Verdict.String()), "verdict"
	}
	return quantity.Num(after.Minutes), ""
}
