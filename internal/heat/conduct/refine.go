package conduct

// Extrapolated solves a problem on three grids, each with its cells and steps cut
// in two, and takes the readings at o.Times to the limit (Richardson). Cells and
// steps leave errors of the second, third and fourth order; two of them go. It
// costs about twenty times one solution, and is for checks and for numbers that
// others are measured against. Errors are those of Solve; ErrInput too for no
// times. Times outside the phases give the first or the last point.
func Extrapolated(p Problem, o Options) ([]Reading, error) {
	if len(o.Times) == 0 {
		return nil, bad("no times to read at")
	}
	var levels [3][]Reading
	for i := range levels {
		finer := o
		finer.Halvings += i
		c, err := Solve(p, finer)
		if err != nil {
			return nil, err
		}
		for _, t := range o.Times {
			x := c.At(t)
			levels[i] = append(levels[i], Reading{Seconds: t, Bath: x.Bath, Centre: x.Core, Mean: x.Mean, Surface: x.Surface})
		}
	}
	out := levels[2]
	for i := range out {
		a, b, c := levels[0][i], levels[1][i], levels[2][i]
		out[i].Bath = limit(a.Bath, b.Bath, c.Bath)
		out[i].Centre = limit(a.Centre, b.Centre, c.Centre)
		out[i].Mean = limit(a.Mean, b.Mean, c.Mean)
		out[i].Surface = limit(a.Surface, b.Surface, c.Surface)
	}
	return out, nil
}

// limit takes the errors of the second and of the third order out of three values
// whose steps are halved each time.
func limit(a, b, c float64) float64 {
	ab, bc := b+(b-a)/3, c+(c-b)/3 // 2² - 1
	return bc + (bc-ab)/7          // 2³ - 1
}
