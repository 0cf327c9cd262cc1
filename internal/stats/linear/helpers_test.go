package linear

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"math/big"
	"os"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats/frame"
)

// table is a CSV file of testdata: a head line with the source, then columns.
type table struct {
	t    testing.TB
	cols map[string][]string
}

func readTable(t testing.TB, name string) table {
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
	out := table{t, map[string][]string{}}
	for j, name := range rows[0] {
		for _, row := range rows[1:] {
			out.cols[name] = append(out.cols[name], row[j])
		}
	}
	return out
}

func (d table) numbers(name string) []float64 {
	d.t.Helper()
	var out []float64
	for _, s := range d.cols[name] {
		x, err := strconv.ParseFloat(s, 64)
		if err != nil {
			d.t.Fatal(err)
		}
		out = append(out, x)
	}
	return out
}

// frame has the named columns as factors, and those with a "#" in front as
// numbers (without the "#" in their name).
func (d table) frame(names ...string) *frame.Frame {
	d.t.Helper()
	var cols []frame.Column
	for _, n := range names {
		var c frame.Column
		var err error
		if n[0] == '#' {
			c, err = frame.Numeric(n[1:], d.numbers(n[1:]))
		} else {
			c, err = frame.Factor(n, d.cols[n])
		}
		if err != nil {
			d.t.Fatal(err)
		}
		cols = append(cols, c)
	}
	f, err := frame.New(cols...)
	if err != nil {
		d.t.Fatal(err)
	}
	return f
}

func readJSON(t testing.TB, name string, into any) {
	t.Helper()
	b, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, into); err != nil {
		t.Fatal(err)
	}
}

func mustFit(t testing.TB, f *frame.Frame, y []float64, terms ...frame.Term) *Fit {
	t.Helper()
	return mustFitModel(t, f, y, frame.Model{Intercept: true, Terms: terms}, Options{})
}

func mustFitModel(t testing.TB, f *frame.Frame, y []float64, m frame.Model, opt Options) *Fit {
	t.Helper()
	x, err := frame.Build(f, m)
	if err != nil {
		t.Fatal(err)
	}
	fit, err := NewFrame(x, y, opt)
	if err != nil {
		t.Fatal(err)
	}
	return fit
}

// names are n column names.
func names(n int) []string {
	out := make([]string, n)
	for i := range out {
		out[i] = fmt.Sprintf("x%d", i)
	}
	return out
}

// exact solves the normal equations in rational arithmetic: the coefficients,
// the diagonal of (XᵀX)⁻¹ and the residual sum of squares of the doubles as
// they are, without rounding before the last step.
func exact(t testing.TB, x mat.Matrix, y []float64) (beta, diag []float64, rss float64) {
	t.Helper()
	n, p := x.Dims()
	cell := func(i, j int) *big.Rat { return new(big.Rat).SetFloat64(x.At(i, j)) }
	// The matrix (XᵀX | Xᵀy | I), brought to (I | β | (XᵀX)⁻¹).
	m := make([][]*big.Rat, p)
	for a := range m {
		m[a] = make([]*big.Rat, 2*p+1)
		for b := range m[a] {
			m[a][b] = new(big.Rat)
		}
		for i := range n {
			for b := range p {
				m[a][b].Add(m[a][b], new(big.Rat).Mul(cell(i, a), cell(i, b)))
			}
			m[a][p].Add(m[a][p], new(big.Rat).Mul(cell(i, a), new(big.Rat).SetFloat64(y[i])))
		}
		m[a][p+1+a].SetInt64(1)
	}
	for k := range p {
		if m[k][k].Sign() == 0 {
			t.Fatal("singular normal equations") // positive definite otherwise
		}
		inv := new(big.Rat).Inv(m[k][k])
		for j := range m[k] {
			m[k][j].Mul(m[k][j], inv)
		}
		for i := range m {
			if i == k || m[i][k].Sign() == 0 {
				continue
			}
			f := new(big.Rat).Set(m[i][k])
			for j := range m[i] {
				m[i][j].Sub(m[i][j], new(big.Rat).Mul(f, m[k][j]))
			}
		}
	}
	sum := new(big.Rat)
	for i := range n {
		r := new(big.Rat).SetFloat64(y[i])
		for a := range p {
			r.Sub(r, new(big.Rat).Mul(cell(i, a), m[a][p]))
		}
		sum.Add(sum, r.Mul(r, r))
	}
	for a := range p {
		b, _ := m[a][p].Float64()
		d, _ := m[a][p+1+a].Float64()
		beta, diag = append(beta, b), append(diag, d)
	}
	rss, _ = sum.Float64()
	return beta, diag, rss
}

// powersOf is the matrix 1, x, x², … in doubles.
func powersOf(x []float64, degree int) *mat.Dense {
	out := mat.NewDense(len(x), degree+1, nil)
	for i, v := range x {
		p := 1.0
		for j := range degree + 1 {
			out.Set(i, j, p)
			p *= v
		}
	}
	return out
}

func logs(xs []float64) []float64 {
	out := make([]float64, len(xs))
	for i, x := range xs {
		out[i] = math.Log(x)
	}
	return out
}
