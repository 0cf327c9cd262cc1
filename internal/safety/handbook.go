package safety

import (
	_ "embed"
	"math"
	"strconv"
	"strings"
	"sync"
)

// Published is a cell of a published pasteurisation table: minutes in a bath,
// from 5 °C, until the core is pasteurised. It is a quotation and decides
// nothing.
type Published struct {
	Minutes  float64 // as printed
	Computed float64 // by the same model and its own parameters
	Source   string
}

const handbookSource = "D. E. Baldwin, Int. J. Gastronomy and Food Science 1 (2012) 15-30"

//go:embed handbook.csv
var handbookCSV string

type cell struct {
	kind        string
	mm, celsius float64
}

var handbook = sync.OnceValue(func() map[cell]float64 { return readCells(handbookCSV) })

// readCells reads kind,mm,celsius,minutes below two lines of head. The file is
// part of the program, so a line that is none is left out and the test that
// counts the cells finds it.
func readCells(csv string) map[cell]float64 {
	cells := map[cell]float64{}
	for _, line := range strings.Split(csv, "\n") {
		f := strings.Split(line, ",")
		if len(f) != 4 {
			continue
		}
		mm, err1 := strconv.ParseFloat(f[1], 64)
		celsius, err2 := strconv.ParseFloat(f[2], 64)
		minutes, err3 := strconv.ParseFloat(f[3], 64)
		if err1 == nil && err2 == nil && err3 == nil {
			cells[cell{f[0], mm, celsius}] = minutes
		}
	}
	return cells
}

// FromHandbook is the published cell for a kind, a thickness in mm and a bath in
// °C. ok is false where the tables have no such cell, or where the model does not
// reproduce it within one printed step: such a cell is not quoted.
func FromHandbook(kind string, mm, celsius float64) (p Published, ok bool) {
	minutes, found := handbook()[cell{kind, mm, celsius}]
	if !found {
		return p, false
	}
	p = Published{Minutes: minutes, Computed: handbookMinutes(kind, mm, celsius), Source: handbookSource}
	return p, math.Abs(p.Computed-minutes) <= printedStep(minutes)
}

// printedStep is the step of the tables: 1 min below 20, 5 below 60, 15 above.
func printedStep(minutes float64) float64 {
	switch {
	case minutes < 20:
		return 1
	case minutes < 60:
		return 5
	}
	return 15
}

// The parameters of the tables. Those of meat stand in their caption; those of
// the rest are from memory and reproduce the tables.
const (
	handbookTransfer     = 95.0     // W/m²/K
	handbookConductivity = 0.48     // W/m/K
	handbookFish         = 0.995e-7 // m²/s
	handbookMeat         = 1.11e-7
	handbookShape        = 0.28 // between a slab, 0, and a long cylinder, 1
	handbookSlabTo       = 30.0 // mm; meat counts as a slab up to here
	handbookStart        = 5.0  // °C
)

// handbookMinutes is when all rows of the kind are met, in minutes, by the model
// of the tables: no floor below which nothing counts, and their own heat.
func handbookMinutes(kind string, mm, celsius float64) float64 {
	alpha, beta := handbookFish, handbookShape
	rows := madeFor(kind)[:1] // the tables of fish count Listeria alone
	if kind == "beef pork lamb" {
		rows, alpha = madeFor(kind), handbookMeat
		if mm <= handbookSlabTo {
			beta = 0
		}
	}
	half := mm / 2000
	second := half * half / alpha // of one Fourier number
	got, rate := make([]float64, len(rows)), make([]float64, len(rows))
	met, left := make([]float64, len(rows)), len(rows)
	theta := newExponentBody(beta, half*handbookTransfer/handbookConductivity)
	at := func(i int) float64 {
		t := celsius - (celsius-handbookStart)*theta.core()
		return math.Exp(math.Ln10 / rows[i].Z * (t - rows[i].At))
	}
	for i := range rows {
		rate[i] = at(i)
	}
	for fo, n := 0.0, 0; left > 0 && n < 1_000_000; n++ {
		step := theta.step()
		minutes := step * second / 60
		for i, r := range rows {
			now := at(i)
			gain := minutes * (rate[i] + now) / 2
			if need := r.Decades * r.D; got[i] < need && got[i]+gain >= need {
				met[i] = fo*second/60 + minutes*(need-got[i])/gain
				left--
			}
			got[i], rate[i] = got[i]+gain, now
		}
		fo += step
	}
	if left > 0 {
		return math.Inf(1)
	}
	last := 0.0
	for _, m := range met {
		last = math.Max(last, m)
	}
	return last
}
