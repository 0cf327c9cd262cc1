package answer

// Topic explains one method: what is computed, why so, and from where.
type Topic struct {
	Slug   string `json:"slug"`
	Name   string `json:"name"`
	What   string `json:"what"`
	Why    string `json:"why"`
	How    string `json:"how"`
	Limits string `json:"limits"`
	Source string `json:"source"`
}

// Topics lists the methods that a result rests on.
func Topics() []Topic { return append([]Topic(nil), topics...) }

// TopicNamed finds a method by its slug.
func TopicNamed(slug string) (Topic, bool) {
	for _, t := range topics {
		if t.Slug == slug {
			return t, true
		}
	}
	return Topic{}, false
}

var topics = []Topic{
	{
		Slug: "unit", Name: "the unit of a factor",
		What:   "The unit is what a factor was applied to, and the number of units is the n that counts. A set point is applied to a bath run, so its unit is the cook. A brine that differs from piece to piece has the piece.",
		Why:    "Pieces of one cook share everything that was odd about that cook. Counting them as so many cooks makes chance look like an effect.",
		How:    "Of session, block, source, tub, cook, piece and score, the coarsest within which the factor never varies. Where two are crossed, the one with fewer levels; the other stays a level of variation.",
		Limits: "With one cook at each set point the set point cannot be told from the cook. Intervals then cover pieces and tasters only, and are not called intervals of the set point.",
		Source: "Hurlbert (1984), Ecological Monographs 54, 187–211, from memory; Cochran and Cox (1957), Experimental Designs.",
	},
	{
		Slug: "headline-test", Name: "the test that is named first",
		What:   "An F test on unit means, with sessions and declared blocks removed, on the degrees of freedom of the units.",
		Why:    "A mixed model whose cook variance is estimated as 0 takes its degrees of freedom from pieces and tasters, and then finds effects too often. The test on unit means keeps its 5 %.",
		How:    "The mean of each unit, or its adjusted estimate where tasting is incomplete; then the residual stratum of the unit. A linear mixed model stands beside it with its status.",
		Limits: "It speaks about these assessors. Whether another panel would say the same is another question, with another interval.",
		Source: "Cochran and Cox (1957); Bates and others (2015), Journal of Statistical Software 67(1); Kuznetsova and others (2017), 82(13).",
	},
	{
		Slug: "curve", Name: "the curve",
		What:   "A measure against the set point: a constant, a line, a parabola and logistic curves, averaged by how well each predicts.",
		Why:    "One curve that was picked because it fits hides how unsure the pick is.",
		How:    "Generalised least squares through the cell estimates with their covariance and a cook variance; weights by AICc from maximum likelihood. Every redraw fits all candidates again.",
		Limits: "No more parameters than set points less one. With two set points only a constant and a line, and no shape can be seen. Nothing is said beyond a tenth of the range.",
		Source: "Hurvich and Tsai (1989), Biometrika 76, 297–307.",
	},
	{
		Slug: "window", Name: "the window and its chance",
		What:   "The set points at which every aim holds, with the share of redrawn worlds in which they do: for the mean of many cooks, and for the next cook.",
		Why:    "A single best number looks exact. A range with its chance says what a bath may do and what it risks.",
		How:    "On a grid of 0.1 °C, the share of draws in which all aims hold together. A draw moves every cook by its error, with Student's width at the degrees of freedom there are. The range is where the share is at least one half, and likely where it is nine in ten.",
		Limits: "It is a statement about resampled worlds of this trial. A fault that moved along with the set point moves the window too.",
		Source: "House rule for the thresholds; the draws follow the usual parametric bootstrap (Efron and Tibshirani 1993, from memory).",
	},
	{
		Slug: "letters", Name: "letters behind means",
		What:   "Means that share a letter were not told apart.",
		Why:    "Fifteen comparisons of six means at 5 % give a false one more often than not.",
		How:    "Tukey's procedure for all pairs, Dunnett's against a declared control; letters after Piepho.",
		Limits: "No letter in common is evidence of a difference. A letter in common is no evidence of sameness.",
		Source: "Piepho (2004), Journal of Computational and Graphical Statistics 13, 456–466.",
	},
	{
		Slug: "claim", Name: "how wide a claim may be",
		What:   "Five steps: this cook; these pieces; our kitchen; this food as we buy it; guests like those we asked.",
		Why:    "Sixty people who tasted one cook say a lot about that cook and little about the set point.",
		How:    "Each step needs the one below, its own number of runs, deliveries or people, and no fault that blocks it. Two faults that weaken take one step back.",
		Limits: "It sees what was written down. What was not recorded is not in it.",
		Source: "House rules; the number of consumers follows ISO 11136, from memory.",
	},
	{
		Slug: "sensitivity", Name: "would another analysis say the same",
		What:   "The same comparison under every other defensible choice, side by side, and how strong something unrecorded would have to be to undo it.",
		Why:    "If the result needs one particular choice, the choice made the result.",
		How:    "Other measures of centre, with and without covariates, assessors, marked outliers and single cooks; the robustness value of the headline contrast.",
		Limits: "The analyses share the data, so they agree more than new trials would.",
		Source: "Cinelli and Hazlett (2020), Journal of the Royal Statistical Society B 82, 39–67.",
	},
	{
		Slug: "heat", Name: "come-up and the core",
		What:   "How long the middle of a piece takes to come within 0.5 °C of the bath, as a range.",
		Why:    "A core that never arrived was cooked at some lower, unknown temperature.",
		How:    "Conduction in a slab, cylinder, sphere or block with a surface that passes heat; properties from the composition of the food. The range covers 10 % of diffusivity and the coefficients of bagged food in a moving bath.",
		Limits: "No bone, no air in the bag, no crowding, no floating. A probe in the thickest piece replaces the prediction.",
		Source: "Carslaw and Jaeger (1959), from memory; Choi and Okos (1986).",
	},
	{
		Slug: "verdict", Name: "who may eat it",
		What:   "Four answers: do not eat; no verdict; not pasteurised, at once and with notice; pasteurised at the core by calculation.",
		Why:    "A texture that is right can still hurt somebody.",
		How:    "The unfavourable end of everything: the thickest piece, slow heat, a bath that reads high, the hardiest of the usual pathogens, nothing counted below 54.4 °C. Parasites and keeping are judged apart.",
		Limits: "A calculation is no validated process. Local food codes and licensed practice come first.",
		Source: "Named beside each number; see tamis heat.",
	},
}
