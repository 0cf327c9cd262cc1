// Package mixed fits linear mixed models with any number of crossed or nested
// random intercepts and answers questions about their fixed part.
//
// The model is y = Xβ + Σ Z_k b_k + ε with b_k ~ N(0, σ_k² I) for the levels of
// grouping k and ε ~ N(0, σ² W⁻¹). It is fitted by REML or ML, profiled over the
// relative standard deviations θ_k = σ_k/σ ≥ 0 (Bates, Mächler, Bolker & Walker
// 2015, J. Stat. Softw. 67(1)). A variance whose best value lies on the bound is
// reported as exactly 0, with Status.Boundary and a warning.
//
// Cost. The largest grouping is eliminated through the sums over its levels,
// gathered into classes of equal size, once; each step of the search then costs
// only what the smaller groupings and the columns of X cost. The smaller
// groupings go through a sparse LDL' factorisation in the order of falling level
// counts, which keeps the block structure of nested groupings. No n × n matrix,
// no n × q matrix and, outside Kenward–Roger, no q × q matrix is formed.
//
// Inference. Satterthwaite's degrees of freedom use exact derivatives (truncated
// Taylor arithmetic, see jet), not differences; Kenward–Roger is offered up to
// MaxKenwardRows rows. Both act on any estimable linear function of β.
//
// Limits. The residual variance loses about θ²·1e-16 of its digits to a grouping
// other than the largest: 1e-10 at θ = 1000, 1e-6 at 100 000. Two crossed
// groupings of thousands of levels each fit, but slowly: the work grows with the
// cube of the smaller.
//
// What it does not do: random slopes, correlated random effects, non-normal
// responses, residual correlation. It makes no choice of model.
//
// Missing values are removed by the caller; NaN or infinite input is
// stats.ErrNonFinite. Errors wrap the sentinels of package stats. A grouping
// that cannot be told from another part of the model is a *GroupingError that
// names it. Columns of X that depend on earlier ones are dropped and named in
// Model.Aliased.
package mixed
