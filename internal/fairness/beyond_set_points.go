package fairness

import (
	"math"
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
	Avoid:   "Cook the temperature that you want to speak of, if the verdict for it allows that; else leave the sentence out.",
	Fix:     "add-set-points",
	Source:  "House rule.",
	Options: []string{"beyond", "gap"},
	FiresOn: "conclusion: Below 46 °C it stays raw.",
	ClearOn: "conclusion: 51 °C lies in the window.",
	Judge:   judgeBeyond,
	Example: exampleBeyond,
}

var (
	timeIn      = patternOf(`(?i)(?:^|[^\d.,])(\d+(?:[.,]\d+)?)\s*-?\s*(min|mins|minutes?|h|hrs?|hours?)(?:$|[^\pL])`)
	coldWords   = phrasesOf("serve*", "serving", "eat", "eaten", "plate", "plates", "plated", "chill*", "cooled", "cooling", "freez*", "frozen", "fridge", "refrigerat*", "stored", "storage", "keep", "kept", "rest", "rested", "resting", "ice", "thaw*", "room temperature", "reheat*", "oven", "pan", "sear*", "started at", "start temperature")
	aboveBelow  = patternOf(`(?i)(above|below|over|under|hotter than|warmer than|colder than|cooler than|lower than|higher than|beyond|more than|less than|past)\s*(?:about\s*)?$`)
	downWords   = patternOf(`(?i)^(below|under|colder|cooler|lower|less)`)
	notTriedYet = phrasesOf("was not cooked", "were not cooked", "was not tried", "not tested", "was not tested", "untested", "was never cooked", "would have to be cooked", "next time", "next trial", "to be tried", "remains to be seen", "we did not")
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
		if s.asks() || notTriedYet.in(s.text) {
			continue
		}
		for _, m := range temperaturesIn(s.text) {
			if nearWords(s.text, m.start, m.end, coldWords) || denied(s.text[:m.start]) || inQuotes(s.text, m.start) {
				continue
			}
			v := m.celsius
			h := hit{s.text[m.start:m.end], s, s.at + m.start}
			past := aboveBelow().FindString(s.text[:m.start])
			down := downWords().MatchString(past)
			if strings.HasPrefix(strings.ToLower(past), "over") && math.Abs(v-(high-low)) < 0.5 {
				continue // a rise over 8 °C: the range itself
			}
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

// nearWords reports whether a word of a list stands within four words before or
// three after a place, in the same part of the sentence.
func nearWords(s string, start, end int, p phrases) bool {
	before := strings.Fields(s[strings.LastIndexAny(s[:start], ",;:(")+1 : start])
	after := s[end:]
	if i := strings.IndexAny(after, ",;:)"); i >= 0 {
		after = after[:i]
	}
	words := strings.Fields(after)
	return p.in(strings.Join(before[max(0, len(before)-4):], " ")) || p.in(strings.Join(words[:min(3, len(words))], " "))
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
	switch safety.For(c.Trial, asRead(celsiusAt), nil).Verdict {
	case safety.DoNotEat:
		return prose.Say("Do not cook ", celsius(celsiusAt), " for eating: it would not be safe to eat.")
	case safety.NoVerdict:
		return prose.Say("Leave the sentence out: nobody can say that ", celsius(celsiusAt), " may be eaten.")
	}
	return prose.Say("Cook ", celsius(celsiusAt), ".")
}

// waitWords are about other times than those in the bath.
var waitWords = phrasesOf("brine*", "salt*", "within", "later", "longer", "shorter", "earlier", "more", "less", "aged", "after", "apart", "every", "between bites", "sat", "waited", "dried", "air")

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
	for _, m := range timeIn().FindAllStringSubmatchIndex(s.text, -1) {
		if nearWords(s.text, m[2], m[5], coldWords) || nearWords(s.text, m[2], m[5], waitWords) || denied(s.text[:m[2]]) || inQuotes(s.text, m[2]) {
			continue
		}
		unit := " h"
		if strings.HasPrefix(strings.ToLower(s.text[m[4]:m[5]]), "m") {
			unit = " min"
		}
		d, err := quantity.ParseDuration(strings.ReplaceAll(s.text[m[2]:m[3]], ",", ".") + unit)
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
