package fairness

import (
	"math"
	"math/rand/v2"
	"testing"

	"tamis/internal/trial"
)

// served gives each score a place by a rule on taster, session, arm and piece.
func served(place func(who, session, arm, piece int) int) func(*trial.Trial) {
	return func(tr *trial.Trial) {
		for i := range tr.Panel.V.Scores {
			s := &tr.Panel.V.Scores[i]
			who := map[string]int{"anna": 0, "ben": 1, "cleo": 2, "dora": 3, "emil": 4, "freya": 5}[s.Assessor]
			s.Position = trial.Some(place(who, int(s.Session.V[1]-'1'), int(s.Cook[2]-'1'), int(s.Piece.V[3]-'a')))
		}
	}
}

func TestTastingOrderUneven(t *testing.T) {
	t.Parallel()
	fixed := func(_, _, arm, piece int) int { return 1 + 2*arm + piece }
	shuffled := func(seed uint64) func(who, session, arm, piece int) int {
		orders := map[[2]int][]int{}
		r := rand.New(rand.NewPCG(seed, 3))
		return func(who, session, arm, piece int) int {
			key := [2]int{who, session}
			if orders[key] == nil {
				orders[key] = r.Perm(6)
			}
			return 1 + orders[key][2*arm+piece]
		}
	}
	outcomes(t, "tasting-order-uneven", []expect{
		{name: "cold to hot, everybody", trial: changed(served(fixed)), outcome: Fires, severity: Blocks, value: 2, about: AboutTasted,
			says: "Everyone tasted in the same order: 46 °C, 46 °C, 50 °C, 50 °C, 54 °C and 54 °C"},
		{name: "plain first, everybody", trial: changed(served(fixed)), factor: "brine", outcome: Fires, severity: Blocks, value: 1},
		{name: "cold to hot, all but one taster", trial: changed(func(tr *trial.Trial) {
			random := shuffled(4)
			served(func(who, session, arm, piece int) int {
				if who == 0 {
					return random(who, session, arm, piece)
				}
				return fixed(who, session, arm, piece)
			})(tr)
		}), outcome: Fires, severity: Weakens},
		{name: "cold first for half", trial: changed(served(func(who, _, arm, piece int) int {
			if who < 3 {
				return 1 + 2*arm + piece
			}
			return 1 + 2*((arm+who)%3) + piece
		})), outcome: Fires, severity: Weakens, says: "came at place"},
		{name: "Williams", trial: func(t testing.TB) *trial.Trial { return sound(t) }, outcome: Clear},
		{name: "few sittings", trial: changed(func(tr *trial.Trial) {
			served(func(who, _, arm, piece int) int { return 1 + 2*((arm+who)%3) + piece })(tr)
			keepScores(tr, func(s trial.Score) bool { return s.Session.V == "s1" && s.Assessor < "c" })
		}), outcome: Clear, says: "balanced as far as 2 sittings allow"},
		{name: "a row without a place", trial: changed(func(tr *trial.Trial) { tr.Panel.V.Scores[7].Position = trial.Opt[int]{} }), outcome: CannotJudge, missing: "scores.position"},
		{name: "one sample a sitting", trial: changed(func(tr *trial.Trial) {
			keepScores(tr, func(s trial.Score) bool { return s.Piece.V[2:] == "1a" })
		}), outcome: DoesNotApply},
		{name: "no panel", trial: snippet(""), outcome: DoesNotApply},
	})
	// Orders drawn by lot are uneven by chance, and hardly ever accused.
	accused, noted := 0, 0
	for seed := range uint64(40) {
		tr := sound(t)
		served(shuffled(100 + seed))(tr)
		switch f := ask(t, "tasting-order-uneven", "", tr, Cooked); {
		case f.Severity > Note:
			accused++
		case f.Outcome == Fires:
			noted++
		}
	}
	// Expected of 40: 0.2 accused and 4 noted; more than 2 and 10 have a chance below
	// 0.1 % and 0.2 % (binomial).
	if accused > 2 || noted > 10 {
		t.Errorf("of 40 orders by lot %d accused and %d noted", accused, noted)
	}
}

// TestPlacesExpected holds the expected χ² under shuffling against the mean of
// many shuffles, and that the table is the layout's.
func TestPlacesExpected(t *testing.T) {
	t.Parallel()
	tr := sound(t)
	set, _, err := newSettings(tr, nil)
	if err != nil {
		t.Fatal(err)
	}
	f := factsOf(tr, set)
	c := &Case{Trial: tr, Factor: f.factors[0], Stage: Cooked, set: set, facts: f}
	all, _ := c.sittings()
	pl := c.placesOf(all)
	statistic := pl.chiSquare()
	r := rand.New(rand.NewPCG(1, 2))
	const draws = 4000
	var total, squares float64
	level := append([]int(nil), pl.level...)
	for range draws {
		for from := 0; from < len(level); from += 6 { // sittings of six
			r.Shuffle(6, func(i, j int) { level[from+i], level[from+j] = level[from+j], level[from+i] })
		}
		x := statistic(level)
		total, squares = total+x, squares+x*x
	}
	mean := total / draws
	se := math.Sqrt((squares/draws - mean*mean) / draws)
	if math.Abs(mean-pl.even2) > 4*se {
		t.Errorf("expected χ² %v, mean of %d shuffles %v ± %v", pl.even2, draws, mean, se)
	}
	for l := range pl.even {
		for at, e := range pl.even[l] {
			if math.Abs(e-6) > 1e-12 { // 18 sittings, a third of each place
				t.Errorf("expected count %v at level %d, place %d", e, l, at)
			}
		}
	}
}
