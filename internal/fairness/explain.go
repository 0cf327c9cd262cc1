package fairness

import (
	"cmp"
	"strings"

	"tamis/internal/prose"
)

// Explanation is everything that a person can be told about one check.
type Explanation struct {
	Slug       string         `json:"slug"`
	Family     Family         `json:"family"`
	Seen       string         `json:"seen"`       // from which stage on
	Severities string         `json:"severities"` // how bad it can be
	Asks       string         `json:"asks"`
	Why        string         `json:"why"`
	Example    prose.Sentence `json:"example,omitempty"`
	Finds      string         `json:"finds"`
	Clears     string         `json:"clears,omitempty"`
	Unjudged   string         `json:"unjudged,omitempty"`
	Avoid      string         `json:"avoid"`
	Options    []Option       `json:"thresholds,omitempty"`
	Needs      []string       `json:"reads"`
	FiresOn    string         `json:"fires_on,omitempty"`
	ClearOn    string         `json:"clear_on,omitempty"`
	Source     string         `json:"source,omitempty"`
}

// Explain collects what a check's literal says, with the thresholds' defaults
// put in, and computes its example.
func Explain(c *Check) Explanation {
	e := Explanation{
		Slug: c.Slug, Family: c.Family, Asks: c.Asks, Why: c.Why, Finds: withDefaults(c.Finds), Clears: withDefaults(c.Clears),
		Unjudged: withDefaults(c.Unjudged), Avoid: withDefaults(cmp.Or(c.Avoid, c.Next)), Needs: c.Needs, FiresOn: c.FiresOn, ClearOn: c.ClearOn,
		Source: withoutBraces(c.Source),
	}
	e.Seen = [...]string{"in the plan", "once it is cooked", "once it is scored"}[min(c.Stage, Scored)]
	e.Severities = "about the " + string(c.about())
	if c.Describes {
		e.Severities += "; it describes the result and accuses no design"
	} else if c.kind() == Bundle {
		e.Severities += "; where it blocks, a claim may still speak of the whole method"
	}
	if c.Example != nil {
		e.Example = c.Example()
	}
	for _, name := range c.Options {
		if o, ok := optionNamed(name); ok {
			e.Options = append(e.Options, o)
		}
	}
	return e
}

// withoutBraces leaves the names of thresholds in a source as names.
func withoutBraces(text string) string { return strings.NewReplacer("{", "", "}", "").Replace(text) }

// anyTrial are the words for what a trial fills in, where no trial is spoken of.
var anyTrial = map[string]string{"factor": "set point", "block": "session"}

// withDefaults puts the default of a threshold where a text names it in braces;
// a placeholder that is no threshold becomes its name in plain words.
func withDefaults(text string) string {
	var b strings.Builder
	for {
		before, rest, ok := strings.Cut(text, "{")
		b.WriteString(before)
		if !ok {
			return b.String()
		}
		name, after, ok := strings.Cut(rest, "}")
		if !ok {
			b.WriteString("{" + rest)
			return b.String()
		}
		dashed := strings.ReplaceAll(name, "_", "-")
		if o, known := optionNamed(dashed); known {
			b.WriteString(o.Default)
		} else if w, known := anyTrial[name]; known {
			b.WriteString(w)
		} else {
			b.WriteString(strings.ReplaceAll(name, "_", " "))
		}
		text = after
	}
}
