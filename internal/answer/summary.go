package answer

import (
	"strings"

	"tamis/internal/design"
	"tamis/internal/fairness"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

// Summary is a trial as it was understood, before any analysis.
type Summary struct {
	Title    string           `json:"title"`
	Lines    []Sentence       `json:"lines"`
	Arms     []SummaryArm     `json:"arms"`
	Measures []SummaryMeasure `json:"measures"`
	Factors  []texture.Unit   `json:"units"`
	Units    []Sentence       `json:"unit_lines"`
	Missing  []Sentence       `json:"missing"`
	// Verdicts say who may eat what, by set point: before anybody cooks or tastes.
	Verdicts []HeatVerdict `json:"verdicts"`
	// Doubts are what else may have changed, as far as it can be seen before the
	// tasting; nil for a design that is not laid out.
	Doubts   *Doubts            `json:"doubts,omitempty"`
	Findings []fairness.Finding `json:"findings,omitempty"`
}

// SummaryArm counts an arm.
type SummaryArm struct {
	Celsius float64 `json:"set_point"`
	Cooks   int     `json:"cooks"`
	Pieces  int     `json:"pieces"`
}

// SummaryMeasure counts a measure.
type SummaryMeasure struct {
	Name    string `json:"name"`
	Kind    string `json:"kind"`
	Numbers int    `json:"numbers"`
	Blank   int    `json:"blank"`
}

// Summarise says what a trial holds, who may eat it, and what can be doubted
// before anything is tasted. It fits nothing. Thresholds go over those of the
// file. A design that is not laid out yet is judged as it would be cooked; what
// else changes along with the set point is asked of what is laid out.
func Summarise(t *trial.Trial, over []trial.Threshold) Summary {
	r := &Result{Trial: refOf(t)}
	tallies := t.Tallies()
	r.Units = texture.UnitsOf(t, tallies)
	b := &builder{t: t, r: r}
	s := Summary{Title: t.Title.V, Arms: []SummaryArm{}, Measures: []SummaryMeasure{}, Factors: r.Units, Units: b.units(), Missing: b.missing()}
	laid := design.AsCooked(t)
	judged, doubts := Before(laid, over)
	s.Verdicts = verdictsByArm(laid, judged)
	if len(t.Cooks) > 0 {
		d := DoubtsOf(doubts)
		s.Doubts, s.Findings = &d, doubts.Findings
	}
	food := t.Food.Name.V
	if t.Food.Kind.Known {
		food += " (" + t.Food.Kind.V + ")"
	}
	s.Lines = append(s.Lines, Say(upper(strings.TrimSpace(food)), ", ", string(t.Medium.Or(trial.WaterBath)), "."))
	if d, ok := t.Design.Get(); ok && len(t.Cooks) == 0 {
		s.Lines = append(s.Lines, designLines(d)...)
	} else {
		s.Lines = append(s.Lines, Say(b.basis()))
	}
	var aims []string
	for _, a := range r.Trial.Aims {
		aims = append(aims, aimWords(a))
	}
	if len(aims) > 0 {
		s.Lines = append(s.Lines, Say("Aim: ", list(aims), "."))
	} else {
		s.Lines = append(s.Lines, Say("No aim is stated, so there can be no window."))
	}
	for _, arm := range t.Arms() {
		line := SummaryArm{Celsius: arm.SetPoint.Celsius(), Cooks: len(arm.Cooks)}
		for _, c := range arm.Cooks {
			line.Pieces += len(t.Cooks[c].Pieces)
		}
		s.Arms = append(s.Arms, line)
	}
	for _, y := range tallies {
		s.Measures = append(s.Measures, SummaryMeasure{Name: y.Measure.Name, Kind: kindWords(y.Measure), Numbers: y.Numbers, Blank: y.Blank})
	}
	return s
}

// designLines says what a design lays down, while nothing is laid out yet.
func designLines(d trial.Design) []Sentence {
	s := Say("A design, not laid out yet: ", plural(len(d.SetPoints), "set point"))
	for i, p := range d.SetPoints {
		sep := ", "
		if i == 0 {
			sep = " ("
		}
		s = Say(s, sep, Quantity{Kind: Temperature, Value: p.Celsius(), Digits: tempDigits(p.Celsius())})
	}
	if len(d.SetPoints) > 0 {
		s = Say(s, ")")
	}
	for _, n := range []struct {
		n    int
		word string
	}{{len(d.Times), "time"}, {len(d.Holds), "hold"}, {len(d.Brine), "brine"}, {len(d.Finish), "finish"}} {
		if n.n > 1 {
			s = Say(s, ", ", Quantity{Kind: Count, Value: float64(n.n)}, " "+n.word+"s")
		}
	}
	for _, f := range d.Factors {
		s = Say(s, ", ", Quantity{Kind: Count, Value: float64(len(f.Levels))}, " levels of ", measureWords(f.Name))
	}
	out := []Sentence{Say(s, ".")}
	var parts []Sentence
	if d.CooksEach.Known {
		parts = append(parts, Say(plural(d.CooksEach.V, "cook"), " of each"))
	}
	if d.PiecesPerCook.Known {
		parts = append(parts, Say(plural(d.PiecesPerCook.V, "piece"), " a cook"))
	}
	if d.Sessions.Known {
		parts = append(parts, Say("in ", plural(d.Sessions.V, "session")))
	}
	if n := len(d.Baths); n > 0 {
		parts = append(parts, plural(n, "bath"))
	}
	if n := len(d.Sources); n > 0 {
		parts = append(parts, plural(n, "source"))
	}
	if n := len(d.Assessors); n > 0 {
		parts = append(parts, plural(n, "taster"))
	}
	var line Sentence
	for i, p := range parts {
		if i > 0 {
			line = Say(line, ", ")
		}
		line = Say(line, p)
	}
	if len(line) > 0 {
		out = append(out, Say(line, "."))
	}
	return out
}

func kindWords(m trial.Measure) string {
	switch m.Kind {
	case trial.ScaleScore:
		return "scale " + short(m.Scale.Low) + " to " + short(m.Scale.High)
	case trial.JustRight:
		return "just right " + short(m.Scale.Low) + " to " + short(m.Scale.High)
	case trial.Rank:
		return "rank"
	case trial.YesNo:
		return "yes or no"
	}
	if m.FromWeights() {
		return "amount in %, from weights"
	}
	if m.Unit.Known {
		return "amount in " + m.Unit.V
	}
	return "amount"
}
