package demo

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
)

// File is one file of a demo trial, with its path below trials/.
type File struct {
	Path string
	Text string
}

// Files draws every demo trial from its own seed.
func Files() []File {
	var out []File
	out = append(out, pollack(rand.New(rand.NewPCG(44, 60)))...)
	out = append(out, chicken(rand.New(rand.NewPCG(60, 66)))...)
	out = append(out, carrot(rand.New(rand.NewPCG(83, 90)))...)
	out = append(out, trout(rand.New(rand.NewPCG(48, 56)))...)
	return out
}

// table collects the lines of a CSV file.
type table struct{ b strings.Builder }

func newTable(header string) *table {
	t := &table{}
	t.b.WriteString(header + "\n")
	return t
}

func (t *table) add(format string, args ...any) {
	fmt.Fprintf(&t.b, format+"\n", args...)
}

// effects draws one normal deviate a key and remembers it.
type effects struct {
	r    *rand.Rand
	sd   float64
	seen map[string]float64
}

func newEffects(r *rand.Rand, sd float64) *effects {
	return &effects{r: r, sd: sd, seen: map[string]float64{}}
}

func (e *effects) of(key string) float64 {
	v, ok := e.seen[key]
	if !ok {
		v = e.r.NormFloat64() * e.sd
		e.seen[key] = v
	}
	return v
}

// onScale rounds to steps and keeps the value on its scale.
func onScale(v, low, high, step float64) float64 {
	v = math.Round(v/step) * step
	return math.Min(high, math.Max(low, v))
}

// williams is the serving order of a Williams square for an even number of
// samples: row r of the square, samples 0 to p-1.
func williams(p, r int) []int {
	first := make([]int, p)
	for i := range first {
		if i%2 == 1 {
			first[i] = (i + 1) / 2
		} else if i > 0 {
			first[i] = p - i/2
		}
	}
	row := make([]int, p)
	for i := range row {
		row[i] = (first[i] + r) % p
	}
	return row
}

// core is the temperature at the middle of a slab in a moving water bath, by
// explicit finite differences over half the thickness. It only draws plausible
// probe logs for the demos: the heat model of the program is not this.
//
// thickness in mm, temperatures in °C, diffusivity in m²/s; the value returned
// is for each whole minute up to minutes.
func core(thickness, start, bath float64, minutes int) []float64 {
	const (
		nodes       = 20
		diffusivity = 1.4e-7
		conduct     = 0.48 // W/mK
		transfer    = 95.0 // W/m²K
		step        = 0.25 // s
	)
	dx := thickness / 2000 / nodes
	temp := make([]float64, nodes+1)
	for i := range temp {
		temp[i] = start
	}
	out := []float64{start}
	next := make([]float64, nodes+1)
	f := diffusivity * step / (dx * dx)
	bi := transfer * dx / conduct
	for m := 1; m <= minutes; m++ {
		for s := 0; s < int(60/step); s++ {
			next[0] = temp[0] + 2*f*(temp[1]-temp[0])
			for i := 1; i < nodes; i++ {
				next[i] = temp[i] + f*(temp[i-1]-2*temp[i]+temp[i+1])
			}
			next[nodes] = temp[nodes] + 2*f*(temp[nodes-1]-temp[nodes]+bi*(bath-temp[nodes]))
			temp, next = next, temp
		}
		out = append(out, temp[0])
	}
	return out
}

// clock prints minutes after midnight as 10:05.
func clock(minutes int) string { return fmt.Sprintf("%02d:%02d", minutes/60%24, minutes%60) }

// shuffled is a random order of 0 … n-1.
func shuffled(r *rand.Rand, n int) []int { return r.Perm(n) }

// codes draws three-digit blind codes, none twice, none telling.
type codes struct {
	r    *rand.Rand
	used map[int]bool
}

func newCodes(r *rand.Rand) *codes {
	return &codes{r: r, used: map[int]bool{100: true, 111: true, 123: true, 222: true, 333: true, 444: true,
		555: true, 666: true, 777: true, 888: true, 999: true}}
}

func (c *codes) next() int {
	for {
		n := 101 + c.r.IntN(899)
		if !c.used[n] {
			c.used[n] = true
			return n
		}
	}
}
