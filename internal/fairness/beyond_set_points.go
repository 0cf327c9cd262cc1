package fairness

import (
	"math"
	"regexp"
	"strings"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/safety"
)

var beyondSetPoints = Check{
	Slug: "beyond-set-points", Family: Claims, Stage: Plan, About: AboutWording,
	Short: "beyond what was cooked",
	Asks:  "Do you speak about a temperature or a time that nobody cooked?",
	Needs: []string{"conclusion", "cooks.set_point", "cooks.time"},
	Finds: "A temperature in the text outside the set points by more than {beyond} of their range, or above or below one of their ends, weakens; inside a gap of more than {gap} " +
		"between neighbours and not within 1 °C of either is a note, and so is a time outside what was cooked by more than a tenth. Temperatures of serving, chilling and freezing are left alone.",
	Clears:  "Everything that is named was cooked.",
	Why:     "Proteins set in steps. The next degree may be the step.",
	Wording: "{temperature} was not cooked; the trial ran from {low} to {high}. That sentence is a guess.",
	Others: map[string]string{
		"gap":  "{temperature} lies in a gap: nothing between {low} and {high} was cooked. That sentence is a guess.",
		"time": "{time} was not cooked; the times ran from {shortest} to {longest}. That sentence is a guess.",
	},
	Next:    "{cook}",
	Fix:     "add-set-points",
	Source:  "House rule.",
	Options: []string{"beyond", "gap"},
	FiresOn: "conclusion: Below 46 °C it stays raw.",
	ClearOn: "conclusion: 51 °C lies in the window.",
	Judge:   judgeBeyond,
}

var (
	temperatureIn = regexp.MustCompile(`(?i)(-?\d+(?:[.,]\d+)?)\s*(?:°\s*)?([CF])(?:$|[^\pL])`)
	timeIn        = regexp.MustCompile(`(?i)(?:^|[^\d.,])(\d+(?:[.,]\d+)?)\s*(min|minutes|h|hours|hour)(?:$|[^\pL])`)
	coldWords     = phrasesOf("serve*", "serving", "served", "chill*", "freez*", "frozen", "fridge", "refrigerat*", "stored", "keep", "rest*", "plate*", "ice")
	aboveBelow    = regexp.MustCompile(`(?i)(above|below|over|under|hotter than|colder than|cooler than|beyond)\s*$`)
)

func judgeBeyond(c *Case) Judgement {
	if j, ok := conclusionOr(c); !ok {
		return j
	}
	if !c.Factor.IsSetPoint() || c.Levels() == 0 {
		return notApplicable("no set point was cooked")
	}
	text, k := c.Trial.Conclusion.V, c.Levels()
	low, high := c.Factor.Values[0], c.Factor.Values[k-1]
	slack := c.set.number("beyond") * (high - low)
	var gentle *Judgement
	for _, s := range sentences(text) {
		for _, m := range temperatureIn.FindAllStringSubmatchIndex(s.text, -1) {
			if near(s.text, m[0], coldWords) {
				continue
			}
			v, ok := toCelsius(s.text[m[2]:m[3]], s.text[m[4]:m[5]])
			if !ok {
				continue
			}
			h := hit{strings.TrimSpace(s.text[m[2]:m[5]]), s, s.at + m[2]}
			past := aboveBelow.FindString(s.text[:m[2]])
			down := strings.HasPrefix(strings.ToLower(past), "below") || strings.HasPrefix(strings.ToLower(past), "under") || strings.Contains(strings.ToLower(past), "colder") || strings.Contains(strings.ToLower(past), "cooler")
			outside := v < low-slack-1e-9 || v > high+slack+1e-9
			if k == 1 {
				outside = math.Abs(v-low) > 0.5
			}
			if past != "" && !outside {
				outside = down && v <= low+0.05 || !down && v >= high-0.05
			}
			if outside {
				j := sayOf(c, h, c.beyondFill(v, low, high))
				j.Statistic, j.Value, j.Threshold, j.Option = "°C outside what was cooked", quantity.Num(math.Max(low-v, v-high)), quantity.Num(slack), "beyond"
				return j
			}
			if a, b, in := c.gapAround(v); in && gentle == nil {
				j := sayOf(c, h, c.beyondFill(v, a, b))
				j.Severity, j.Variant = Note, "gap"
				j.Statistic, j.Value, j.Threshold, j.Option = "gap between neighbours, K", quantity.Num(b-a), quantity.Num(c.set.kelvin("gap")), "gap"
				gentle = &j
			}
		}
		if gentle == nil {
			gentle = c.timeBeyond(s)
		}
	}
	if gentle != nil {
		return *gentle
	}
	return clear()
}

// near reports whether a word of a list stands within 30 characters before or
// after a place.
func near(s string, at int, p phrases) bool {
	return p.re.MatchString(s[max(0, at-30):min(len(s), at+35)])
}

func toCelsius(number, unit string) (float64, bool) {
	t, err := quantity.ParseTemperature(strings.ReplaceAll(number, ",", ".") + " °" + strings.ToUpper(unit))
	return t.Celsius(), err == nil
}

// gapAround finds the neighbours between which a temperature lies more than 1 °C
// from either, where they are far apart.
func (c *Case) gapAround(v float64) (low, high float64, in bool) {
	for i := 1; i < c.Levels(); i++ {
		a, b := c.Factor.Values[i-1], c.Factor.Values[i]
		if v > a+1 && v < b-1 && b-a > c.set.kelvin("gap") {
			return a, b, true
		}
	}
	return 0, 0, false
}

// beyondFill offers to cook what is named, unless that is not to be eaten.
func (c *Case) beyondFill(v, low, high float64) Fill {
	f := Fill{"temperature": celsius(v), "low": celsius(low), "high": celsius(high), "time": "", "shortest": "", "longest": ""}
	f["cook"] = c.proposal(v)
	return f
}

// proposal is "Cook 54 °C.", or the refusal where that is not to be eaten.
func (c *Case) proposal(celsiusAt float64) prose.Sentence {
	if safety.For(c.Trial, celsiusAt, nil).Verdict == safety.DoNotEat {
		return prose.Say("Do not cook ", celsius(celsiusAt), " for eating: it would not be safe to eat.")
	}
	return prose.Say("Cook ", celsius(celsiusAt), ".")
}

// timeBeyond is a time of the text outside the times and holds by more than a
// tenth.
func (c *Case) timeBeyond(s sentence) *Judgement {
	short, long := math.Inf(1), 0.0
	for i := range c.Trial.Cooks {
		k := &c.Trial.Cooks[i]
		if d, ok := k.BathTime(); ok {
			short, long = math.Min(short, d.Minutes()), math.Max(long, d.Minutes())
		}
		if k.Hold.Known {
			short, long = math.Min(short, k.Hold.V.Minutes()), math.Max(long, k.Hold.V.Minutes())
		}
	}
	if math.IsInf(short, 1) {
		return nil
	}
	for _, m := range timeIn.FindAllStringSubmatchIndex(s.text, -1) {
		if near(s.text, m[2], coldWords) {
			continue
		}
		d, err := quantity.ParseDuration(strings.ReplaceAll(s.text[m[2]:m[3]], ",", ".") + " " + s.text[m[4]:m[5]][:1])
		if strings.HasPrefix(strings.ToLower(s.text[m[4]:m[5]]), "m") {
			d, err = quantity.ParseDuration(strings.ReplaceAll(s.text[m[2]:m[3]], ",", ".") + " min")
		}
		if err != nil || d.Minutes() >= 0.9*short && d.Minutes() <= 1.1*long {
			continue
		}
		j := sayOf(c, hit{strings.TrimSpace(s.text[m[2]:m[5]]), s, s.at + m[2]}, Fill{"time": minutes(d.Minutes()), "shortest": minutes(short), "longest": minutes(long),
			"cook": prose.Say("Leave it out, or put it to a trial of its own.")})
		j.Severity, j.Variant = Note, "time"
		return &j
	}
	return nil
}
