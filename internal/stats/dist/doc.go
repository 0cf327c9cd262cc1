// Package dist holds the probability distributions that the statistics of
// tamis need: normal, Student's t, F, χ² and binomial; their noncentral
// relatives; the studentized range; and Dunnett's many-to-one distribution.
//
// For each there is the lower tail (…CDF), the upper tail (…Upper) and a
// quantile. Both tails are computed directly wherever they are small, so a tail
// of 1e-300 keeps its digits: 1 - CDF is never what Upper returns for a small
// tail.
//
// Arguments are plain numbers. Degrees of freedom are real and above 0;
// math.Inf(1) means the limiting distribution. A NaN is stats.ErrNonFinite, an
// argument outside its domain is stats.ErrDomain, a size above a documented
// limit is stats.ErrTooLarge. The three plain normal functions (NormalPDF,
// NormalCDF, NormalUpper) cannot fail on a number and return NaN for NaN.
//
// What it does not do: random numbers, densities of the less common families,
// fitting, general multivariate normal probabilities (Dunnett's correlations
// must be products λᵢλⱼ).
//
// Quadrature: mixtures over a standard deviation estimated with ν degrees of
// freedom, and the normal integrals inside them, use the trapezoidal rule on
// analytic, quickly decaying integrands, where its error falls exponentially
// with the number of nodes (Trefethen & Weideman 2014, SIAM Review 56:385).
// The nodes depend on the arguments only, so the same call gives the same bits.
package dist
