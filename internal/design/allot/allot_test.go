package allot

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

func lot(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 1)) }

func free(n int) []int { return slices.Repeat([]int{-1}, n) }

// plain is arms × repeats without anything fixed.
func plain(arms, each, sessions, baths int) Runs {
	p := Runs{Sessions: sessions, Baths: baths, Rounds: 100, InSession: free(arms * each), InBath: free(arms * each)}
	for a := range arms {
		for range each {
			p.Arm = append(p.Arm, a)
			p.Value = append(p.Value, 44+4*float64(a))
		}
	}
	return p
}

func spreadOf(class, group []int, groups int) (worst int) {
	n := map[[2]int]int{}
	for i := range class {
		n[[2]int{class[i], group[i]}]++
	}
	for _, c := range class {
		low, high := math.MaxInt, 0
		for g := range groups {
			low, high = min(low, n[[2]int{c, g}]), max(high, n[[2]int{c, g}])
		}
		worst = max(worst, high-low)
	}
	return worst
}

// sound holds for every layout: a bath is filled once a round, orders count up,
// what is fixed stands, the bound is kept.
func sound(t *testing.T, p Runs, l Layout) {
	t.Helper()
	filled := map[[3]int]bool{}
	bySession := map[int][]int{}
	for i := range p.Arm {
		k := [3]int{l.Session[i], l.Round[i], l.Bath[i]}
		if filled[k] {
			t.Errorf("two runs fill bath %d in round %d of session %d", k[2], k[1], k[0])
		}
		filled[k] = true
		if l.Round[i] >= p.Rounds || l.Session[i] >= p.Sessions || l.Bath[i] >= p.Baths {
			t.Errorf("run %d lies outside: %v", i, k)
		}
		if s := p.InSession[i]; s >= 0 && s != l.Session[i] {
			t.Errorf("run %d is in session %d, fixed to %d", i, l.Session[i], s)
		}
		if b := p.InBath[i]; b >= 0 && b != l.Bath[i] {
			t.Errorf("run %d is in bath %d, fixed to %d", i, l.Bath[i], b)
		}
		bySession[l.Session[i]] = append(bySession[l.Session[i]], i)
	}
	for s, runs := range bySession {
		slices.SortFunc(runs, func(a, b int) int { return l.Order[a] - l.Order[b] })
		for k, i := range runs {
			if l.Order[i] != k+1 || k > 0 && l.Round[runs[k-1]] > l.Round[i] {
				t.Errorf("session %d: order %d in round %d stands at place %d", s, l.Order[i], l.Round[i], k+1)
			}
		}
	}
	if r, rho := Follows(l.Order, p.Value, l.Session); math.Abs(r) > l.Bound+1e-9 || math.Abs(rho) > l.Bound+1e-9 || r != l.R || rho != l.Rho {
		t.Errorf("order follows the set point by %v and %v, allowed %v", r, rho, l.Bound)
	}
}

func TestLayIsEven(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ arms, each, sessions, baths int }{{5, 2, 2, 3}, {6, 3, 3, 3}, {5, 3, 3, 3}, {2, 4, 2, 2}, {3, 3, 3, 1}, {4, 4, 2, 2}, {8, 2, 2, 4}} {
		p := plain(c.arms, c.each, c.sessions, c.baths)
		for seed := range uint64(6) {
			l, err := Lay(p, lot(seed))
			if err != nil {
				t.Fatal(c, err)
			}
			sound(t, p, l)
			if d := spreadOf(p.Arm, l.Session, c.sessions); d > 1 || c.each%c.sessions == 0 && d > 0 {
				t.Errorf("%v: a set point is in one session %d times more often than in another", c, d)
			}
			if d := spreadOf(p.Arm, l.Bath, c.baths); d > 1 {
				t.Errorf("%v: a set point is in one bath %d times more often than in another", c, d)
			}
			if c.arms*c.each > 4 && l.Bound > 0.5 {
				t.Errorf("%v: bound %v", c, l.Bound)
			}
		}
	}
}

// Whatever is run twice or more is as often early as late: the mean places of the
// set points in their sessions lie within a quarter of a standard deviation, if the
// runs of a set point are spread over the sessions alike. The round that is not full
// is the last in one session and the first in the next.
func TestLayTakesTurns(t *testing.T) {
	t.Parallel()
	rng := lot(8)
	n := 200
	if testing.Short() {
		n = 40
	}
	ends := map[bool]int{}
	for range n {
		sessions := 1 + rng.IntN(4)
		p := plain(2+rng.IntN(7), sessions*(1+rng.IntN(2)), sessions, 1+rng.IntN(4))
		if each := len(p.Arm) / (1 + slices.Max(p.Arm)); each < 2 {
			continue
		}
		l, err := Lay(p, lot(rng.Uint64()))
		if err != nil {
			t.Fatal(err)
		}
		sound(t, p, l)
		size := make([]int, sessions)
		for _, s := range l.Session {
			size[s]++
		}
		place := make([]float64, len(p.Arm))
		for i := range place {
			place[i] = float64(l.Order[i]) - float64(size[l.Session[i]]+1)/2
		}
		if arms := 1 + slices.Max(p.Arm); arms == 2 && size[0] == 2 && sessions%2 == 1 {
			continue // two set points once a session, an odd number of times
		}
		if d, _ := Difference(place, p.Arm); !(d <= 0.25) {
			t.Errorf("%d set points, %d runs, %d sessions of %v, %d baths: %.2f SD between early and late", 1+slices.Max(p.Arm), len(p.Arm), sessions, size, p.Baths, d)
		}
		if sessions < 2 {
			continue
		}
		for s := range sessions {
			first := 0
			for i := range l.Round {
				if l.Session[i] == s && l.Round[i] == 0 {
					first++
				}
			}
			if size[s]%p.Baths != 0 && size[s] > p.Baths {
				ends[first < p.Baths]++
			}
		}
	}
	if ends[true] == 0 || ends[false] == 0 {
		t.Errorf("the round that is not full is the first %d times and another %d times", ends[true], ends[false])
	}
}

func TestLayOnRandomProblems(t *testing.T) {
	t.Parallel()
	rng := lot(5)
	placed, refused := 0, 0
	for range 300 {
		p := plain(1+rng.IntN(6), 1+rng.IntN(4), 1+rng.IntN(3), 1+rng.IntN(3))
		p.Rounds = 1 + rng.IntN(5)
		for i := range p.Arm {
			if rng.IntN(6) == 0 {
				p.InBath[i] = rng.IntN(p.Baths)
			}
			if rng.IntN(6) == 0 {
				p.InSession[i] = rng.IntN(p.Sessions)
			}
		}
		before := slices.Concat(p.Arm, p.InBath, p.InSession)
		seed := rng.Uint64()
		l, err := Lay(p, lot(seed))
		if !slices.Equal(before, slices.Concat(p.Arm, p.InBath, p.InSession)) {
			t.Fatal("the input was altered")
		}
		if errors.Is(err, ErrNoRoom) {
			refused++
			if fits(p) {
				t.Fatalf("a layout exists and was not found: %+v", p)
			}
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		placed++
		sound(t, p, l)
		again, _ := Lay(p, lot(seed))
		if !slices.Equal(again.Order, l.Order) || !slices.Equal(again.Bath, l.Bath) {
			t.Fatal("the same seed gives two layouts")
		}
	}
	if placed < 50 || refused < 20 {
		t.Errorf("%d laid out and %d refused say too little", placed, refused)
	}
}

// fits decides by another way whether runs fit: Hall's condition over all sets
// of kinds of run, where a kind is its fixed session and bath.
func fits(p Runs) bool {
	kinds := map[[2]int]int{}
	for i := range p.Arm {
		kinds[[2]int{p.InSession[i], p.InBath[i]}]++
	}
	var list [][2]int
	for k := range kinds {
		list = append(list, k)
	}
	for set := 1; set < 1<<len(list); set++ {
		runs, places := 0, 0
		for s := range p.Sessions {
			for b := range p.Baths {
				for i, k := range list {
					if set&(1<<i) != 0 && (k[0] < 0 || k[0] == s) && (k[1] < 0 || k[1] == b) {
						places += p.Rounds
						break
					}
				}
			}
		}
		for i, k := range list {
			if set&(1<<i) != 0 {
				runs += kinds[k]
			}
		}
		if runs > places {
			return false
		}
	}
	return true
}

func TestLayRefuses(t *testing.T) {
	t.Parallel()
	p := plain(3, 1, 1, 1)
	p.Rounds = 2
	if _, err := Lay(p, lot(1)); !errors.Is(err, ErrNoRoom) {
		t.Error(err)
	}
	for name, spoil := range map[string]func(p *Runs){
		"no baths":       func(p *Runs) { p.Baths = 0 },
		"no sessions":    func(p *Runs) { p.Sessions = 0 },
		"a short list":   func(p *Runs) { p.InBath = nil },
		"no such bath":   func(p *Runs) { p.InBath[0] = 9 },
		"NaN":            func(p *Runs) { p.Value[0] = math.NaN() },
		"a negative arm": func(p *Runs) { p.Arm[0] = -1 },
		"a short class":  func(p *Runs) { p.Classes = [][]int{{0}} },
		"no such class":  func(p *Runs) { p.Classes = [][]int{{0, 0, -1}} },
	} {
		p := plain(3, 1, 1, 1)
		spoil(&p)
		if _, err := Lay(p, lot(1)); !errors.Is(err, ErrArgument) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := Lay(plain(3, 1, 1, 1), nil); !errors.Is(err, ErrArgument) {
		t.Error(err)
	}
	if l, err := Lay(Runs{}, lot(1)); err != nil || len(l.Order) != 0 {
		t.Error(l, err)
	}
	// Two runs in one session can only follow or lead: the bound gives way.
	if l, err := Lay(plain(2, 1, 1, 1), lot(1)); err != nil || l.Bound != 1 {
		t.Error(l, err)
	}
}

// fish is sources × parts with sizes, to be dealt to arms × cooks.
func fish(sources, parts, arms, each, perCook int) Pieces {
	p := Pieces{Stock: sources * parts, Places: arms * each * perCook, Must: make([]bool, sources*parts)}
	rng := lot(99)
	var source, part, arm, cook []int
	var mass []float64
	for s := range sources {
		for k := range parts {
			source, part = append(source, s), append(part, k)
			mass = append(mass, 100-6*float64(k)+10*rng.NormFloat64())
		}
	}
	for a := range arms {
		for c := range each {
			for range perCook {
				arm, cook = append(arm, a), append(cook, a*each+c)
			}
		}
	}
	p.Kinds, p.Groups, p.Sizes = [][]int{source, part}, [][]int{arm, cook}, [][]float64{mass}
	p.Even, p.Alike = [][]float64{{6, 2}, {4, 1}}, [][]float64{{4, 0.1}}
	return p
}

func TestDealIsEven(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ sources, parts, arms, each, per int }{{10, 4, 5, 2, 4}, {6, 3, 6, 3, 1}, {4, 4, 4, 2, 2}, {10, 4, 5, 3, 2}, {3, 3, 3, 3, 1}} {
		p := fish(c.sources, c.parts, c.arms, c.each, c.per)
		for seed := range uint64(4) {
			at, err := Deal(p, lot(seed))
			if err != nil {
				t.Fatal(err)
			}
			seen := map[int]bool{}
			var source, part []int
			var mass []float64
			for _, i := range at {
				if seen[i] {
					t.Fatalf("piece %d lies twice", i)
				}
				seen[i] = true
				source, part, mass = append(source, p.Kinds[0][i]), append(part, p.Kinds[1][i]), append(mass, p.Sizes[0][i])
			}
			if d := spreadOf(source, p.Groups[0], c.arms); d > 1 {
				t.Errorf("%v: a source meets set points %d times more or less often", c, d)
			}
			if d := spreadOf(part, p.Groups[0], c.arms); d > 1 {
				t.Errorf("%v: a part meets set points %d times more or less often", c, d)
			}
			if d, _ := Difference(mass, p.Groups[0]); len(at) > 20 && d > 0.25 {
				t.Errorf("%v: masses differ by %.2f SD", c, d)
			}
		}
	}
}

func TestDealKeepsWhatIsFixed(t *testing.T) {
	t.Parallel()
	rng := lot(8)
	placed, refused := 0, 0
	for range 150 {
		p := fish(1+rng.IntN(4), 1+rng.IntN(4), 1+rng.IntN(3), 1+rng.IntN(2), 1+rng.IntN(2))
		only := make([]int, p.Stock) // the arm that a piece is fixed to
		for i := range only {
			only[i] = -1
			if rng.IntN(3) == 0 {
				only[i], p.Must[i] = rng.IntN(1+slices.Max(p.Groups[0])), true
			}
		}
		p.May = func(i, j int) bool { return only[i] < 0 || only[i] == p.Groups[0][j] }
		seed := rng.Uint64()
		at, err := Deal(p, lot(seed))
		if err != nil {
			var u *Unplaced
			if !errors.As(err, &u) {
				t.Fatal(err)
			}
			refused++
			continue
		}
		placed++
		used := make([]bool, p.Stock)
		for j, i := range at {
			if used[i] || !p.May(i, j) {
				t.Fatalf("piece %d at place %d: %v", i, j, at)
			}
			used[i] = true
		}
		for i, must := range p.Must {
			if must && !used[i] {
				t.Fatalf("piece %d is left over", i)
			}
		}
		again, _ := Deal(p, lot(seed))
		if !slices.Equal(at, again) {
			t.Fatal("the same seed gives two deals")
		}
	}
	if placed < 20 || refused < 20 {
		t.Errorf("%d dealt and %d refused say too little", placed, refused)
	}
	// A chain: only by moving others can the last piece be placed.
	p := Pieces{Stock: 3, Places: 3, Must: make([]bool, 3), May: func(i, j int) bool { return j == i || j == i+1 }}
	at, err := Deal(p, lot(1))
	if err != nil || !slices.Equal(at, []int{0, 1, 2}) {
		t.Error(at, err)
	}
}

func TestDealRefuses(t *testing.T) {
	t.Parallel()
	if _, err := Deal(fish(1, 2, 3, 1, 1), lot(1)); !errors.Is(err, ErrNoPiece) {
		t.Error(err)
	}
	for name, spoil := range map[string]func(p *Pieces){
		"a short kind":     func(p *Pieces) { p.Kinds[0] = nil },
		"a negative kind":  func(p *Pieces) { p.Kinds[0][0] = -1 },
		"no weights":       func(p *Pieces) { p.Even = nil },
		"a short size":     func(p *Pieces) { p.Sizes[0] = nil },
		"a short group":    func(p *Pieces) { p.Groups[0] = nil },
		"a negative group": func(p *Pieces) { p.Groups[0][0] = -2 },
		"no list of must":  func(p *Pieces) { p.Must = nil },
	} {
		p := fish(3, 2, 3, 1, 1)
		spoil(&p)
		if _, err := Deal(p, lot(1)); !errors.Is(err, ErrArgument) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if at, err := Deal(Pieces{}, lot(1)); err != nil || len(at) != 0 {
		t.Error(at, err)
	}
	p := fish(3, 2, 3, 1, 1)
	p.Sizes[0] = slices.Repeat([]float64{math.NaN()}, 6)
	if _, err := Deal(p, lot(1)); err != nil {
		t.Error("unknown sizes:", err)
	}
}

func TestDifference(t *testing.T) {
	t.Parallel()
	nan := math.NaN()
	for _, c := range []struct {
		name     string
		x        []float64
		g        []int
		d, share float64
	}{
		{"two groups", []float64{1, 3, 2, 4}, []int{0, 0, 1, 1}, 1 / math.Sqrt2, 0.4}, // gap 1, SD √2, mean 2.5
		{"no difference", []float64{1, 3, 3, 1}, []int{0, 0, 1, 1}, 0, 0},
		{"one each", []float64{1, 3}, []int{0, 1}, nan, 1},
		{"none varies within", []float64{1, 1, 3, 3}, []int{0, 0, 1, 1}, nan, 1},
		{"missing", []float64{1, 3, nan, 2, 4}, []int{0, 0, 0, 1, 1}, 1 / math.Sqrt2, 0.4},
		{"nothing", nil, nil, nan, nan},
		{"equal", []float64{5, 5}, []int{0, 1}, 0, 0},
	} {
		d, share := Difference(c.x, c.g)
		near := func(a, b float64) bool { return math.IsNaN(a) && math.IsNaN(b) || math.Abs(a-b) < 1e-12 }
		if !near(d, c.d) || !near(share, c.share) {
			t.Errorf("%s: %v, %v; want %v, %v", c.name, d, share, c.d, c.share)
		}
	}
}

func TestFollows(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name    string
		order   []int
		value   []float64
		session []int
		r, rho  float64
	}{
		{"rising", []int{1, 2, 3}, []float64{46, 50, 54}, []int{0, 0, 0}, 1, 1},
		{"up one day and down the next", []int{1, 2, 2, 1}, []float64{46, 54, 46, 54}, []int{0, 0, 1, 1}, 0, 0},
		{"within days only", []int{1, 2, 1, 2}, []float64{46, 54, 60, 70}, []int{0, 0, 1, 1}, 18 / math.Sqrt(2*164), 1},
		{"one set point", []int{1, 2}, []float64{50, 50}, []int{0, 0}, 0, 0},
		{"one run a day", []int{1, 1}, []float64{46, 50}, []int{0, 1}, 0, 0},
	} {
		r, rho := Follows(c.order, c.value, c.session)
		if math.Abs(r-c.r) > 1e-12 || math.Abs(rho-c.rho) > 1e-12 {
			t.Errorf("%s: %v, %v; want %v, %v", c.name, r, rho, c.r, c.rho)
		}
	}
}
