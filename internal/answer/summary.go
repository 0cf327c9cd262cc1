package answer

import (
	"strings"

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

// Summarise says what a trial holds. It computes no statistics.
func Summarise(t *trial.Trial) Summary {
	r := &Result{Trial: refOf(t)}
	r.Units = texture.UnitsOf(t)
	b := &builder{t: t, r: r}
	s := Summary{Title: t.Title.V, Arms: []SummaryArm{}, Measures: []SummaryMeasure{}, Factors: r.Units, Units: b.units(), Missing: b.missing()}
	food := t.Food.Name.V
	if t.Food.Kind.Known {
		food += " (" + t.Food.Kind.V + ")"
	}
	s.Lines = append(s.Lines, Say(upper(strings.TrimSpace(food)), ", ", string(t.Medium.Or(trial.WaterBath)), "."))
	s.Lines = append(s.Lines, Say(b.basis()))
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
	for _, m := range t.Measures {
		o := t.Observe(m)
		s.Measures = append(s.Measures, SummaryMeasure{Name: m.Name, Kind: kindWords(m), Numbers: len(o.Rows), Blank: o.Blank})
	}
	return s
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
