package heat

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"tamis/internal/trial"
)

// table reads a file of testdata; its head names the source.
func table(t *testing.T, name string, want int) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	lines, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, l := range lines[1:] {
		row := map[string]string{}
		for i, h := range lines[0] {
			row[h] = l[i]
		}
		rows = append(rows, row)
	}
	if len(rows) != want {
		t.Fatalf("%s has %d rows, want %d", name, len(rows), want)
	}
	return rows
}

func num(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.12g, want %.12g within %g", what, got, want, tol)
	}
}

// The whole of two tables of come-up, by shape, size and set point and by
// coefficient. Two decimals are printed.
func TestComeUpTables(t *testing.T) {
	t.Parallel()
	for _, r := range table(t, "minutes.csv", 27) {
		for col, bath := range map[string]float64{"t45": 45, "t50": 50, "t55": 55, "t60": 60} {
			s := practicalSlab(num(t, r["mm"]))
			s.Shape, s.Bath = trial.Shape(r["shape"]), bath
			near(t, r["shape"]+" "+r["mm"]+" mm, "+col, ComeUpOf(s).Mid, num(t, r[col]), 0.0051)
		}
	}
	for _, r := range table(t, "transfer.csv", 13) {
		for col, mm := range map[string]float64{"mm15": 15, "mm25": 25, "mm40": 40} {
			s := practicalSlab(mm)
			s.Transfer = same(num(t, r["h"]))
			near(t, r["h"]+" W/m²/K, "+col, ComeUpOf(s).Mid, num(t, r[col]), 0.0051)
		}
	}
}
