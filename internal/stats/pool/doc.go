// Package pool brings estimates of several trials together: fixed-effect and
// random-effects pooling, with moderators, from an effect and its sampling
// variance per trial.
//
// The model is y_i = x_i'β + u_i + e_i, with known variances var(e_i) = v_i and
// a variance between trials τ² = var(u_i) that is estimated (0 for Fixed).
// Sources of the estimators are named at Method; intervals: Viechtbauer (2007),
// Stat. Med. 26, 37–52 (Q-profile); Knapp & Hartung (2003), Stat. Med. 22,
// 2693–2710; Higgins, Thompson & Spiegelhalter (2009), J. R. Stat. Soc. A 172,
// 137–159 (prediction interval, I², H²).
//
// What it does not do: correlated effects of one trial, several levels of
// heterogeneity, effect sizes from raw data, corrections for selection. With
// few trials τ² is hardly known: the warnings say so.
//
// Missing values are removed by the caller; NaN and infinities are
// stats.ErrNonFinite. A variance of 0 would give one trial all the weight and is
// stats.ErrDomain.
package pool
