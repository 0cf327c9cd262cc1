package alias

import (
	"fmt"
	"math"
	"math/rand/v2"

	"tamis/internal/stats"
)

// MaxTables is the number of tables up to which ExactTest visits all when its
// limit is 0, and draws is how many it draws beyond.
const (
	MaxTables = 200_000
	draws     = 19_999
)

// Exact is the result of ExactTest.
type Exact struct {
	P      float64 `json:"p"`
	Full   bool    `json:"full"`   // every table was visited
	Tables int     `json:"tables"` // visited or drawn
}

// ExactTest is Fisher's exact test of a table of two rows and k columns, which
// for k > 2 is the test of Freeman and Halton (1951, Biometrika 38:141, from
// memory): the sum of the probabilities of all tables with the same margins
// that are no likelier than the one seen, to a relative 1e-7 for ties.
//
// Up to limit tables (0 = MaxTables) all are visited. Beyond, tables are drawn
// with the seed and p = (b+1)/(m+1), b of m draws being no likelier.
//
// A table with an empty row or one column has p = 1. Rows that are not
// independent (one person's blanks) make p an alarm bell and no evidence.
//
// Errors: ErrEmpty without counts, ErrDomain for another number of rows, a
// count below 0 or a limit below 0, ErrLengths for a ragged table, ErrTooLarge.
func ExactTest(table [][]int, limit int, seed uint64) (*Exact, error) {
	rows, cols, n, err := margins(table)
	if err != nil {
		return nil, err
	}
	if len(rows) != 2 || limit < 0 {
		return nil, fmt.Errorf("%w: %d rows, limit %d", stats.ErrDomain, len(rows), limit)
	}
	if limit == 0 {
		limit = MaxTables
	}
	// Given the margins a table is its first row a, with probability
	// Π C(cⱼ, aⱼ) / C(n, r): the multivariate hypergeometric distribution.
	lf := logFactorials(n)
	choose := func(c, a int) float64 { return lf[c] - lf[a] - lf[c-a] }
	seen := 0.0
	for j, a := range table[0] {
		seen += choose(cols[j], a)
	}
	bound := seen + 1e-7 // log of (1 + 1e-7), to seven digits of it
	if tables := countTables(cols, rows[0], limit); tables <= limit {
		e := &Exact{Full: true, Tables: tables}
		total := choose(n, rows[0])
		rest := suffixSums(cols)
		var visit func(j, left int, logP float64)
		visit = func(j, left int, logP float64) {
			if j == len(cols) {
				if logP <= bound {
					e.P += math.Exp(logP - total)
				}
				return
			}
			for a := max(0, left-rest[j+1]); a <= min(cols[j], left); a++ {
				visit(j+1, left-a, logP+choose(cols[j], a))
			}
		}
		visit(0, rows[0], 0)
		e.P = math.Min(1, e.P)
		return e, nil
	}
	// Draw r of n balls of k colours without replacement.
	balls := make([]int, 0, n)
	for j, c := range cols {
		for range c {
			balls = append(balls, j)
		}
	}
	rng := rand.New(rand.NewPCG(seed, 0x9e3779b97f4a7c15)) // the second word is fixed: one stream a seed
	drawn := make([]int, len(cols))
	hits := 0
	for range draws {
		clear(drawn)
		for i := range rows[0] { // the first r places of a shuffle
			j := i + rng.IntN(n-i)
			balls[i], balls[j] = balls[j], balls[i]
			drawn[balls[i]]++
		}
		logP := 0.0
		for j, a := range drawn {
			logP += choose(cols[j], a)
		}
		if logP <= bound {
			hits++
		}
	}
	return &Exact{P: float64(hits+1) / float64(draws+1), Tables: draws}, nil
}

// logFactorials gives log i! for i up to n, summed, which is exact to the
// rounding of the sum.
func logFactorials(n int) []float64 {
	lf := make([]float64, n+1)
	for i := 2; i <= n; i++ {
		lf[i] = lf[i-1] + math.Log(float64(i))
	}
	return lf
}

func suffixSums(cols []int) []int {
	rest := make([]int, len(cols)+1)
	for j := len(cols) - 1; j >= 0; j-- {
		rest[j] = rest[j+1] + cols[j]
	}
	return rest
}

// countTables counts first rows with these column totals and the sum r, and
// stops counting above the limit.
func countTables(cols []int, r, limit int) int {
	ways := make([]int, r+1)
	ways[0] = 1
	for _, c := range cols {
		next := make([]int, r+1)
		// A running sum over the last c+1 entries.
		run := 0
		for s := range next {
			run += ways[s]
			if s > c {
				run -= ways[s-c-1]
			}
			next[s] = run
		}
		for s := range next {
			// Entries only ever add up, so a capped one stays above the limit. The cap
			// must not enter the running sum, hence the second pass.
			next[s] = min(next[s], limit+1)
		}
		ways = next
	}
	return ways[r]
}
