package report

import (
	"strings"
	"unicode"

	"tamis/internal/answer"
	"tamis/internal/figure"
	"tamis/internal/quantity"
	"tamis/internal/texture"
)

// figureTitle states the finding: where the curve meets the ends of the aim;
// without an aim, or where it meets none, where it goes.
func figureTitle(r *answer.Result, m *texture.Measure) figure.Text {
	name := capital(plain(m.Name))
	c, found := curveFor(r, m)
	if found {
		if aim, ok := aimOf(r, m.Name); ok {
			if s := meets(name, aim, c); s != nil {
				return both(append(s, ofMethod(m, c)...))
			}
		}
		if n := len(c.Average); n > 1 {
			a, b := c.Average[0], c.Average[n-1]
			s := answer.Say(name, " goes from ", amount(a.Mean, m), " at ", setPoint(a.SetPoint), " to ", amount(b.Mean, m), " at ", setPoint(b.SetPoint))
			return both(append(s, ofMethod(m, c)...))
		}
	}
	return both(answer.Say(name, " of each cook"))
}

// meets says where the curve passes the ends of the aim, inside what was cooked.
func meets(name string, aim answer.Aim, c texture.Curve) answer.Sentence {
	var at []answer.Sentence
	for _, x := range c.Crossings {
		if t, ok := x.SetPoint.Get(); ok && x.Inside {
			at = append(at, answer.Say(short(x.Value), " near ", setPoint(t)))
		}
	}
	switch {
	case len(at) == 1:
		return answer.Say(name, " passes ", at[0])
	case len(at) == 2:
		return answer.Say(name, " passes ", at[0], " and ", at[1])
	case len(at) > 2 || len(c.Average) < 2:
		return nil
	}
	// No crossing: the whole curve lies on one side.
	v := c.Average[len(c.Average)/2].Mean
	where := "inside the aim"
	if aim.Low != nil && v < *aim.Low {
		where = "below the aim"
	}
	if aim.High != nil && v > *aim.High {
		where = "above the aim"
	}
	a, b := c.Average[0].SetPoint, c.Average[len(c.Average)-1].SetPoint
	return answer.Say(name, " stays ", where, " from ", setPoint(a), " to ", setPoint(b))
}

// curveFor is the curve of the headline method, else the first with dots.
func curveFor(r *answer.Result, m *texture.Measure) (texture.Curve, bool) {
	w := headline(r)
	cs := curvesOf(r, m)
	for _, c := range cs {
		if w != nil && c.Method == w.Method {
			return c, true
		}
	}
	if len(cs) > 0 {
		return cs[0], true
	}
	return texture.Curve{}, false
}

func ofMethod(m *texture.Measure, c texture.Curve) answer.Sentence {
	if len(methodsOf(m)) < 2 || c.Method == "" {
		return nil
	}
	return answer.Say(", " + plain(c.Method))
}

// figureCaption gives n and what the points and the band are.
func figureCaption(r *answer.Result, m *texture.Measure, ps []texture.Point, methods []string) figure.Text {
	cooks, pieces := map[string]bool{}, 0
	for _, p := range ps {
		cooks[p.Cook] = true
		if len(p.Pieces) > 1 {
			pieces += len(p.Pieces)
		}
	}
	s := count(len(cooks), "cook")
	each := ", one large point each"
	if len(cooks) == 1 {
		each = ", one large point"
	} else if r.OneCookEach() {
		each = ", one at each set point: what differs may be the piece, the bath or the day"
	} else if len(methods) > 1 {
		each = ", one large point for each cook and method"
	}
	s = append(s, answer.Say(each)...)
	if pieces > 0 {
		s = append(s, answer.Say("; ")...)
		s = append(s, count(pieces, "piece")...)
		s = append(s, answer.Say(", small")...)
	}
	s = append(s, answer.Say(". ")...)
	for _, c := range curvesOf(r, m) {
		if c.Covers != "" {
			s = append(s, answer.Say("The band holds the curve at "+short(100*r.Level)+" %, from "+scatter(c.Covers)+".")...)
			break
		}
	}
	return both(s)
}

// scatter is what an interval rests on: "cooks" is the scatter of cooks.
func scatter(covers string) string {
	covers = strings.TrimRight(clean(covers), ". ")
	if strings.HasPrefix(covers, "the scatter") {
		return covers
	}
	return "the scatter of " + covers
}

// beyond says that a range ends only because cooking ended.
func beyond(s texture.Span) string {
	switch {
	case s.LowOpen && s.HighOpen:
		return " or beyond"
	case s.LowOpen:
		return " or below"
	case s.HighOpen:
		return " or above"
	}
	return ""
}

// figureDesc is the picture in words.
func figureDesc(r *answer.Result, m *texture.Measure, f figure.Figure, methods []string, primary bool) figure.Text {
	s := answer.Say(capital(plain(m.Name)), " against the set point, from ", setPoint(f.X.Min), " to ", setPoint(f.X.Max), ". ")
	if len(methods) > 1 {
		var names []string
		for _, n := range methods {
			names = append(names, plain(n))
		}
		s = append(s, answer.Say("Methods: "+strings.Join(names, ", ")+". ")...)
	}
	for _, c := range curvesOf(r, m) {
		a, b := c.Average[0], c.Average[len(c.Average)-1]
		s = append(s, answer.Say("The curve")...)
		s = append(s, ofMethod(m, c)...)
		s = append(s, answer.Say(" goes from ", amount(a.Mean, m), " to ", amount(b.Mean, m), ". ")...)
	}
	if a, ok := aimOf(r, m.Name); ok && (a.Low != nil || a.High != nil) {
		s = append(s, answer.Say("The aim, "+aimRange(a, m.Unit)+", is a zone. ")...)
	}
	if w := shownWindow(r); primary && w != nil {
		if span := told(w).Range; span.Stretches > 0 && span.Low.Known() {
			lo := span.Low.Or(0)
			s = append(s, answer.Say("Under the data: "+lower(chanceLabel(r, w))+"; more likely than not ", answer.Window(lo, span.High.Or(lo)), ". ")...)
		}
	}
	return both(append(s, answer.Say("The numbers are in the table below.")...))
}

// footer is what travels inside the picture: the caution, what stands against it,
// then where it is from.
func footer(r *answer.Result) (ts []figure.Text) {
	var caution answer.Sentence
	for _, s := range cautionsUnderAnswer(r) {
		if len(caution) > 0 {
			caution = append(caution, answer.Say(" ")...)
		}
		caution = append(caution, s...)
	}
	if len(caution) > 0 {
		ts = append(ts, both(caution))
	}
	if len(r.Text.Blocked) > 0 {
		ts = append(ts, both(r.Text.Blocked))
	}
	var from []string
	for _, s := range []string{r.Trial.Title, r.Trial.By, r.Trial.Date, r.Trial.Disclosure} {
		if s = strings.TrimSpace(clean(s)); s != "" && s != "none" {
			from = append(from, strings.TrimRight(s, "."))
		}
	}
	from = append(from, "tamis "+r.Version+", "+clean(r.Trial.File)+" "+hash12(r.Trial.SHA256))
	return append(ts, figure.Same(strings.Join(from, ". ")))
}

// cautionsUnderAnswer are the sentences on who may eat it; a result without
// them still says that there is no verdict.
func cautionsUnderAnswer(r *answer.Result) []answer.Sentence {
	if len(r.Text.Safety) > 0 {
		return r.Text.Safety
	}
	if len(r.Safety.Lead) > 0 {
		return r.Safety.Lead
	}
	if r.Safety.Verdict != "" || r.Safety.Why != "" {
		s := capital(strings.TrimRight(r.Safety.Verdict, ".")) + "."
		if r.Safety.Why != "" {
			s += " " + capital(strings.TrimRight(r.Safety.Why, ".")) + "."
		}
		return []answer.Sentence{answer.Say(strings.TrimPrefix(s, ". "))}
	}
	return nil
}

// chanceLabel names the strip.
func chanceLabel(r *answer.Result, w *texture.Window) string {
	s := "Chance that all aims hold"
	if len(r.Trial.Aims) == 1 {
		s = "Chance that the aim holds"
	}
	if forNext(w) {
		s += " in the next cook"
	} else {
		s += " for the average of many cooks"
	}
	if w.Method != "" {
		s += ", " + plain(w.Method)
	}
	return s
}

// lower makes the first letter small.
func lower(s string) string {
	for i, r := range s {
		return s[:i] + string(unicode.ToLower(r)) + s[i+len(string(r)):]
	}
	return s
}

func setPoint(c float64) answer.Quantity {
	return answer.Quantity{Kind: answer.SetPoint, Value: c}
}

func amount(v float64, m *texture.Measure) answer.Quantity {
	digits := 1
	if len(m.Scale) != 2 {
		digits = figure.Number("", "", 0, max(1e-9, abs(v)), 6).Digits
	}
	return answer.Quantity{Kind: answer.Amount, Value: v, Unit: m.Unit, Digits: digits}
}

func count(n int, one string) answer.Sentence {
	if n != 1 {
		one += "s"
	}
	return answer.Say(answer.Quantity{Kind: answer.Count, Value: float64(n)}, " "+one)
}

// aimRange is an aim as people say it: "5 to 6.5", "at most 2".
func aimRange(a answer.Aim, unit string) string {
	tail := ""
	if unit != "" {
		tail = " " + plain(unit)
	}
	switch {
	case a.Low != nil && a.High != nil:
		return short(*a.Low) + " to " + short(*a.High) + tail
	case a.Low != nil:
		return "at least " + short(*a.Low) + tail
	case a.High != nil:
		return "at most " + short(*a.High) + tail
	}
	return clean(a.Best)
}

// short prints a number as a person types it, with a true minus sign.
func short(v float64) string { return strings.Replace(quantity.Num(v).String(), "-", "−", 1) }

func abs(v float64) float64 {
	if v < 0 {
		return -v
	}
	return v
}

func suffixed(t figure.Text, s string) figure.Text {
	if t.Metric == "" {
		return figure.Same(s)
	}
	return figure.Same(t.Metric + ", " + s)
}

// hash12 is the beginning of a hash, enough to tell files apart.
func hash12(h string) string {
	h = clean(h)
	if len(h) > 12 {
		return h[:12]
	}
	return h
}
