package texture

func (tb *table) serving(out *Measure)                  {}
func (a *analysis) sensitivity(tb *table, out *Measure) {}
