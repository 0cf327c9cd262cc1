package order

import (
	"slices"

	"tamis/internal/design/search"
)

// mostJoined bounds how many samples are handed out where people and what they taste
// are joined; more hang together by their numbers.
const mostJoined = 160

// join changes samples of sittings until every two labels of a kind can be compared
// by people who tasted both, or by a chain of such people, as far as single changes
// get there. The last kind of label counts by far the most. Evenness does not see
// this: of two people, who taste the first and the second half of the set points,
// neither compares anything across the halves.
//
// Two sittings exchange a sample each where that joins parts; otherwise a sitting
// takes a sample that it left out for one that others taste too.
func join(sittings []Sitting, rows, labels [][]int) {
	handed := 0
	for _, row := range rows {
		handed += len(row)
	}
	if handed > mostJoined || len(labels) == 0 {
		return
	}
	j := joiner{sittings: sittings, rows: rows, labels: labels, uses: map[int]int{}}
	for _, row := range rows {
		for _, x := range row {
			j.uses[x]++
		}
	}
	for have := j.parts(); have > 0 && (j.exchange(have) || j.replace(have)); have = j.parts() {
	}
}

type joiner struct {
	sittings     []Sitting
	rows, labels [][]int
	uses         map[int]int // sittings that hold a sample
	who, label   []int       // room for parts
}

// parts is into how many parts people and labels fall, less one for each kind.
func (j *joiner) parts() (sum int) {
	for k, l := range j.labels {
		j.who, j.label = j.who[:0], j.label[:0]
		for i, row := range j.rows {
			for _, x := range row {
				j.who, j.label = append(j.who, j.sittings[i].Who), append(j.label, l[x])
			}
		}
		weight := 1
		if k == len(j.labels)-1 {
			weight = 1000
		}
		sum += weight * max(0, search.Parts(j.who, j.label)-1)
	}
	return sum
}

// exchange makes the exchange of two sittings that joins most; the first of equals.
func (j *joiner) exchange(have int) bool {
	least, best := have, [4]int{}
	for s, mine := range j.rows {
		for t := range s {
			other := j.rows[t]
			for a, x := range mine {
				for b, y := range other {
					if slices.Contains(mine, y) || slices.Contains(other, x) ||
						!slices.Contains(j.sittings[s].Pool, y) || !slices.Contains(j.sittings[t].Pool, x) {
						continue
					}
					mine[a], other[b] = y, x
					if n := j.parts(); n < least {
						least, best = n, [4]int{s, a, t, b}
					}
					mine[a], other[b] = x, y
				}
			}
		}
	}
	if least == have {
		return false
	}
	mine, other := j.rows[best[0]], j.rows[best[2]]
	mine[best[1]], other[best[3]] = other[best[3]], mine[best[1]]
	return true
}

// replace takes into a sitting what it left out, for a sample that others taste too:
// the change that joins most, and of equals the one that leaves samples most even.
func (j *joiner) replace(have int) bool {
	least, uneven, best := have, 0, [3]int{-1, 0, 0}
	for s, row := range j.rows {
		for a, x := range row {
			if j.uses[x] < 2 {
				continue // nobody would taste it
			}
			for _, y := range j.sittings[s].Pool {
				if slices.Contains(row, y) {
					continue
				}
				row[a] = y
				if n, d := j.parts(), j.uses[y]-j.uses[x]; n < least || n == least && best[0] >= 0 && d < uneven {
					least, uneven, best = n, d, [3]int{s, a, y}
				}
				row[a] = x
			}
		}
	}
	if best[0] < 0 {
		return false
	}
	row := j.rows[best[0]]
	j.uses[row[best[1]]]--
	j.uses[best[2]]++
	row[best[1]] = best[2]
	return true
}
