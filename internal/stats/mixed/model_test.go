package mixed

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats/frame"
)

// readCSV reads a table of testdata by column.
func readCSV(t testing.TB, name string) map[string][]string {
	t.Helper()
	f, err := os.Open("testdata/" + name)
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
	out := map[string][]string{}
	for j, h := range rows[0] {
		for _, row := range rows[1:] {
			out[h] = append(out[h], row[j])
		}
	}
	return out
}

func floats(t testing.TB, s []string) []float64 {
	t.Helper()
	out := make([]float64, len(s))
	for i, v := range s {
		x, err := strconv.ParseFloat(v, 64)
		if err != nil {
			t.Fatal(err)
		}
		out[i] = x
	}
	return out
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// grouping makes a grouping of text values, levels by first appearance.
func grouping(name string, values []string) Grouping {
	at := map[string]int{}
	g := Grouping{Name: name, Codes: make([]int, len(values))}
	for i, v := range values {
		c, ok := at[v]
		if !ok {
			c = len(g.Levels)
			at[v] = c
			g.Levels = append(g.Levels, v)
		}
		g.Codes[i] = c
	}
	return g
}

// cakeFrame has recipe and tempU as factors, temp as a number, and c and c2, the
// first two powers of temp - 200.
func cakeFrame(t testing.TB, file string) (*frame.Frame, map[string][]string) {
	t.Helper()
	d := readCSV(t, file)
	temp := floats(t, d["temp"])
	c, c2 := make([]float64, len(temp)), make([]float64, len(temp))
	for i, v := range temp {
		c[i], c2[i] = v-200, (v-200)*(v-200)
	}
	f := must(frame.New(
		must(frame.Factor("recipe", d["recipe"])),
		must(frame.Factor("tempU", d["temperature"])),
		must(frame.Numeric("temp", temp)),
		must(frame.Numeric("c", c)),
		must(frame.Numeric("c2", c2)),
	))
	return f, d
}

// ones is a column of n ones.
func ones(n int) *mat.Dense {
	x := mat.NewDense(n, 1, nil)
	for i := 0; i < n; i++ {
		x.Set(i, 0, 1)
	}
	return x
}
