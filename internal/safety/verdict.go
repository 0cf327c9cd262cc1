package safety

// Verdict is what can be said about eating something now, worst first, so that
// the smaller of two is the one that counts. The zero Verdict is the worst.
type Verdict uint8

// The verdicts.
const (
	DoNotEat Verdict = iota
	NoVerdict
	NotPasteurised
	Pasteurised
	NotAsked // foods without a pathogen row
)

// String is the verdict in words.
func (v Verdict) String() string {
	switch v {
	case NoVerdict:
		return "no verdict: treat as not pasteurised"
	case NotPasteurised:
		return "not pasteurised"
	case Pasteurised:
		return "pasteurised at the core, by calculation, if eaten at once"
	case NotAsked:
		return "no verdict applies"
	}
	return "do not eat, do not taste"
}

// Short is the verdict in a word or two, for a table that stands under the whole
// of it.
func (v Verdict) Short() string {
	switch v {
	case NoVerdict:
		return "no verdict"
	case NotPasteurised:
		return "not pasteurised"
	case Pasteurised:
		return "pasteurised"
	case NotAsked:
		return "none applies"
	}
	return "do not eat"
}

// MarshalText gives the words of String.
func (v Verdict) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

// Parasites is the separate verdict on parasites, worst first.
type Parasites uint8

// The states of parasite control.
const (
	ParasitesNotControlled Parasites = iota
	ParasitesUnknown                 // counts as not controlled
	ParasitesExempt                  // with evidence
	ParasitesFrozen                  // by freezing beforehand
	ParasitesCooked                  // the core was hot enough
	ParasitesNotAsked                // not a matter of this kind
)

// String is the state in words.
func (p Parasites) String() string {
	return [...]string{"not controlled", "unknown", "exempt", "controlled by freezing", "cooked", "no verdict applies"}[min(p, ParasitesNotAsked)]
}

// MarshalText gives the words of String.
func (p Parasites) MarshalText() ([]byte, error) { return []byte(p.String()), nil }

// Controlled reports whether the fish may be eaten as far as parasites go.
func (p Parasites) Controlled() bool { return p >= ParasitesExempt }

// Part is a piece of a text: words, or a number with its kind.
type Part struct {
	Text   string
	Kind   Kind // "" for words
	Value  float64
	Digits int // decimals to show
}

// Kind is what a number in a text is.
type Kind string

// The kinds of number: °C, K, minutes, percent.
const (
	Temperature Kind = "temperature"
	Difference  Kind = "difference"
	Minutes     Kind = "minutes"
	Percent     Kind = "percent"
)

// Words is a text in parts.
type Words []Part

// Reason is one ground of a verdict, with a slug that is never reused.
type Reason struct {
	Slug string
	Text Words // no capital, no full stop
}

// Missing is a field of the trial file that would help, and why.
type Missing struct {
	Field string
	Why   string
}

// CookVerdict is the verdict on one cook, or on a set point that might be named.
type CookVerdict struct {
	Cook      string  // id; empty for a set point that might be named
	SetPoint  float64 // °C
	Verdict   Verdict
	Why       []Reason // first what decided
	Missing   []Missing
	Parasites Parasites
	// Vulnerable reports whether it may go to young children, pregnant women,
	// older people and people with weakened immunity, by calculation.
	Vulnerable bool
	// Discard is when what is left is thrown away, in minutes after it went into
	// the bath, rounded down to 5; 0 where that cannot be said.
	Discard float64
	// DiscardAt is that as a clock time, such as 11:05; empty where the start
	// was not written down.
	DiscardAt string
	// Kills is what the core got by each row of its kind; empty where the kind is
	// judged by fixed temperatures and times, or nothing could be computed.
	Kills []Kill
	// Quoted are the published minimums of the rules that the trial names.
	Quoted []Quoted
	// Users names the values that are the user's and not the tables'; nil without.
	Users Words

	must bool // never eaten unless pasteurised
}

// worsen lowers the verdict to v, keeping the reason that decided in front. A
// reason that changes nothing is not kept.
func (c *CookVerdict) worsen(v Verdict, r Reason) {
	switch {
	case v < c.Verdict:
		c.Verdict = v
		c.Why = append([]Reason{r}, c.Why...)
	case v == c.Verdict && v == DoNotEat:
		c.Why = append(c.Why, r)
	}
}

func (c *CookVerdict) lacks(field, why string) {
	for _, m := range c.Missing {
		if m.Field == field {
			return
		}
	}
	c.Missing = append(c.Missing, Missing{field, why})
}

// unknown is the verdict where something cannot be judged.
func (c *CookVerdict) unknown() Verdict {
	if c.must {
		return DoNotEat
	}
	return NoVerdict
}
