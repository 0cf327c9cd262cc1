package ranks_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"testing"

	"tamis/internal/stats"
	"tamis/internal/stats/internal/reftest"
	"tamis/internal/stats/ranks"
)

func readJSON(t *testing.T, path string, into any) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, into); err != nil {
		t.Fatal(err)
	}
}

func TestPageCritical(t *testing.T) {
	t.Parallel()
	var ref struct {
		Source string
		Rows   [][]*float64
	}
	readJSON(t, "testdata/page_critical.json", &ref)
	if len(ref.Rows) != 66 {
		t.Fatalf("%d rows", len(ref.Rows))
	}
	for _, r := range ref.Rows {
		k, b, alpha := int(*r[0]), int(*r[1]), *r[2]
		l, p, err := ranks.PageCritical(b, k, alpha)
		if r[3] == nil {
			if !errors.Is(err, stats.ErrTooFew) {
				t.Errorf("k %d b %d %v: %v", k, b, alpha, err)
			}
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		if l != int(*r[3]) {
			t.Errorf("k %d b %d %v: L %d, want %v", k, b, alpha, l, *r[3])
		}
		reftest.Within(t, fmt.Sprintf("k %d b %d %v", k, b, alpha), p, *r[4], 1e-12, ref.Source)
	}
	for _, c := range []struct {
		n, k  int
		alpha float64
		want  error
	}{{0, 3, 0.05, stats.ErrDomain}, {3, 2, 0.05, stats.ErrDomain}, {3, 3, 2, stats.ErrDomain}, {3, 13, 0.05, stats.ErrTooLarge}, {1 << 40, 3, 0.05, stats.ErrTooLarge}} {
		if _, _, err := ranks.PageCritical(c.n, c.k, c.alpha); !errors.Is(err, c.want) {
			t.Errorf("%+v: %v", c, err)
		}
	}
}

func TestPageWorkedExamples(t *testing.T) {
	t.Parallel()
	wine, err := ranks.PageFromSums([]float64{10, 18, 27, 35}, 9)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "wine L", wine.L, 267, 1e-15, "Randall 1989, worked")
	reftest.WithinAbs(t, "wine z", wine.Z, 4.85, 0, 0.005, "Randall 1989, worked, two decimals")
	if !wine.Exact {
		t.Error("whole rank sums: exact p expected")
	}
	ten, err := ranks.PageFromSums([]float64{12, 22.5, 25.5}, 10)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "L", ten.L, 133.5, 1e-15, "worked 10 × 3")
	reftest.WithinAbs(t, "z", ten.Z, 3.019, 0, 5e-4, "worked 10 × 3, three decimals")
	reftest.WithinAbs(t, "p", ten.P, 0.00127, 0, 5e-6, "worked 10 × 3, five decimals")
	if ten.Exact {
		t.Error("half rank sums come from ties whose place is unknown: no exact p")
	}
}

func TestPageExactAgainstEnumeration(t *testing.T) {
	t.Parallel()
	for _, table := range [][][]float64{
		tied[:4],
		{{1, 2, 3}, {1, 3, 2}, {2, 1, 3}, {1, 1, 2}},
		{{3, 1, 2, 4}, {1, 2, 2, 2}, {1, 2, 3, 4}},
	} {
		res, err := ranks.Page(table, nil)
		if err != nil {
			t.Fatal(err)
		}
		if !res.Exact {
			t.Fatal("small table: exact expected")
		}
		reftest.Within(t, "p", res.PExact, brutePage(table, res.L), 1e-11, "all arrangements written out")
	}
}

func brutePage(table [][]float64, seen float64) float64 {
	k := len(table[0])
	perms := permutations(k)
	hit, all := 0, 0
	var walk func(i int, l float64)
	walk = func(i int, l float64) {
		if i == len(table) {
			all++
			if l >= seen-1e-9 {
				hit++
			}
			return
		}
		r, _ := ranks.Midranks(table[i])
		for _, p := range perms {
			s := 0.0
			for j := range k {
				s += float64(j+1) * r[p[j]]
			}
			walk(i+1, l+s)
		}
	}
	walk(0, 0)
	return float64(hit) / float64(all)
}

func TestPagePredictedOrder(t *testing.T) {
	t.Parallel()
	table := [][]float64{{3, 1, 2}, {3, 2, 1}, {2, 1, 3}, {3, 1, 2}}
	moved := make([][]float64, len(table)) // columns in the predicted order 2, 3, 1
	for i, r := range table {
		moved[i] = []float64{r[1], r[2], r[0]}
	}
	a, err := ranks.Page(table, []int{3, 1, 2})
	if err != nil {
		t.Fatal(err)
	}
	b, err := ranks.Page(moved, nil)
	if err != nil {
		t.Fatal(err)
	}
	if a.L != b.L || a.P != b.P || a.Z != a.ZUntied {
		t.Errorf("%+v\n%+v", a, b)
	}
	for _, bad := range [][]int{{1, 2}, {1, 1, 2}, {0, 1, 2}, {1, 2, 4}} {
		if _, err := ranks.Page(table, bad); err == nil {
			t.Errorf("%v accepted", bad)
		}
	}
	two := [][]float64{{1, 2}, {1, 2}}
	if _, err := ranks.Page(two, nil); !errors.Is(err, stats.ErrTooFew) {
		t.Errorf("two columns: %v", err)
	}
	if _, err := ranks.PageFromSums([]float64{2, 4}, 2); !errors.Is(err, stats.ErrTooFew) {
		t.Errorf("two sums: %v", err)
	}
}

func TestPageLargeFallsBackToNormal(t *testing.T) {
	t.Parallel()
	table := make([][]float64, 3)
	for i := range table {
		for j := range 15 {
			table[i] = append(table[i], float64((j*7+i)%15))
		}
	}
	res, err := ranks.Page(table, nil)
	if err != nil {
		t.Fatal(err)
	}
	if res.Exact || res.P != res.PNormal {
		t.Errorf("15 columns are above the exact limit: %+v", res)
	}
}
