// Package ordinal fits cumulative link models to ordered categories: scores on
// a short scale, where the steps between the marks need not be equal.
//
// The model for row i and category j is
//
//	P(Y_i ≤ j) = F( (θ_j + w_i'ν_j − x_i'β − σ u_g) / exp(z_i'ζ) )
//
// with F the distribution function of the link, θ the thresholds, β the
// location effects (above 0: higher categories), ν effects that differ from
// threshold to threshold, ζ effects on the logarithm of the spread, and u a
// standard normal effect of the group of the row (an assessor). Sources:
// McCullagh (1980), J. R. Stat. Soc. B 42, 109–142; Agresti (2010), Analysis of
// Ordinal Categorical Data, chapters 3, 5 and 10.
//
// Fit is the model without the random effect, by Newton's method with analytic
// derivatives. FitMixed adds one random intercept, integrated out by the
// Laplace approximation or adaptive Gauss–Hermite quadrature.
//
// What it does not do: several random effects, random slopes, a random effect
// together with ζ, links other than the three of Link, and penalised
// estimates where the likelihood has no finite maximum; those are recognised
// and named instead (Outcome, Coefficient.Infinite).
//
// Missing values are removed by the caller; a NaN or an infinity is
// stats.ErrNonFinite. A category without observations has no threshold of its
// own: it is dropped and named in a warning.
package ordinal
