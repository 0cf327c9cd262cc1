// Package vec has what several packages of statistics ask of a vector and the
// libraries give less exactly. It knows no factor, no model and no missing value:
// NaN goes in and comes out.
package vec
