package fairness

import "testing"

// Every pattern is one: a faulty one would panic here, not in front of a user.
func TestPatternsCompile(t *testing.T) {
	t.Parallel()
	if len(patterns) < 10 {
		t.Errorf("only %d patterns are known", len(patterns))
	}
	for _, p := range patterns {
		if p() == nil {
			t.Error("a pattern is nothing")
		}
	}
}
