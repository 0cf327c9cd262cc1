package fairness

import (
	"regexp"
	"sync"
)

// pattern is a regular expression that is compiled when it is first asked for.
// There are many and long ones, and few runs of the program read anybody's words.
type pattern func() *regexp.Regexp

// patternOf is a pattern; a faulty one panics when it is asked for, which a test
// does of all.
func patternOf(expr string) pattern {
	p := pattern(sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(expr) }))
	patterns = append(patterns, p)
	return p
}

// patterns are all that there are, for that test.
var patterns []pattern
