// Package safety says who may eat what was cooked: lethality at the core, the
// growth clock, parasites and the verdict that follows, with cautions that
// stand beside the numbers.
//
// OfTrial judges what was cooked, For a set point that an answer wants to name,
// and a Planner any set point, thickness and time: PasteurisedAfter is when the
// best verdict is reached, or why never. An Override does all of that by the
// user's values and says so in the first reason of each verdict. FromHandbook
// quotes a cell of the published pasteurisation tables.
//
// Verdicts take the unfavourable end of everything; package heat computes the
// core. Whole muscle of fish, beef, pork and lamb counts as pasteurised when every
// Row of its kind is met: the rate of killing is integrated over the core's history, with
// nothing below 54.4 °C. Poultry has three rows and no interpolation, game and
// shell eggs 70 °C for 2 min, bivalves 90 °C for 90 s, pulses the boil. What was
// opened up needs 70 °C for 2 min outright, or a row of the code that the trial
// names together with every Row of the kind. Published minimums are kept apart by
// authority and quoted with edition and place.
//
// No change towards thicker, colder (of the set point), shorter (of a bath that
// is hot enough to kill), less known or less checked improves a verdict. Two
// rules of the trade pull the other way, and are settled so: a shorter time in a
// bath that only warms the food is better, because the growth clock says so; and
// a thicker or colder piece enters the growth range later, for which it is given
// no credit (see clock.go). A forgotten fact that was known to be harmful is not
// held against anybody; the verdict then says that it does not know.
//
// A probe log makes verdicts worse freely. It makes one better only where the
// probe and the bath's thermometer were checked within 30 days and the probe sat
// at the centre of the thickest piece, and only for that piece.
//
// What it does not do: it gives no shelf life, validates no process and knows no
// species. It does not replace a local food code. It prints nothing: texts are
// literals in parts, with a slug, and package answer turns them into prose.
//
// A missing value is never read in favour of eating. Only Override.Check fails,
// with ErrOverride; what cannot be judged is a verdict too.
package safety
