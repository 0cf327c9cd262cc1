package order

import (
	"slices"
	"testing"

	"tamis/internal/design/search"
)

// Where few people taste many samples, all of them hang together whenever that can
// be: a graph of p people and n samples that is in one part has p+n-1 edges at least.
func TestChosenSamplesHangTogether(t *testing.T) {
	t.Parallel()
	for people := 2; people <= 6; people++ {
		for n := 3; n <= 12; n++ {
			for size := 2; size < n; size++ {
				if people*size < people+n-1 || people*size > people+n+2 { // it cannot be, or is by numbers
					continue
				}
				for seed := range uint64(3) {
					s := make([]Sitting, people)
					for i := range s {
						s[i] = Sitting{Pool: seq(n), Size: size, Who: i}
					}
					got, err := Choose(s, n, [][]int{seq(n)}, lot(seed))
					if err != nil {
						t.Fatal(err)
					}
					var who, what []int
					for i, row := range got {
						if !slices.IsSorted(row) || len(slices.Compact(slices.Clone(row))) != size {
							t.Fatalf("%d people, %d samples, sittings of %d: %v", people, n, size, got)
						}
						for _, x := range row {
							who, what = append(who, i), append(what, x)
						}
					}
					tasted := slices.Clone(what)
					slices.Sort(tasted)
					all := len(slices.Compact(tasted))
					if all != n || search.Parts(who, what) != 1 {
						t.Errorf("%d people, %d samples, sittings of %d, seed %d: %d tasted, %d parts: %v", people, n, size, seed, all, search.Parts(who, what), got)
					}
				}
			}
		}
	}
}

// What joins two halves of the set points loses no sample; where it would, nothing
// is changed.
func TestJoinLosesNothing(t *testing.T) {
	t.Parallel()
	s := []Sitting{{Pool: seq(6), Size: 2, Who: 0}, {Pool: seq(6), Size: 2, Who: 1}}
	labels := [][]int{{0, 1, 0, 1, 2, 3}} // the people share no label
	rows := [][]int{{0, 1}, {4, 5}}
	join(s, rows, labels)
	if rows[0][0] != 0 || rows[0][1] != 1 || rows[1][0] != 4 || rows[1][1] != 5 {
		t.Errorf("nothing can be joined without a sample that is lost, and yet: %v", rows)
	}
	rows = [][]int{{0, 1}, {4, 5}, {4, 5}}
	s = append(s, Sitting{Pool: seq(6), Size: 2, Who: 2})
	join(s, rows, labels)
	uses := map[int]int{}
	for _, row := range rows {
		for _, x := range row {
			uses[x]++
		}
	}
	if uses[0] == 0 || uses[1] == 0 || uses[4] == 0 || uses[5] == 0 {
		t.Errorf("a sample is lost: %v", rows)
	}
	j := joiner{sittings: s, rows: rows, labels: labels}
	if j.parts() != 0 {
		t.Errorf("still in parts: %v", rows)
	}
}

func seq(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}
