package fairness

import (
	"strings"
	"testing"

	"tamis/internal/quantity"
)

// An explanation speaks of no trial: nothing in it is left open, and nothing is
// the bare name of what a trial would fill in.
func TestExplanationsLeaveNothingOpen(t *testing.T) {
	t.Parallel()
	for _, c := range Catalogue() {
		e := Explain(c)
		for name, text := range map[string]string{
			"asks": e.Asks, "why": e.Why, "finds": e.Finds, "clears": e.Clears, "unjudged": e.Unjudged, "avoid": e.Avoid, "source": e.Source,
			"example": e.Example.Text(quantity.Metric),
		} {
			if strings.ContainsAny(text, "{}") {
				t.Errorf("%s, %s: %s", c.Slug, name, text)
			}
		}
		if len(strings.Fields(e.Avoid)) < 4 {
			t.Errorf("%s says too little of how to avoid it: %q", c.Slug, e.Avoid)
		}
		for rest := c.Next; c.Avoid == ""; {
			_, after, ok := strings.Cut(rest, "{")
			if !ok {
				break
			}
			name, tail, _ := strings.Cut(after, "}")
			rest = tail
			if _, known := optionNamed(strings.ReplaceAll(name, "_", "-")); !known && anyTrial[name] == "" {
				t.Errorf("%s: the fix depends on {%s}, and nothing says it for any trial", c.Slug, name)
			}
		}
	}
}
