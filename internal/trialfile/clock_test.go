package trialfile

import (
	"regexp"
	"testing"
)

// TestClockPattern: what is read as a clock time is what the schema promises.
func TestClockPattern(t *testing.T) {
	t.Parallel()
	pattern := regexp.MustCompile(clockPattern)
	parts := []string{"", "1", "09", "10", "123", ":", ":05", ":5", ":059", " ", "T", "2026-02-11", "2026-2-11", "2026-02-1a", "x", "é", "-"}
	for _, a := range parts {
		for _, b := range parts {
			for _, c := range parts {
				for _, d := range append(parts, ":05:07", ":05:7", ":05:", "\n") {
					s := a + b + c + d
					_, problem := parseClock(s)
					if read := problem != "is not a clock time"; read != pattern.MatchString(s) {
						t.Errorf("%q: read %v, by the pattern %v", s, read, !read)
					}
				}
			}
		}
	}
}

func TestNameAndUnit(t *testing.T) {
	t.Parallel()
	for head, want := range map[string][2]string{
		"before (g)": {"before", "g"}, "before(g)": {"before", "g"}, "before [ g ]": {"before", "g"}, "core (°C)": {"core", "°C"},
		"before": {"before", ""}, "(g)": {"(g)", ""}, "a (b) c": {"a (b) c", ""}, "a (b) (c)": {"a (b)", "c"},
		"a ((b))": {"a ((b))", ""}, "a )": {"a )", ""}, "a (b": {"a (b", ""}, "a ( )": {"a", ""}, "": {"", ""},
	} {
		if name, unit := nameAndUnit(head); [2]string{name, unit} != want {
			t.Errorf("%q is %q in %q, want %q", head, name, unit, want)
		}
	}
}
