package mixed

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

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

// cakeFrame has recipe and tempU as factors and temp as a number.
func cakeFrame(t testing.TB, file string) (*frame.Frame, map[string][]string) {
	t.Helper()
	d := readCSV(t, file)
	f := must(frame.New(
		must(frame.Factor("recipe", d["recipe"])),
		must(frame.Factor("tempU", d["temperature"])),
		must(frame.Numeric("temp", floats(t, d["temp"]))),
	))
	return f, d
}

func TestCakeFirst(t *testing.T) {
	f, d := cakeFrame(t, "cake.csv")
	mx := must(frame.Build(f, frame.Model{Intercept: true, Terms: frame.Crossed(frame.T("recipe"), frame.T("tempU")),
		Coding: map[string]frame.Coding{"recipe": {Contrast: frame.Sum}, "tempU": {Contrast: frame.Sum}}}))
	rr := must(Interaction(grouping("recipe", d["recipe"]), grouping("replicate", d["replicate"])))
	m, err := Fit(Data{Y: floats(t, d["angle"]), X: mx.X, Names: mx.Names, Groups: []Grouping{rr}}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%+v %v %v crit %.12g %+v", m.Components, m.Sigma2, m.Sigma, m.Criterion, m.Status)
	c := must(m.Coefficients(Satterthwaite))
	for _, x := range c {
		t.Logf("%+v", x)
	}
}
