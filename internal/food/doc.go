// Package food is the table of kinds of food: what a trial may write as
// food.kind, the thermal properties that follow from it and which rules of
// eating apply to it. Everything follows from the kind, never from the name.
//
// Properties come from the composition by mass: the polynomials of Choi and
// Okos (1986) for water, ice, protein, fat, carbohydrate, fibre and ash, and
// mixing rules. A kind has a typical composition, with its source; what a trial
// says of its own food beats it. Below its freezing point a food holds ice, and
// Thawing gives its heat capacity with the latent heat in it. Each diffusivity
// carries a spread; composition alone does not know it better than to 10 %.
//
// Units: °C, kg/m³, J/kg/K, W/m/K, m²/s; shares are fractions of the mass.
//
// What it does not do: it computes no course of heat, gives no verdict, and
// knows no species, so it cannot tell a fish of a histamine family from another.
// Air in a food (bread, foam, a hollow) is no part of any composition, and the
// direction of fibres is not looked at.
//
// A kind that is not in the table is not found; nothing stands in for it. A
// kind without a typical composition ("other") has none. A composition that
// makes no sense is ErrComposition, a temperature outside the polynomials
// ErrTemperature. Nothing panics.
package food
