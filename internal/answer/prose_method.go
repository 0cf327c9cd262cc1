package answer

import (
	"strings"

	"tamis/internal/texture"
)

// method is the methods paragraph.
func (b *builder) method() []Sentence {
	if len(b.r.Units) == 0 {
		return nil
	}
	var out []Sentence
	for _, u := range b.r.Units {
		out = append(out, Say("The unit of ", factorWords(u.Factor), " is the ", u.Unit, " (n = ", Quantity{Kind: Count, Value: float64(u.N)}, ")."))
	}
	out = append(out, Say("Tests and intervals of a factor come from the residual stratum of its unit: unit means, with session and declared blocks removed",
		" [1]. A linear mixed model fitted by REML stands beside them, with Satterthwaite's degrees of freedom [2, 3]."))
	if len(b.head0()) > 0 {
		out = append(out, Say("Means of cooks were fitted by a constant, a line, a parabola and logistic curves, weighed by AICc [4]; the window is the share of ",
			Quantity{Kind: Count, Value: float64(b.r.Draws)}, " redrawn worlds in which every aim holds, with Student's width at the degrees of freedom of the cooks (seed ",
			Quantity{Kind: Count, Value: float64(b.r.Seed)}, ")."))
	}
	out = append(out, Say("Differences between means are adjusted by Tukey's procedure, or by Dunnett's against a declared control; letters follow Piepho [5]. Differences between the levels of a treatment are not adjusted. Intervals are at ",
		Quantity{Kind: Share, Value: b.r.Level}, ". Computed by tamis ", strings.TrimSpace(b.r.Version), "."))
	for _, c := range b.r.Doubts.Changed {
		out = append(out, Say("The threshold "+c.Name+" of the checks was set to "+c.Value+"; its default is "+c.Default+"."))
	}
	return out
}

func (b *builder) head0() []texture.Window { return b.r.Windows }

func references() []string {
	return []string{
		"Cochran, W. G. and Cox, G. M. (1957). Experimental Designs, 2nd ed. Wiley.",
		"Bates, D., Mächler, M., Bolker, B. and Walker, S. (2015). Journal of Statistical Software 67(1).",
		"Kuznetsova, A., Brockhoff, P. B. and Christensen, R. H. B. (2017). Journal of Statistical Software 82(13).",
		"Hurvich, C. M. and Tsai, C.-L. (1989). Biometrika 76, 297–307.",
		"Piepho, H.-P. (2004). Journal of Computational and Graphical Statistics 13, 456–466.",
	}
}
