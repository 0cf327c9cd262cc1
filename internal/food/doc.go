// Package food is the table of kinds of food: what a trial may write as
// food.kind, the thermal properties that follow from it and which rules of
// eating apply to it. Everything follows from the kind, never from the name.
//
// What it does not do: it computes no heat, gives no verdict, and knows no
// species, so it cannot tell a fish of a histamine family from another. The
// first version has one practical pair of thermal properties for every kind;
// properties by composition are not computed.
//
// A kind that is not in the table is not found; nothing stands in for it.
package food
