// Package multiple adjusts families of comparisons: Tukey–Kramer for all pairs,
// Dunnett against a control, Scheffé, Bonferroni, Šidák, Holm, Hochberg,
// Benjamini–Hochberg, and none (Fisher's least significant difference). It also
// turns the answer into compact letters.
//
// It takes estimates with standard errors and degrees of freedom from whatever
// model was fitted, so each contrast may have a df of its own. It fits nothing
// and does not choose the family: which comparisons belong together is a
// decision of the caller, taken before the data were seen.
//
// Simultaneous intervals exist for the single-step methods only; the step-wise
// ones (Holm, Hochberg, Benjamini–Hochberg) return none.
//
// A NaN or an infinity in an estimate or a standard error is
// stats.ErrNonFinite; a standard error of 0 is stats.ErrNoVariation; an infinite
// df means a known standard error.
package multiple
