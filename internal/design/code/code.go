package code

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
)

// ErrTooMany says that there are not so many codes.
var ErrTooMany = errors.New("code: there are not so many codes")

// emergency are numbers that people know by heart.
var emergency = map[string]bool{"110": true, "112": true, "115": true, "118": true, "119": true, "911": true}

// Telling reports whether a code says something, or is none: not three digits,
// a leading 0, or one of the patterns of the package comment. It holds numbers
// too: a code that contains one of them as digits tells.
func Telling(code string, numbers []string) bool {
	if len(code) != 3 || code[0] == '0' || strings.Trim(code, "0123456789") != "" {
		return true
	}
	a, b, c := code[0], code[1], code[2]
	switch {
	case a == b && b == c, // 111, 666
		b == a+1 && c == b+1, b+1 == a && c+1 == b, // 123, 321
		b == '0' && c == '0', // 100
		emergency[code]:
		return true
	}
	for _, n := range numbers {
		// One digit would rule out a quarter of all codes and tells little.
		if len(n) > 1 && strings.Contains(code, n) {
			return true
		}
	}
	return false
}

// Draw draws n different codes by lot. numbers, digits such as "52" or "126",
// may not occur in a code; none of taken is drawn again. Where that leaves too
// few, ErrTooMany is returned with how many there are.
func Draw(n int, numbers, taken []string, rng *rand.Rand) ([]string, error) {
	if n < 0 || rng == nil {
		return nil, fmt.Errorf("%w: %d asked for", ErrTooMany, n)
	}
	gone := map[string]bool{}
	for _, t := range taken {
		gone[t] = true
	}
	var free []string
	for v := 100; v < 1000; v++ {
		if c := strconv.Itoa(v); !gone[c] && !Telling(c, numbers) {
			free = append(free, c)
		}
	}
	if n > len(free) {
		return nil, fmt.Errorf("%w: %d are needed and %d can be had", ErrTooMany, n, len(free))
	}
	rng.Shuffle(len(free), func(i, j int) { free[i], free[j] = free[j], free[i] })
	return free[:n:n], nil
}
