package fairness

import (
	"fmt"

	"tamis/internal/prose"
	"tamis/internal/texture"
)

// Level is how wide a claim may be.
type Level uint8

// The levels of the claim ladder.
const (
	L0 Level = iota // an observation: in this cook, these pieces
	L1              // a difference between these pieces, as our panel scores
	L2              // an effect in this kitchen
	L3              // this cut or species, as we buy it
	L4              // consumers like those that were asked
)

func (l Level) String() string { return fmt.Sprintf("L%d", l) }

// MarshalText gives L0 to L4.
func (l Level) MarshalText() ([]byte, error) { return []byte(l.String()), nil }

// HoldsFor says the level in words. Readers never see its number.
func (l Level) HoldsFor() string {
	return [...]string{"this cook", "these pieces", "our kitchen", "this food, as we buy it", "guests like those we asked"}[min(l, L4)]
}

// Claim is how wide a sentence about this trial may be, and in what words.
type Claim struct {
	Level    Level  `json:"level"`
	HoldsFor string `json:"holds_for"`
	// Subject is what a sentence may name as the cause: "set point", "set point
	// and time", or "method" where choices that go together cannot be parted.
	Subject    string           `json:"subject"`
	Cause      bool             `json:"cause"` // whether a cause may be named at all
	Confirmed  bool             `json:"may_say_confirmed"`
	Allowed    []string         `json:"allowed"`
	NotAllowed []string         `json:"not_allowed"`
	Hedges     []prose.Sentence `json:"hedges"`
	Remarks    []prose.Sentence `json:"remarks,omitempty"`
	Lacks      []Lack           `json:"lacks"`
	Contrasts  []Contrast       `json:"contrasts,omitempty"`
}

// Lack is what keeps a claim from a level.
type Lack struct {
	Level Level  `json:"level"`
	What  string `json:"what"`
	Have  string `json:"have,omitempty"`
	Need  string `json:"need,omitempty"`
	Slug  string `json:"finding,omitempty"`
}

// Contrast is the level of one comparison.
type Contrast struct {
	Measure string `json:"measure"`
	A       string `json:"a"`
	B       string `json:"b"`
	Level   Level  `json:"level"`
}

// The subjects of a claim.
const (
	SubjectSetPoint = "set point"
	SubjectTime     = "set point and time"
	SubjectMethod   = "method"
)

// words are what each level allows and forbids a sentence to say.
var ladderWords = [...]struct{ allowed, not []string }{
	L0: {[]string{"was", "scored", "looked", "weighed", "in this cook"},
		[]string{"differs", "better", "effect", "because", "tends to"}},
	L1: {[]string{"could tell", "scored higher", "preferred", "differed", "our panel", "these pieces"},
		[]string{"effect of the set point", "causes", "is firmer at"}},
	L2: {[]string{"tends to", "raised", "lowered", "the effect was", "the window is", "in our kitchen"},
		[]string{"proves", "always", "other foods", "guests"}},
	L3: {[]string{"firms", "holds", "flakes", "we recommend", "as we buy and cut it"},
		[]string{"other cuts and species", "all guests", "beyond the set points"}},
	L4: {[]string{"like", "prefer", "consumers like those we asked"},
		[]string{"everyone", "the best", "other groups"}},
}

// ladder climbs for one contrast and remembers what stopped it.
type ladder struct {
	c     *Case
	found []Finding
	lacks []Lack
}

func (l *ladder) lack(level Level, what, have, need, slug string) bool {
	l.lacks = append(l.lacks, Lack{level, what, have, need, slug})
	return false
}

// state finds the set-point finding of a check.
func (l *ladder) state(slug string) *Finding {
	for i := range l.found {
		if f := &l.found[i]; f.Slug == slug && f.Factor == "" {
			return f
		}
	}
	return nil
}

// stands reports whether a check fires at a severity or above. What could not be
// judged counts as firing.
func (l *ladder) stands(slug string, at Severity) (stands, unjudged bool) {
	f := l.state(slug)
	switch {
	case f == nil:
		return false, false
	case f.Outcome == CannotJudge:
		return true, true
	}
	return f.Outcome == Fires && f.Severity >= at, false
}

// fair reports whether a check that a rule names does not stand for a measure,
// and says what is missing where it does.
func (l *ladder) fair(level Level, m *texture.Measure, slug string, at Severity) bool {
	stands, unjudged := l.stands(slug, at)
	f := l.state(slug)
	if !stands || !unjudged && !l.blocksMeasure(f, m) {
		return true
	}
	if unjudged {
		if f.TooFew != nil {
			return l.lack(level, f.TooFew.What, fmt.Sprint(f.TooFew.Have), fmt.Sprint(f.TooFew.Need), slug)
		}
		return l.lack(level, fieldList(f)+" not stated", "", "", slug)
	}
	return l.lack(level, slug, f.Severity.String(), "", slug)
}

// blocksMeasure reports whether a finding that blocks its subject blocks claims
// on a measure: what blocks liking leaves the other scores hedged.
func (l *ladder) blocksMeasure(f *Finding, m *texture.Measure) bool {
	if f.About != AboutLiking {
		return true
	}
	def, ok := l.c.Trial.MeasureNamed(m.Name)
	return !ok || asksLiking(def)
}

func fieldList(f *Finding) string {
	var names []string
	for _, m := range f.Missing {
		names = append(names, m.Field)
	}
	if len(names) == 0 {
		return f.Slug
	}
	return prose.List(names)
}
