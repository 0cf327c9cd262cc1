// Package heat is what the heat does in the cooks of a trial: the temperature at
// the core of a piece in its bath, how long it takes to get there, what a probe
// log says of it, and where the model ends.
//
// OfTrial computes each cook once, by exact series (package conduct), and keeps
// what cooks share in a Solver. Each Cook has two sides. The unfavourable side
// (Core, Path, Planned) is for verdicts: a slab of the greatest thickness,
// diffusivity 10 % low, coefficient 95 W/m²/K, the bath low by the error of its
// thermometer, the start of the coldest piece. The likely side (ComeUp, Hold,
// Trace) is a range for people who cook: the shape as stated, properties by
// composition, diffusivity ±10 %, coefficient 95 to 300 W/m²/K. The two are never
// mixed. Limits say, as data, what a prediction does not know. The likely side is
// computed when it is first asked for, from the trial as it then is: a trial is not
// altered while its heat is in use.
//
// BiteOf and FromFrozen go further by finite volumes, in milliseconds, and only
// when they are called: what happens after the bath, and a frozen start.
//
// Bare numbers carry their units in the names or comments: millimetres, minutes
// and °C for cooks; metres, seconds, m²/s, W/m/K, W/m²/K for materials.
//
// What it does not do: no evaporation, no bone, no air in the bag, no fluid food
// that mixes. A bath that was logged is followed, ramps and steps included, and so is
// one whose load, water and heater are stated, on the likely side only; else a bath
// stands at its temperature, and Dip says what its load does to it. It gives no
// verdict; package safety does. It writes no sentences.
//
// A cook that cannot be computed carries a Cannot with the field that is missing
// or out of bounds, and so does a Range that is not known; a LogReading holds
// absences with their reasons. Nothing panics.
package heat
