package fairness

import "tamis/internal/prose"

// Family groups checks by what they look at, in the order of the catalogue.
type Family string

// The families.
const (
	Replication Family = "replication"
	HeatFamily  Family = "heat"
	Material    Family = "material"
	Brining     Family = "brine"
	Finishing   Family = "finishing"
	Serving     Family = "serving"
	Assessors   Family = "assessors"
	Data        Family = "data"
	Analysis    Family = "analysis"
	Claims      Family = "claims"
)

// families is the order of the catalogue and of equals in the ranking.
var families = []Family{Replication, HeatFamily, Material, Brining, Finishing, Serving, Assessors, Data, Analysis, Claims}

// Subject is what a finding is about. A finding that blocks one subject leaves
// claims on another alone.
type Subject string

// The subjects.
const (
	AboutSetPoint Subject = "set point" // or the factor that Finding.Factor names
	AboutBrine    Subject = "brine"
	AboutLiking   Subject = "liking"
	AboutTasted   Subject = "tasted measures"
	AboutWording  Subject = "wording"
	AboutSafety   Subject = "safety"
)

// Kind says what a block leaves possible.
type Kind string

// The kinds of block.
const (
	Bundle Kind = "bundle" // choices that a recipe may keep together: a claim may speak of the whole method
	Mixed  Kind = "mixed"  // an accident: no rewording rescues the claim
)

// Stage is how far a trial has come.
type Stage uint8

// The stages.
const (
	Plan   Stage = iota // cooks and pieces are listed, nothing is cooked
	Cooked              // times, logs and weights; nothing is tasted
	Scored
)

func (s Stage) String() string { return [...]string{"plan", "cooked", "scored"}[min(s, Scored)] }

// MarshalText gives the word.
func (s Stage) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// Severity of a finding that fires, worst last.
type Severity uint8

// The severities.
const (
	None    Severity = iota
	Note             // worth knowing
	Weakens          // a claim must be hedged
	Blocks           // no causal claim about the subject
)

func (s Severity) String() string {
	return [...]string{"", "note", "weakens", "blocks"}[min(s, Blocks)]
}

// MarshalText gives the word.
func (s Severity) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// Outcome of a check.
type Outcome string

// The four outcomes.
const (
	Fires        Outcome = "fires"
	Clear        Outcome = "clear"
	CannotJudge  Outcome = "cannot-judge"
	DoesNotApply Outcome = "does-not-apply"
)

// Check is one check: what it asks, why it matters, and how it judges.
//
// Wording, Next and Hedge hold placeholders in braces, {arms}, that a judgement
// fills with parts. Every placeholder of the wording in use must be filled.
type Check struct {
	Slug   string
	Family Family
	Stage  Stage   // the first at which it can fire
	About  Subject // AboutSetPoint when empty
	Kind   Kind    // of a block; Mixed when empty

	Short string   // in a word or two, for "part of the same fault: the day, the bath"
	Asks  string   // the question, as one would ask a cook
	Needs []string // fields of the trial file that it reads
	// Finds says how it is found: the statistic, the rule and its thresholds,
	// for a scientist. Thresholds are named in braces, {min-runs}.
	Finds string
	// Clears says when it is clear, Unjudged when it cannot judge.
	Clears, Unjudged string
	Why              string            // why it misleads
	Wording          string            // the finding, in a chef's words
	Others           map[string]string // other wordings, by the name of a variant
	Hedge            string            // half a sentence that a claim adds when this weakens it
	Next             string            // what to do in the next trial
	Avoid            string            // the same for explain, where Next depends on the trial
	// Eats marks a fix that has somebody taste, serve or cook the same again. It is
	// not given where the verdict calls the food do not eat.
	Eats    bool
	Fix     string   // key of that fix; equal keys are one thing to do
	Source  string   // where the idea or the number comes from
	Options []string // thresholds that it uses
	// FiresOn and ClearOn are examples in the trial format, for explain.
	FiresOn, ClearOn string
	// Describes marks a check of the result (how wide, how stable), not of the
	// design: it is reported and limits the claim, but accuses nobody.
	Describes bool
	// EachFactor runs the check for every compared factor and not for the set
	// point alone.
	EachFactor bool

	Judge func(*Case) Judgement
	// Example computes a small worked example of how this misleads, live.
	Example func() prose.Sentence
}

func (c *Check) about() Subject {
	if c.About == "" {
		return AboutSetPoint
	}
	return c.About
}

func (c *Check) kind() Kind {
	if c.Kind == "" {
		return Mixed
	}
	return c.Kind
}

// Catalogue lists every check in the order of the families. The checks are
// shared: they must not be altered.
func Catalogue() []*Check { return catalogue }

// Lookup finds a check by its slug.
func Lookup(slug string) (*Check, bool) {
	for _, c := range catalogue {
		if c.Slug == slug {
			return c, true
		}
	}
	return nil, false
}

// Slugs lists the slugs in the order of the catalogue.
func Slugs() []string {
	out := make([]string, len(catalogue))
	for i, c := range catalogue {
		out[i] = c.Slug
	}
	return out
}
