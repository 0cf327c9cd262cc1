package order

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// panel is a random panel that is served in flights: in each session some samples
// of some set points, dealt to flights, and people who taste all of them or a few.
type panel struct {
	start, part [][]int
	arm         []int
	complete    bool
}

func somePanel(rng *rand.Rand, most, people int) panel {
	var p panel
	arms := 2 + rng.IntN(4)
	p.complete = rng.IntN(2) == 0
	for range 1 + rng.IntN(3) {
		var pool, flight []int
		flights := 1 + rng.IntN(3)
		for range 2 + rng.IntN(most-1) {
			pool = append(pool, len(p.arm))
			p.arm = append(p.arm, rng.IntN(arms))
			flight = append(flight, rng.IntN(flights))
		}
		for range 1 + rng.IntN(people) {
			size := len(pool)
			if !p.complete {
				size = 1 + rng.IntN(size)
			}
			at := rng.Perm(len(pool))[:size]
			slices.SortFunc(at, func(a, b int) int { return 100*(flight[a]-flight[b]) + a - b })
			var row, part []int
			for _, i := range at {
				row, part = append(row, pool[i]), append(part, flight[i])
			}
			p.start, p.part = append(p.start, row), append(p.part, part)
		}
	}
	return p
}

// costs counts from the definition: over set points and places, and over set points
// and what comes right after them, the squared distance from what a blind order of
// each sitting would give.
func (p panel) costs(rows [][]int) (place, after float64) {
	at, next := map[[2]int]float64{}, map[[2]int]float64{}
	for _, row := range rows {
		m := float64(len(row))
		for i, x := range row {
			at[[2]int{p.arm[x], i}]++
			if i > 0 {
				next[[2]int{p.arm[row[i-1]], p.arm[x]}]++
			}
			for k, y := range row {
				at[[2]int{p.arm[x], k}] -= 1 / m
				if y != x {
					next[[2]int{p.arm[x], p.arm[y]}] -= 1 / m
				}
			}
		}
	}
	sum := func(all map[[2]int]float64) (s float64) {
		for _, v := range all {
			s += v * v
		}
		return s
	}
	return sum(at), sum(next)
}

// each calls f with every arrangement within flights.
func (p panel) each(f func([][]int)) {
	rows := deep(nil, p.start)
	var turn func(i, k int)
	turn = func(i, k int) {
		switch {
		case i == len(rows):
			f(rows)
		case k >= len(rows[i]):
			turn(i+1, 0)
		default:
			for m := k; m < len(rows[i]) && p.part[i][m] == p.part[i][k]; m++ {
				rows[i][k], rows[i][m] = rows[i][m], rows[i][k]
				turn(i, k+1)
				rows[i][k], rows[i][m] = rows[i][m], rows[i][k]
			}
		}
	}
	turn(0, 0)
}

func (p panel) ways() float64 {
	n := 1.0
	for i := range p.start {
		run := 0.0
		for k := range p.start[i] {
			if k > 0 && p.part[i][k] == p.part[i][k-1] {
				run++
			} else {
				run = 1
			}
			n *= run
		}
	}
	return n
}

// Where every arrangement can be tried, none is better than what is found: places
// and successions together differ as little from an even order as the flights
// allow. No sample leaves its flight.
func TestArrangeWithinFlightsIsTheBest(t *testing.T) {
	t.Parallel()
	n, tried := 150, 0
	if testing.Short() {
		n = 40
	}
	for i := range n {
		rng := rand.New(rand.NewPCG(uint64(i), 4))
		p := somePanel(rng, 4, 3)
		if p.ways() > 3000 || p.ways() < 4 {
			continue
		}
		tried++
		got, err := ArrangeWithin(p.start, p.part, len(p.arm), [][]int{p.arm}, lot(uint64(i)))
		if err != nil {
			t.Fatal(err)
		}
		p.keeps(t, got)
		place, after := p.costs(got)
		least := math.Inf(1)
		p.each(func(rows [][]int) {
			a, b := p.costs(rows)
			least = math.Min(least, weighPlace*a+weighAfter*b)
		})
		if have := weighPlace*place + weighAfter*after; have > least+1e-9 {
			t.Errorf("panel %d %v in flights %v: %v costs %g, the best %g", i, p.start, p.part, got, have, least)
		}
	}
	if tried < n/8 {
		t.Errorf("%d panels tried of %d: this says too little", tried, n)
	}
}

// keeps fails where a sample has left its sitting or its flight.
func (p panel) keeps(t *testing.T, got [][]int) {
	t.Helper()
	for i, row := range got {
		was := map[string]int{}
		for k, x := range p.start[i] {
			was[fmt.Sprint(x, " in ", p.part[i][k])]++
			was[fmt.Sprint(row[k], " in ", p.part[i][k])]--
		}
		for what, n := range was {
			if n != 0 {
				t.Fatalf("sitting %d: sample %s, %d too many", i, what, n)
			}
		}
	}
}

// Large panels: of hundreds of arrangements drawn by lot none is more even.
// Where everybody tastes everything of one session, a set point with m samples among
// the L places of a flight stands at each of them m/L of the time, give or take one.
func TestArrangeWithinFlightsOfLargePanels(t *testing.T) {
	t.Parallel()
	n := 60
	if testing.Short() {
		n = 15
	}
	exact := 0
	for i := range n {
		rng := rand.New(rand.NewPCG(uint64(i), 9))
		p := somePanel(rng, 10, 14)
		got, err := ArrangeWithin(p.start, p.part, len(p.arm), [][]int{p.arm}, lot(uint64(i)))
		if err != nil {
			t.Fatal(err)
		}
		p.keeps(t, got)
		place, after := p.costs(got)
		for range 300 {
			by := deep(nil, p.start)
			for r, row := range by {
				for k := range row {
					m := rng.IntN(len(row))
					if p.part[r][m] == p.part[r][k] {
						row[k], row[m] = row[m], row[k]
					}
				}
			}
			if c, d := p.costs(by); weighPlace*c+weighAfter*d < weighPlace*place+weighAfter*after-1e-9 {
				t.Fatalf("panel %d: places cost %g and successions %g, and %g and %g when shuffled", i, place, after, c, d)
			}
		}
		if !p.complete || slices.Max(p.start[0]) != len(p.arm)-1 {
			continue // more than one session
		}
		exact++
		for a := range slices.Max(p.arm) + 1 {
			for k := range p.start[0] {
				var m, l, count float64
				for j := range p.start[0] {
					if p.part[0][j] == p.part[0][k] {
						l++
						if p.arm[p.start[0][j]] == a {
							m++
						}
					}
				}
				for _, row := range got {
					if p.arm[row[k]] == a {
						count++
					}
				}
				if want := m / l * float64(len(got)); math.Abs(count-want) > 1 {
					t.Errorf("panel %d: set point %d at place %d %g times, even is %g", i, a, k, count, want)
				}
			}
		}
	}
	if exact < n/15 {
		t.Errorf("%d panels with all places known: this says too little", exact)
	}
}

func TestArrangeWithinRefuses(t *testing.T) {
	t.Parallel()
	for _, part := range [][][]int{{}, {{0}}, {{0, 0}, {0}}} {
		if _, err := ArrangeWithin([][]int{{0, 1}}, part, 2, nil, lot(1)); !errors.Is(err, ErrArgument) {
			t.Errorf("parts %v: %v", part, err)
		}
	}
}
