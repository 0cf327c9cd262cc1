package size

import (
	"math"
	"math/rand/v2"
)

// Design is the size of a trial: what there is of everything.
type Design struct {
	SetPoints int `json:"set_points"`
	Cooks     int `json:"cooks_per_set_point"`
	Sessions  int `json:"sessions"`
	Pieces    int `json:"pieces_per_cook"`
	// Assessors is 0 for a measure that nobody tastes: one number a piece.
	Assessors int `json:"assessors"`
	// Tastes is how many pieces of a cook each assessor scores; 0 stands for all.
	Tastes int `json:"pieces_tasted"`
	// Panel is how many people there are for each who scores a piece, where a factor
	// is varied from piece to piece and not everybody scores every piece: Assessors
	// then counts those who score one. 0 stands for 1.
	Panel float64 `json:"people_per_assessor,omitempty"`
	// OtherDF are residual degrees of freedom that other factors take, varied from
	// cook to cook beside the set point and balanced with it.
	OtherDF int `json:"df_of_other_factors"`
	// Within is the number of levels of a factor that is varied from piece to piece
	// within every cook. Where it is there, its levels are compared, not the set
	// points.
	Within int `json:"levels_within_cook"`
	// Sources is how many sources the pieces of a cook come from, each split over
	// all levels; 0 where that is not so, or not known. With Within only.
	Sources int `json:"sources_per_cook"`
}

// Spread are standard deviations, in the unit of the measure.
type Spread struct {
	Cooks  float64 `json:"cooks"`  // between cooks of one set point, in one session
	Pieces float64 `json:"pieces"` // between pieces of a cook
	// Scores is what is left between scores of one piece by one assessor; of a
	// measure that nobody tastes, between readings of a piece.
	Scores float64 `json:"scores"`
	// AssessorArm is how differently assessors see the set points. For the panel
	// that tastes it is part of the set points' means, so it enters claims about
	// other panels only, and the simulation, where it must cancel.
	AssessorArm float64 `json:"assessor_by_set_point"`
	// Assessors and Sessions cancel in every comparison of this package. They are
	// simulated all the same.
	Assessors float64 `json:"assessors"`
	Sessions  float64 `json:"sessions"`
}

// People is how many have to be asked, so that Assessors score each piece.
func (d Design) People() int {
	return int(math.Ceil(float64(d.Assessors)*max(1, d.Panel) - 1e-9))
}

// TotalCooks is the number of cooks of all set points.
func (d Design) TotalCooks() int { return d.SetPoints * d.Cooks }

// tasted is how many pieces of a cook each assessor scores.
func (d Design) tasted() int {
	if d.Tastes < 1 || d.Tastes > d.Pieces {
		return d.Pieces
	}
	return d.Tastes
}

// visits lists the pieces of a cook in the order in which they are scored:
// assessor after assessor, each going on where the one before left off.
func (d Design) visits() []int {
	if d.Assessors == 0 {
		out := make([]int, d.Pieces)
		for p := range out {
			out[p] = p
		}
		return out
	}
	out := make([]int, 0, d.Assessors*d.tasted())
	for a := range d.Assessors {
		for j := range d.tasted() {
			out = append(out, (a*d.tasted()+j)%d.Pieces)
		}
	}
	return out
}

// Below is the variance of a cook's mean that comes from its pieces and scores:
//
//	σ²_pieces·Σ n_p²/n² + σ²_scores/n
//
// with n scores of a cook, n_p of them of piece p. When every piece is scored
// equally often this is σ²_pieces/pieces + σ²_scores/n. It follows from the mean
// of n scores y = cook + piece + score with independent parts. Assessors do not
// enter: the same people score every cook.
func (d Design) Below(s Spread) float64 {
	count := make([]float64, d.Pieces)
	n := 0.0
	for _, p := range d.visits() {
		count[p]++
		n++
	}
	squares := 0.0
	for _, c := range count {
		squares += c * c
	}
	return s.Pieces*s.Pieces*squares/(n*n) + s.Scores*s.Scores/n
}

// CookMeanSD is the standard deviation of a cook's mean within a set point,
// √(σ²_cooks + Below). It is the standard deviation of one unit.
func (d Design) CookMeanSD(s Spread) float64 { return math.Sqrt(s.Cooks*s.Cooks + d.Below(s)) }

// counts is the number of cooks of each set point in each session.
func (d Design) counts() [][]int {
	out := make([][]int, d.SetPoints)
	for i := range out {
		out[i] = make([]int, d.Sessions)
	}
	for q, arm := range d.armOf() {
		out[arm][d.sessionOf(q)]++
	}
	return out
}

// sessionOf is the session of cook q: runs of all set points follow each other
// and are cut into sessions of equal length, to one cook. Sessions are complete
// where the cooks of a set point are a multiple of them.
func (d Design) sessionOf(q int) int { return q * d.Sessions / d.TotalCooks() }

// armOf is the set point of each cook. Where a session is shorter than a run, each
// run has an order of its own, the one of a few shuffles that brings together set
// points that met least so far: it keeps the sum of the squared concurrences small
// ((M,S)-optimality; Eccleston & Hedayat 1974, Ann. Stat. 2:1238, from memory).
// The shuffles depend on nothing but the run, so a design has one layout.
func (d Design) armOf() []int {
	k, n := d.SetPoints, d.TotalCooks()
	out := make([]int, 0, n)
	if n >= k*d.Sessions { // a session holds a run or more
		for q := range n {
			out = append(out, q%k)
		}
		return out
	}
	met := make([]int, k*k)
	eachPair := func(run []int, do func(a, b int)) {
		first := len(out)
		for i := range run {
			for j := range i {
				if d.sessionOf(first+i) == d.sessionOf(first+j) {
					do(run[i], run[j])
				}
			}
			for q := first - 1; q >= 0 && d.sessionOf(q) == d.sessionOf(first+i); q-- {
				do(run[i], out[q])
			}
		}
	}
	const shuffles = 24
	for r := range d.Cooks {
		rng := rand.New(rand.NewPCG(uint64(k), uint64(r)))
		var best []int
		least := -1
		for range shuffles {
			run := rng.Perm(k)
			sum := 0
			eachPair(run, func(a, b int) {
				if a == b {
					sum += 4 * n // twice in a session teaches nothing
				}
				sum += 2*met[a*k+b] + 1
			})
			if least < 0 || sum < least {
				best, least = run, sum
			}
		}
		eachPair(best, func(a, b int) { met[a*k+b]++; met[b*k+a]++ })
		out = append(out, best...)
	}
	return out
}
