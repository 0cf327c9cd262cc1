package diag

import (
	"slices"
	"strings"
	"unicode"
)

// longestWord is the length in characters up to which words are compared.
const longestWord = 64

// Nearest finds the candidate that was probably meant by word, and false when
// none is near enough. Case, spaces, hyphens and underlines do not count;
// otherwise the fewest insertions, deletions, replacements and swaps of
// neighbours (Damerau–Levenshtein in the form of optimal string alignment)
// decide, up to one in three characters. Of equals the first candidate wins.
func Nearest(word string, candidates []string) (string, bool) {
	w := fold(word)
	if len(w) == 0 || len(w) > longestWord {
		return "", false
	}
	best, found := "", false
	least := 0
	for _, c := range candidates {
		f := fold(c)
		if len(f) == 0 || len(f) > longestWord {
			continue
		}
		far := max(len(w), len(f), 3) / 3
		if max(len(w)-len(f), len(f)-len(w)) > far {
			continue // as many insertions or deletions at least
		}
		d := distance(w, f)
		if d <= far && d < min(len(w), len(f)) && (!found || d < least) {
			best, least, found = c, d, true
		}
	}
	return best, found
}

// Longer finds the only candidate that has every word of word among its own
// words, as "cooks_each" has "cooks"; false when there is none or more than one.
// Words are parted by spaces, hyphens and underlines, and case does not count.
func Longer(word string, candidates []string) (string, bool) {
	if len(word) > longestWord {
		return "", false
	}
	wanted := parts(word)
	if len(strings.Join(wanted, "")) < 4 {
		return "", false // "to" and "at" are in too much
	}
	best, found := "", false
	for _, c := range candidates {
		have := parts(c)
		if slices.ContainsFunc(wanted, func(w string) bool { return !slices.Contains(have, w) }) {
			continue
		}
		if found {
			return "", false
		}
		best, found = c, true
	}
	return best, found
}

func parts(s string) []string {
	return strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return r == ' ' || r == '-' || r == '_' })
}

func fold(s string) []rune {
	return []rune(strings.Map(func(r rune) rune {
		if r == ' ' || r == '-' || r == '_' {
			return -1
		}
		return unicode.ToLower(r)
	}, s))
}

// distance is the optimal string alignment distance: three rows of the usual
// table, the third for swaps of neighbours.
func distance(a, b []rune) int {
	two, one, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range one {
		one[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			step := 1
			if a[i-1] == b[j-1] {
				step = 0
			}
			row[j] = min(one[j]+1, row[j-1]+1, one[j-1]+step)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], two[j-2]+1)
			}
		}
		two, one, row = one, row, two
	}
	return one[len(b)]
}
