package reporttest

import (
	"math"

	"tamis/internal/answer"
	"tamis/internal/quantity"
	"tamis/internal/texture"
)

// Pollack is an invented result of the shape that a full trial gives: six set
// points, two methods, two aims, repeated cooks.
func Pollack() *answer.Result {
	q := func(kind string, v float64, digits int) answer.Quantity {
		return answer.Quantity{Kind: kind, Value: v, Digits: digits}
	}
	five, six5, two := 5.0, 6.5, 2.0
	r := &answer.Result{
		Tamis: answer.FitSchema, Version: "0.1.0",
		Trial: answer.Ref{
			File: "pollack.yaml", SHA256: "0b7c1f7a3f2f4c1e9a77d4b6f0a55f0c2f0e8f6f5b1d9a0c4e3d2b1a09f8e7d6",
			Title: "Pollack loin, 44 to 60 °C, dry-brined or plain", By: "Saltholm test kitchen", Date: "2026-02-11",
			Question: "Which set point flakes under a fork but still holds on the plate, and does a brine earn its 20 minutes?",
			Food:     "pollack loin", Kind: "lean fish", Medium: "water bath", Disclosure: "Invented data.",
			Aims:  []answer.Aim{{Measure: "firmness", Low: &five, High: &six5}, {Measure: "surface_protein", High: &two}},
			Notes: "The tails were *thinner* than they looked.\nWrite the lot number next time.",
			Files: []string{"pollack-scores.csv"},
		},
	}
	r.Seed, r.Draws, r.Level = 1, 2000, 0.95
	firm := func(x float64) float64 { return 2.2 + 6.2/(1+math.Exp(-(x-50.2)/2.6)) }
	protein := func(x float64) float64 { return 0.3 + 4/(1+math.Exp(-(x-55)/2.5)) }
	r.Measures = texture.Measures{
		measure("firmness", []float64{0, 10}, firm, 0.35, []cross{{5, 49.8, 49.1, 50.6}, {6.5, 52.3, 51.6, 53.2}}),
		measure("surface_protein", []float64{0, 5}, protein, 0.25, []cross{{2, 54.2, 53.3, 55.3}}),
	}
	compared(r.Measures[0])
	r.Windows = []texture.Window{{
		Method: "dry-brined", Headline: true,
		Next: texture.Chance{Top: quantity.Num(0.78), At: quantity.Num(51.4), Range: texture.Span{Low: quantity.Num(50.3), High: quantity.Num(53.2), Stretches: 1}},
		Best: quantity.Num(51.5), Low: quantity.Num(50.6), High: quantity.Num(52.4), Tol: quantity.Num(0.64),
	}}
	for x := 44.0; x <= 60.01; x += 0.4 {
		r.Windows[0].Grid = append(r.Windows[0].Grid, texture.ChanceDot{SetPoint: x, Mean: math.Exp(-(x - 51.5) * (x - 51.5) / 5), Next: 0.78 * math.Exp(-(x-51.5)*(x-51.5)/4)})
	}
	r.Units = []texture.Unit{{Factor: "set_point", Unit: "cook", N: 18, Levels: []string{"44", "48", "50", "52", "56", "60"}}}
	r.Safety = answer.Safety{Verdict: "no verdict", Why: "this version computes none"}
	r.Text = answer.Prose{
		Answer: answer.Say(q(answer.SetPoint, 51.5, 0), ", dry-brined, ", q(answer.Duration, 60, 0), "."),
		Safety: []answer.Sentence{
			answer.Say("Not pasteurised: the core does not get the equivalent of ", q(answer.Temperature, 70, 0), " for ", q(answer.Duration, 2, 0), "."),
			answer.Say("Serve it at once and tell your guests and tasters that it is not fully cooked."),
			answer.Say("Not for young children, pregnant women, older people or anyone with weakened immunity."),
			answer.Say("Throw away what is left ", q(answer.Duration, 100, 0), " after it went into the bath."),
			answer.Say("Parasites were controlled by freezing beforehand, by the record."),
		},
		Doubt: []answer.Sentence{
			answer.Say("Firmness 5 to 6.5 and surface protein at most 2 hold together from ", q(answer.WindowLow, 50.3, 0), " to ", q(answer.WindowHigh, 53.2, 0), ", more likely than not. No set point reaches 9 in 10; the best reaches 7 in 10."),
			answer.Say("Hold the bath within ", q(answer.Tolerance, 0.64, 1), "."),
		},
		Basis: answer.Say(q(answer.Count, 18, 0), " cooks, ", q(answer.Count, 8, 0), " assessors, blind. Holds for: our kitchen."),
		Compare: []answer.Sentence{answer.Say("In this trial ", q(answer.Temperature, 52, 0), " gave firmer pollack than ", q(answer.Temperature, 48, 0), ": ",
			answer.Quantity{Kind: answer.Amount, Value: 1.4, Unit: "points", Digits: 1}, " (0.8 to 2.0).")},
		Next:    []answer.Sentence{answer.Say("Cook next: ", q(answer.SetPoint, 50, 0), " twice more; the window would narrow by a third.")},
		Missing: []answer.Sentence{answer.Say("When it was served."), answer.Say("Whether the looks were masked.")},
		Units:   []answer.Sentence{answer.Say("The set point was applied to cooks: ", q(answer.Count, 18, 0), ". Brine was applied to pieces within a cook.")},
		Method:  []answer.Sentence{answer.Say("Curves were averaged over candidates by their weights.")},
		Cautions: []answer.Sentence{
			answer.Say("The core temperature is an estimate for whole contact with well-mixed water. Check it with a probe at the thickest point."),
			answer.Say("Do not chill and keep what is not pasteurised. Reheating does not make it safe."),
			answer.Say("Local food codes and licensed practice come first."),
			answer.Say("Ask tasters and guests about allergies beforehand."),
		},
	}
	return r
}

type cross struct{ value, at, low, high float64 }

func measure(name string, scale []float64, f func(float64) float64, band float64, cs []cross) *texture.Measure {
	m := &texture.Measure{Name: name, Kind: "scale", Scale: scale, Cooks: 18, Assessors: 8}
	for k, method := range []string{"plain", "dry-brined"} {
		shift := -0.5 * float64(k)
		c := texture.Curve{Method: method, Shape: "curve", Covers: "cooks"}
		for x := 44.0; x <= 60.01; x += 0.4 {
			y := math.Max(scale[0], f(x)+shift)
			c.Average = append(c.Average, texture.CurveDot{SetPoint: x, Mean: y, Low: y - band, High: y + band})
		}
		if method == "dry-brined" {
			for _, k := range cs {
				c.Crossings = append(c.Crossings, texture.Crossing{Value: k.value, SetPoint: quantity.Num(k.at), Low: quantity.Num(k.low), High: quantity.Num(k.high), Inside: true})
			}
		}
		m.Curves = append(m.Curves, c)
		for i, x := range []float64{44, 48, 50, 52, 56, 60} {
			mean := math.Max(scale[0], f(x)+shift)
			for s := range 3 {
				v := math.Min(scale[1], math.Max(scale[0], mean+0.4*math.Sin(float64(7*i+3*s+11*k))))
				m.Points = append(m.Points, texture.Point{Cook: string(rune('A' + 3*i + s)), Method: method, SetPoint: quantity.Num(x), Mean: v, Obs: 16,
					Pieces: []float64{math.Max(scale[0], v-0.3), math.Min(scale[1], v+0.3)}})
			}
			m.Cells = append(m.Cells, texture.Arm{Arm: quantity.Celsius(x).Format(quantity.Metric) + ", " + method, Method: method, SetPoint: quantity.Num(x), N: 3,
				Mean: quantity.Num(mean), SE: quantity.Num(0.2), Low: quantity.Num(mean - 0.45), High: quantity.Num(mean + 0.45), Covers: "cooks"})
		}
	}
	return m
}

// Trout is one cook of each, one taster, no curve: almost nothing is known.
func Trout() *answer.Result {
	low, high := 5.0, 6.0
	r := &answer.Result{
		Tamis: answer.FitSchema, Version: "0.1.0",
		Trial: answer.Ref{File: "trout.yaml", SHA256: "aa", Title: "Trout on a weeknight", Aims: []answer.Aim{{Measure: "firmness", Low: &low, High: &high}}},
	}
	r.Seed, r.Draws, r.Level = 1, 2000, 0.95
	m := &texture.Measure{Name: "firmness", Scale: []float64{0, 10}}
	for i, x := range []float64{46, 50, 54} {
		v := []float64{3, 5, 7}[i]
		m.Points = append(m.Points, texture.Point{Cook: string(rune('A' + i)), SetPoint: quantity.Num(x), Mean: v, Obs: 1})
		m.Arms = append(m.Arms, texture.Arm{SetPoint: quantity.Num(x), N: 1, Mean: quantity.Num(v), SE: quantity.Absent("one cook"), Low: quantity.Absent("one cook"), High: quantity.Absent("one cook")})
	}
	r.Measures = texture.Measures{m}
	r.Safety = answer.Safety{Verdict: "no verdict", Why: "the form of the fish is not stated"}
	r.Text = answer.Prose{
		Answer: answer.Say("For now: ", answer.Quantity{Kind: answer.SetPoint, Value: 50}, " came closest to the aim of what you cooked."),
		Doubt:  []answer.Sentence{answer.Say("One cook each, so anything peculiar to that bath looks like the set point.")},
		Next:   []answer.Sentence{answer.Say("Cook ", answer.Quantity{Kind: answer.SetPoint, Value: 50}, " and ", answer.Quantity{Kind: answer.SetPoint, Value: 54}, " twice each, the pieces swapped.")},
	}
	return r
}

// Hostile is pollack with words that try to leave their place.
func Hostile() *answer.Result {
	r := Pollack()
	bad := `</script></title></style><script>alert(1)</script><img src=x onerror=alert(2)> "q" 'q' {{.}} ` + "\u202eolleh\u202c \u200f\u05d0\u05d1\x00\x1b[31m"
	r.Trial.Title, r.Trial.By, r.Trial.Question, r.Trial.Notes, r.Trial.Disclosure, r.Trial.File = bad, bad, bad, bad, bad, bad
	r.Trial.Files = []string{bad}
	for _, m := range r.Measures {
		for i := range m.Points {
			if m.Points[i].Method == "plain" {
				m.Points[i].Method = bad
			}
		}
		m.Curves[0].Method, m.Curves[0].Covers = bad, bad
		m.Cells[0].Method = bad
		m.Unit = bad
	}
	r.Text.Answer = answer.Say(bad)
	r.Text.Safety = []answer.Sentence{answer.Say(bad)}
	return r
}

// compared adds the comparisons of a measure: differences, a treatment, and
// what other analyses would have said.
func compared(m *texture.Measure) {
	num := quantity.Num
	d := func(term, a, b string, v, se float64) texture.Difference {
		return texture.Difference{Term: term, A: a, B: b, Estimate: num(v), SE: num(se), Low: num(v - 2.2*se), High: num(v + 2.2*se), Adjust: "tukey"}
	}
	for _, x := range []float64{44, 48, 50} {
		m.Arms = append(m.Arms, texture.Arm{Arm: quantity.Celsius(x).Format(quantity.Metric), Term: "set_point", SetPoint: num(x), N: 3, Mean: num(x / 10), SE: num(0.2), Low: num(x/10 - 0.4), High: num(x/10 + 0.4), Covers: "cooks"})
	}
	m.Differences = []texture.Difference{d("set_point", "44 °C", "48 °C", -1.4, 0.2), d("set_point", "44 °C", "50 °C", -2.6, 0.2), d("set_point", "48 °C", "50 °C", -0.3, 0.2)}
	t := texture.Treatment{Factor: "brine", A: "plain", B: "dry-brined", Unit: "piece", Average: d("brine", "plain", "dry-brined", 0.5, 0.08)}
	for i, x := range []float64{44, 48, 50, 52, 56, 60} {
		t.SetPoints = append(t.SetPoints, num(x))
		t.At = append(t.At, d("brine", "plain", "dry-brined", 0.5+0.2*math.Sin(float64(i)), 0.2))
	}
	m.Treatments = []texture.Treatment{t}
	m.Sensitivity = &texture.Sensitivity{Estimand: "change from 44 °C to 60 °C along a straight line through the means", Agree: num(1),
		Analyses: []texture.Alternative{
			{Name: "headline: means of cooks, blocks removed", Headline: true, Estimate: num(5.6), Low: num(5.2), High: num(6)},
			{Name: "without blocks", Estimate: num(5.6), Low: num(4.9), High: num(6.3)},
			{Name: "ranks", Estimate: quantity.Absent("on another scale"), Low: quantity.Absent("on another scale"), High: quantity.Absent("on another scale")},
		},
		LeaveOut: []texture.LeaveOut{{Kind: "cook", ID: "A", Estimate: num(5.5)}, {Kind: "cook", ID: "B", Estimate: num(5.8)}, {Kind: "assessor", ID: "P1", Estimate: num(5.7)}}}
}
