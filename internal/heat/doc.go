// Package heat is transient conduction: the temperature at the core of a piece
// of food in a bath, and how long the core takes to reach a temperature.
//
// Slab, cylinder and sphere have the exact series solution for constant
// properties, one uniform start temperature, one bath temperature and a
// convective surface; a block is the product of three slabs. OfTrial computes
// each cook of a trial once, on the unfavourable side, for verdicts.
//
// Bare numbers carry their units in the names or comments: metres, seconds,
// m²/s, W/m/K, W/m²/K for shapes; millimetres, minutes and °C for cooks.
//
// What it does not do: no ramps, no bath that a load cools, no freezing or
// thawing, no evaporation, no bone, no air in the bag, no fluid food that
// mixes, no medium but a water bath, and no prediction of a likely range. It gives
// no verdict; package safety does.
//
// A cook that cannot be computed carries a Cannot with the field that is
// missing or out of bounds. Bad numbers give ErrShape or ErrTarget; nothing
// panics.
package heat
