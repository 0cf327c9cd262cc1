package size

import (
	"fmt"
	"math"

	"tamis/internal/stats/power"
)

// A factor that is varied from piece to piece within every cook, such as a brine,
// is compared on pieces: each cook is a block that holds all its levels, and so is
// each source within a cook where sources are split. What differs between cooks
// cancels, and the error is what pieces of one level and one cook differ by. It is
// the sub-plot part of a split plot with the set point on the main plots
// (Yates 1935, J. R. Stat. Soc. Suppl. 2:181, from memory). The interaction of set
// point and factor is in the model of fit, so it takes its degrees of freedom too.

// within reports whether the levels of a factor of pieces are compared.
func (d Design) within() bool { return d.Within > 0 }

// blocksOfCook is how many blocks the pieces of a cook lie in.
func (d Design) blocksOfCook() int { return max(1, d.Sources) }

// checkWithin finds what does not fit together.
func (d Design) checkWithin() error {
	if !d.within() {
		if d.Sources != 0 {
			return problem("sources", "are for a factor that is varied from piece to piece", "add --within 2")
		}
		return nil
	}
	b := d.blocksOfCook()
	switch {
	case d.Within < 2 || d.Within > MostLevels:
		return problem("within", fmt.Sprintf("%d: between 2 and %d levels", d.Within, MostLevels), "write for example --within 2")
	case d.Sources < 0 || d.Sources > MostPieces:
		return problem("sources", fmt.Sprintf("%d: between 1 and %d", d.Sources, MostPieces), "")
	case d.Pieces%b != 0 || d.Pieces/b < d.Within:
		of := "every cook"
		if b > 1 {
			of = fmt.Sprintf("each of the %d sources of a cook", b)
		}
		return problem("pieces", fmt.Sprintf("%d: %s holds all %d levels, so it needs %d pieces or more", d.Pieces, of, d.Within, d.Within),
			fmt.Sprintf("write --pieces %d", d.Within*b))
	case d.Assessors > 0 && d.tasted() != d.Pieces:
		return problem("tastes", fmt.Sprintf("%d: with a factor that is varied from piece to piece, everybody is taken to score every piece", d.Tastes),
			"leave --tastes out, and count as --assessors those who score one piece")
	}
	return nil
}

// sourceOf is the block of piece p within its cook.
func (d Design) sourceOf(p int) int { return p / (d.Pieces / d.blocksOfCook()) }

// levelOf is the level of piece p in cook r of a set point. Where the pieces of a
// block are no multiple of the levels, the ones that are left over take turns from
// cook to cook, alike at every set point.
func (d Design) levelOf(r, p int) int {
	inBlock := p % (d.Pieces / d.blocksOfCook())
	return (inBlock + r) % d.Within
}

// levelCounts is the number of pieces of each level in each block.
func (d Design) levelCounts() [][]int {
	b := d.blocksOfCook()
	out := make([][]int, d.Within)
	for l := range out {
		out[l] = make([]int, d.TotalCooks()*b)
	}
	for q := range d.TotalCooks() {
		for p := range d.Pieces {
			out[d.levelOf(q/d.SetPoints, p)][q*b+d.sourceOf(p)]++
		}
	}
	return out
}

// PieceMeanSD is the standard deviation of a piece's mean over those who score it,
// within a cook and level: √(σ²_pieces + σ²_scores/assessors).
func (d Design) PieceMeanSD(s Spread) float64 {
	return math.Sqrt(s.Pieces*s.Pieces + s.Scores*s.Scores/float64(max(1, d.Assessors)))
}

// unitSD is the standard deviation of one unit of what is compared.
func (d Design) unitSD(s Spread) float64 {
	if d.within() {
		return d.PieceMeanSD(s)
	}
	return d.CookMeanSD(s)
}

// layOutWithin lays the levels out over the pieces. The interaction with the set
// point takes (set points − 1)·(levels − 1) degrees of freedom; where nothing is
// left then, it serves as the error, as in fit.
func layOutWithin(d Design, s Spread) (*closed, error) {
	l, err := power.New(d.levelCounts())
	if err != nil {
		return nil, err
	}
	l = l.Less(d.OtherDF)
	interaction := (d.SetPoints - 1) * (d.Within - 1)
	if _, below := l.DF(); below-interaction > 0 {
		l = l.Less(interaction)
	}
	c := &closed{layout: l, sd: d.PieceMeanSD(s), within: true}
	c.i, c.j = l.WorstPair()
	return c, nil
}
