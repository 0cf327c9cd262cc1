package fairness

import (
	"fmt"
	"strings"

	"tamis/internal/prose"
)

// fill puts parts into a pattern with placeholders in braces. A placeholder
// without a part is an error of the check; its name is kept, so that it shows.
func fill(pattern string, f Fill) (prose.Sentence, error) {
	var parts []any
	var missing []string
	for pattern != "" {
		open := strings.IndexByte(pattern, '{')
		if open < 0 {
			return prose.Say(append(parts, pattern)...), unfilled(missing)
		}
		shut := strings.IndexByte(pattern[open:], '}')
		if shut < 0 {
			return prose.Say(append(parts, pattern)...), unfilled(append(missing, pattern[open:]))
		}
		name := pattern[open+1 : open+shut]
		part, ok := f[name]
		if !ok {
			missing = append(missing, name)
			part = name
		}
		parts = append(parts, pattern[:open], part)
		pattern = pattern[open+shut+1:]
	}
	return prose.Say(parts...), unfilled(missing)
}

func unfilled(names []string) error {
	if len(names) == 0 {
		return nil
	}
	return fmt.Errorf("no value for %s", strings.Join(names, ", "))
}

// unfilledWording is told of every placeholder that a check left open; the tests
// make it fail.
var unfilledWording = func(slug string, err error) {}

func mustFill(check *Check, pattern string, f Fill) prose.Sentence {
	s, err := fill(pattern, f)
	if err != nil {
		unfilledWording(check.Slug, err)
	}
	return s
}
