package sim

import (
	"encoding/csv"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"strconv"
	"testing"

	"tamis/internal/stats/internal/reftest"
)

var updateDraws = flag.Bool("update-draws", false, "write testdata/draws.csv anew; then run testdata/lmertest.R")

// stored are the draws whose answers R gave: small and large, with and without
// sessions, some with the variance between cooks at 0.
func stored() []Design {
	var out []Design
	for _, sessions := range []bool{false, true} {
		for _, cooks := range []int{4, 8, 20} {
			for _, icc := range []float64{0, 0.5} {
				out = append(out, Design{Cooks: cooks, Pieces: 4, ICC: icc, Sessions: sessions, Effect: 0.5})
			}
		}
	}
	return out
}

const storedDraws = 3

func TestStoredDrawsAgainstLmerTest(t *testing.T) {
	t.Parallel()
	if *updateDraws {
		writeDraws(t)
		return
	}
	b, err := os.ReadFile("testdata/lmertest.json")
	if err != nil {
		t.Fatal(err)
	}
	var ref struct {
		Source string
		Rows   []struct {
			Design, Draw               int
			P, DF, Estimate, Low, High float64
			Singular                   bool
			UnitP                      float64 `json:"unit_p"`
		}
	}
	if err := json.Unmarshal(b, &ref); err != nil {
		t.Fatal(err)
	}
	if len(ref.Rows) != len(stored())*storedDraws {
		t.Fatalf("%d rows", len(ref.Rows))
	}
	values := readDraws(t)
	singular := 0
	for _, r := range ref.Rows {
		d := stored()[r.Design]
		trial, err := NewTrial(d)
		if err != nil {
			t.Fatal(err)
		}
		y := trial.Draw(seed, r.Draw)
		name := fmt.Sprintf("%+v draw %d", d, r.Draw)
		for i, v := range values[[2]int{r.Design, r.Draw}] {
			if v != y[i] {
				t.Fatalf("%s: value %d is %v, stored %v: the generator has changed", name, i, y[i], v)
			}
		}
		u, err := trial.Unit(y)
		if err != nil {
			t.Fatal(err)
		}
		reftest.Within(t, name+" unit p", u.P, r.UnitP, 1e-9, ref.Source)
		m, err := trial.Mixed(y)
		if err != nil {
			t.Fatal(err)
		}
		if m.Boundary != r.Singular {
			t.Errorf("%s: boundary %v, R says singular %v", name, m.Boundary, r.Singular)
		}
		if r.Singular {
			singular++
		}
		// lmer's search stops at about 1e-8 in θ, and lmerTest differentiates
		// numerically, which leaves 1e-4 in the degrees of freedom.
		reftest.Within(t, name+" estimate", m.Estimate, r.Estimate, 1e-9, ref.Source)
		reftest.Within(t, name+" df", m.DF, r.DF, 1e-4, ref.Source)
		reftest.Within(t, name+" p", m.P, r.P, 1e-4, ref.Source)
		reftest.WithinAbs(t, name+" low", m.Interval.Low, r.Low, 1e-4, 1e-4, ref.Source)
		reftest.WithinAbs(t, name+" high", m.Interval.High, r.High, 1e-4, 1e-4, ref.Source)
	}
	if singular < 3 {
		t.Errorf("only %d stored draws lie on the boundary", singular)
	}
}

func writeDraws(t *testing.T) {
	t.Helper()
	f, err := os.Create("testdata/draws.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	fmt.Fprintf(f, "# Invented values from seed %d, written by go test -run StoredDraws -args -update-draws.\n", uint64(seed))
	fmt.Fprintln(f, "design,draw,cook,arm,session,blocked,y")
	for i, d := range stored() {
		trial, err := NewTrial(d)
		if err != nil {
			t.Fatal(err)
		}
		for draw := range storedDraws {
			for j, y := range trial.Draw(seed, draw) {
				fmt.Fprintf(f, "%d,%d,%d,%d,%d,%v,%s\n", i, draw, trial.cook[j], trial.arm[j], trial.cook[j]/2, d.Sessions, strconv.FormatFloat(y, 'g', 17, 64))
			}
		}
	}
}

func readDraws(t *testing.T) map[[2]int][]float64 {
	t.Helper()
	f, err := os.Open("testdata/draws.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := map[[2]int][]float64{}
	for _, row := range rows[1:] {
		design, err1 := strconv.Atoi(row[0])
		draw, err2 := strconv.Atoi(row[1])
		y, err3 := strconv.ParseFloat(row[6], 64)
		if err1 != nil || err2 != nil || err3 != nil {
			t.Fatal(row)
		}
		key := [2]int{design, draw}
		out[key] = append(out[key], y)
	}
	return out
}
