package texture

import (
	"fmt"
	"math"
	"sort"
	"strconv"

	"tamis/internal/trial"
)

// mostSamples is how many samples enter the serving model each with a mean of
// its own; above it the cells of what was varied do.
const mostSamples = 60

// serving asks whether the place in the serving order and the sample before
// changed the scores. Both are judged within the sitting of each assessor, and
// what was served is taken out first.
func (tb *table) serving(out *Measure) {
	if !tasted(tb.groups[byAssessor]) {
		return
	}
	place := PlaceEffect{Kind: "place", Test: Test{Term: "place", Role: RoleL1, Unit: "score", Stat: "F", Blocks: []string{"assessor", "sitting"},
		Question: "did the place in the serving order change the scores?", Method: "places within each assessor's sitting, samples removed"}}
	carry := PlaceEffect{Kind: "carry-over", Test: Test{Term: "previous sample", Role: RoleL1, Unit: "score", Stat: "F",
		Blocks: []string{"assessor", "sitting"}, Question: "did the sample before change the scores?",
		Method: "what was tasted before, within each assessor's sitting, samples and places removed"}}
	defer func() { out.Place = append(out.Place, place, carry) }()
	fail := func(p *PlaceEffect, why, need string) {
		p.Absent, p.Test = why, p.Test.without(why, need)
	}
	sv := tb.served()
	if len(sv.y) == 0 {
		why := "the serving order was not recorded"
		fail(&place, why, "write down the position of each sample")
		fail(&carry, why, "write down the position of each sample")
		return
	}
	if sv.places < 2 {
		fail(&place, "everything was served at one place", "")
	} else {
		sv.place(tb, &place, fail)
	}
	sv.carry(tb, &carry, fail)
}

// sittings are the rows with a recorded place.
type sittings struct {
	y                             []float64
	block, sample, position, prev []int
	samples, places, cells        int
	labels                        []int // the place that each code of position stands for
}

// served collects the rows with a place; prev is the cell of the sample before,
// -1 for the first of a sitting.
func (tb *table) served() sittings {
	var s sittings
	var keep []int
	for i, r := range tb.rows {
		if r.Position > 0 && r.Assessor != "" {
			keep = append(keep, i)
		}
	}
	sub := tb.groups
	sample, n := product(sub[string(trial.ByCook)].Code, tb.method)
	cell, cells := tb.cellCodes()
	if n > mostSamples {
		sample, n = cell, cells
	}
	s.samples, s.cells = n, cells
	sitting := map[string]int{}
	placeOf := map[int]int{}
	for _, i := range keep {
		placeOf[tb.rows[i].Position] = 0
	}
	for p := range placeOf {
		s.labels = append(s.labels, p)
	}
	sort.Ints(s.labels)
	for c, p := range s.labels {
		placeOf[p] = c
	}
	s.places = len(s.labels)
	rowsOf := map[int][]int{}
	for k, i := range keep {
		r := tb.rows[i]
		key := strconv.Quote(r.Assessor) + strconv.Quote(r.Sitting)
		b, ok := sitting[key]
		if !ok {
			b = len(sitting)
			sitting[key] = b
		}
		s.y = append(s.y, tb.y[i])
		s.block = append(s.block, b)
		s.sample = append(s.sample, sample[i])
		s.position = append(s.position, placeOf[r.Position])
		s.prev = append(s.prev, -1)
		rowsOf[b] = append(rowsOf[b], k)
	}
	for b := 0; b < len(sitting); b++ {
		rows := append([]int(nil), rowsOf[b]...)
		sort.SliceStable(rows, func(x, y int) bool { return s.position[rows[x]] < s.position[rows[y]] })
		for j := 1; j < len(rows); j++ {
			// Only the place directly before counts: a gap is a sample that is not known.
			if s.labels[s.position[rows[j]]]-s.labels[s.position[rows[j-1]]] == 1 {
				s.prev[rows[j]] = cell[keep[rows[j-1]]]
			}
		}
	}
	return s
}

func (s sittings) place(tb *table, out *PlaceEffect, fail func(*PlaceEffect, string, string)) {
	names, cols := indicators("sample", s.sample, s.samples)
	at := len(cols)
	n, c := indicators("place", s.position, s.places)
	names, cols = append(names, n...), append(cols, c...)
	fit := fitWithin(s.block, s.y, names, cols)
	if fit.err != nil {
		fail(out, plain(fit.err), "serve in more than one order")
		return
	}
	var rows []map[int]float64
	for p := 1; p < s.places; p++ {
		rows = append(rows, map[int]float64{at + p - 1: 1})
	}
	out.Test = fit.test(out.Test, rows)
	if out.Test.Cannot != "" {
		out.Absent = out.Test.Cannot
		return
	}
	grand := mean(s.y)
	count := make([]int, s.places)
	sum := make([]float64, s.places)
	for i, p := range s.position {
		count[p]++
		sum[p] += s.y[i]
	}
	for p := 0; p < s.places; p++ {
		// The place against the average of all places: the mean is the overall mean
		// plus this, and its error is that of the difference.
		w := map[int]float64{}
		for q := 1; q < s.places; q++ {
			w[at+q-1] = -1 / float64(s.places)
		}
		if p > 0 {
			w[at+p-1]++
		}
		d, ok := fit.difference(w, 0.95)
		if !ok {
			continue
		}
		arm := Arm{Arm: "place " + strconv.Itoa(s.labels[p]), Term: "place", SetPoint: absent("not a set point"), N: count[p], Obs: count[p],
			Covers: "pieces and tasters only", RawMean: sum[p] / math.Max(1, float64(count[p]))}
		arm.Mean, arm.SE, arm.DF = num(grand+d.Estimate.Or(0)), d.SE, d.DF
		arm.Low, arm.High = d.Low, d.High
		if v, ok := d.Low.Get(); ok {
			arm.Low, arm.High = num(grand+v), num(grand+d.High.Or(0))
		}
		out.Arms = append(out.Arms, arm)
	}
}

func (s sittings) carry(tb *table, out *PlaceEffect, fail func(*PlaceEffect, string, string)) {
	block := append([]int(nil), s.block...)
	known := 0
	for i, p := range s.prev {
		if p < 0 {
			block[i] = -1
		} else {
			known++
		}
	}
	if known == 0 || s.cells < 2 {
		fail(out, "nobody tasted two samples at places next to each other", "record the position of every sample of a sitting")
		return
	}
	names, cols := indicators("sample", s.sample, s.samples)
	n, c := indicators("place", s.position, s.places)
	names, cols = append(names, n...), append(cols, c...)
	at := len(cols)
	n, c = indicators("previous", s.prev, s.cells)
	names, cols = append(names, n...), append(cols, c...)
	fit := fitWithin(block, s.y, names, cols)
	if fit.err != nil {
		fail(out, plain(fit.err), "serve in more than one order")
		return
	}
	var rows []map[int]float64
	for p := 1; p < s.cells; p++ {
		rows = append(rows, map[int]float64{at + p - 1: 1})
	}
	out.Test = fit.test(out.Test, rows)
	if out.Test.Cannot != "" {
		out.Absent = fmt.Sprint("not tested: ", out.Test.Cannot)
	}
}
