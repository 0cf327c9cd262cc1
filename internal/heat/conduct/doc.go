// Package conduct is transient conduction in numbers alone: metres, seconds,
// watts, kelvin, and temperatures in °C. It knows no trials and no food.
//
// Two methods stand beside each other, each a check of the other.
//
//   - Series: the exact solution for constant properties, one start temperature
//     and a convective surface, for slab, cylinder and sphere, and as products for
//     a block and a short cylinder. Driven puts any bath profile over it.
//   - Finite volumes (Solve): properties that depend on temperature, a frozen
//     start, faces that differ, coefficients and baths that change, a bath that
//     its load cools. Extrapolated refines them twice. SolveBlock is the same in
//     three dimensions, slower.
//
// Around them: when a temperature is reached and for how long, what a probe log
// says of diffusivity and coefficient (Fit), the lag of a probe, surface
// coefficients with their sources, and layers in series.
//
// What it does not do: no evaporation, no shrinking, no moving liquid, no
// radiation by itself (a coefficient may hold it), no contact resistance that is
// not stated, no cylinder with ends by finite volumes.
//
// Errors: ErrInput for a number that is not positive, not finite or out of
// order, ErrNever for a temperature that is not reached, ErrSolve where an
// iteration did not end, ErrLog for a log that cannot tell what is asked.
// Nothing panics, and inputs are not changed.
package conduct
