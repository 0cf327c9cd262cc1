package agree

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"sync"
	"sync/atomic"

	"tamis/internal/stats"
)

// SegmentOptions: zero values mean the defaults.
type SegmentOptions struct {
	Seed  uint64
	Draws int     // draws of the comparison, 499
	Alpha float64 // level of the claim, 0.05
}

// SegmentResult is the answer of Segments.
type SegmentResult struct {
	// People used; Skipped have a product missing.
	People, Skipped int
	// Group of each row, 0 or 1, −1 for skipped. Group 0 is the larger one (with
	// equal sizes that of the first person).
	Group []int
	Size  [2]int
	// Means is the mean liking by group and product.
	Means [2][]float64
	// Index is the variation within the two groups as a share of all variation of
	// preferences, and Silhouette the mean silhouette width (−1 to 1).
	Index, Silhouette float64
	// P is the share of draws from one homogeneous crowd, of the same spread and
	// the same links between products, that split at least as cleanly.
	P     float64
	Draws int
	// Claimed: P ≤ Alpha and the smaller group has at least 5 people and a tenth of
	// all (house rule). Only then may groups be spoken of. SameFavourite: both
	// groups like the same product best, so they differ in the rest only.
	Claimed       bool
	SameFavourite bool
	Warnings      []stats.Warning
}

const (
	minPeople      = 10
	maxPeople      = 5000
	minSegment     = 5
	minSegmentPart = 0.1
)

// Segments looks for two groups of people with different preferences in a people ×
// products table of liking; NaN marks a product not tasted, and such people are
// left out and counted. Each person's own level is taken off first, so generous
// scorers are no segment.
//
// The split is by two means from fixed starts (the signs of the first principal
// components), so it is the same on every run. Any data can be split; whether the
// split means anything is judged against Draws tables of one normal crowd with the
// covariance seen (the idea of Liu et al. 2008, J. Am. Stat. Assoc. 103:1281),
// with the (b + 1)/(m + 1) rule. A long but unbroken range of tastes is therefore no
// pair of segments.
//
// Whether people differ at all beyond their repeatability is another question,
// answered by Panel's Crossover when people tasted twice.
//
// Errors: ErrEmpty, ErrLengths, ErrNonFinite, ErrTooFew (10 complete people, 2
// products), ErrTooLarge (above 5000 people), ErrDomain (options), ErrNoVariation
// when all people have the same preferences.
func Segments(liking [][]float64, opt SegmentOptions) (SegmentResult, error) {
	if opt.Draws == 0 {
		opt.Draws = 499
	}
	if opt.Alpha == 0 {
		opt.Alpha = 0.05
	}
	if err := checkShare("alpha", opt.Alpha); err != nil {
		return SegmentResult{}, err
	}
	if opt.Draws < 19 || opt.Draws > 100_000 {
		return SegmentResult{}, fmt.Errorf("%w: %d draws, 19 to 100000", stats.ErrDomain, opt.Draws)
	}
	if err := checkLiking(liking); err != nil {
		return SegmentResult{}, err
	}
	res := SegmentResult{Group: make([]int, len(liking)), Draws: opt.Draws}
	var rows []int
	var tastes [][]float64
	for i, row := range liking {
		t, ok := centred(row)
		if !ok {
			res.Group[i] = -1
			res.Skipped++
			continue
		}
		rows = append(rows, i)
		tastes = append(tastes, t)
	}
	res.People = len(rows)
	if res.People < minPeople {
		return SegmentResult{}, fmt.Errorf("%w: %d people who tasted everything, %d needed", stats.ErrTooFew, res.People, minPeople)
	}
	if res.People > maxPeople {
		return SegmentResult{}, fmt.Errorf("%w: %d people, at most %d", stats.ErrTooLarge, res.People, maxPeople)
	}
	axes, ok := principalAxes(tastes)
	if !ok {
		return SegmentResult{}, fmt.Errorf("%w: all people have the same preferences", stats.ErrNoVariation)
	}
	group, index := split(tastes, axes)
	if group == nil {
		return SegmentResult{}, fmt.Errorf("%w: the people cannot be parted", stats.ErrNoVariation)
	}
	res.Index = index
	res.number(group, rows, liking)
	res.Silhouette = silhouette(tastes, group)

	// The comparison: one crowd, drawn along the axes with the variances seen.
	clean := cleanSplits(axes, res.People, opt, index)
	res.P = float64(clean+1) / float64(opt.Draws+1)
	small := min(res.Size[0], res.Size[1])
	enough := small >= minSegment && float64(small) >= minSegmentPart*float64(res.People)
	res.Claimed = res.P <= opt.Alpha && enough
	switch {
	case res.P > opt.Alpha:
		res.Warnings = append(res.Warnings, stats.Warning{
			ID:   "no-segments",
			Text: "One crowd with a range of tastes splits as cleanly as these people do, so there are no segments to speak of.",
		})
	case !enough:
		res.Warnings = append(res.Warnings, stats.Warning{
			ID:   "segment-too-small",
			Text: "A few people stand apart, too few to be called a segment. Need is the least number of people in it.",
			Need: math.Max(minSegment, math.Ceil(minSegmentPart*float64(res.People))),
		})
	}
	return res, nil
}

// cleanSplits counts the draws of one crowd that split at least as cleanly as
// index. Every draw has a generator of its own and only a count is kept, so the
// number of workers changes nothing.
func cleanSplits(a axes, people int, opt SegmentOptions, index float64) int {
	var next, clean atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), opt.Draws) {
		wg.Go(func() {
			for {
				d := next.Add(1) - 1
				if d >= int64(opt.Draws) {
					return
				}
				crowd := a.draw(people, rand.New(rand.NewPCG(opt.Seed, uint64(d))))
				own, ok := principalAxes(crowd)
				if !ok {
					continue
				}
				if g, i := split(crowd, own); g != nil && i <= index {
					clean.Add(1)
				}
			}
		})
	}
	wg.Wait()
	return int(clean.Load())
}

// centred takes a person's own mean off; ok is false with a hole.
func centred(row []float64) ([]float64, bool) {
	for _, x := range row {
		if math.IsNaN(x) {
			return nil, false
		}
	}
	m := mean(row)
	out := make([]float64, len(row))
	for j, x := range row {
		out[j] = x - m
	}
	return out, true
}

// number names the larger group 0 and fills sizes and means.
func (r *SegmentResult) number(group, rows []int, liking [][]float64) {
	ones := 0
	for _, g := range group {
		ones += g
	}
	flip := 2*ones > len(group) || (2*ones == len(group) && group[0] == 1)
	k := len(liking[0])
	r.Means[0], r.Means[1] = make([]float64, k), make([]float64, k)
	for i, row := range rows {
		if flip {
			group[i] = 1 - group[i]
		}
		g := group[i]
		r.Group[row] = g
		r.Size[g]++
		for j, x := range liking[row] {
			r.Means[g][j] += x
		}
	}
	best := [2]int{}
	for g := range r.Means {
		for j := range k {
			r.Means[g][j] /= float64(r.Size[g])
			if r.Means[g][j] > r.Means[g][best[g]] {
				best[g] = j
			}
		}
	}
	r.SameFavourite = best[0] == best[1]
}
