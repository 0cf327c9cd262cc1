// Package safety says who may eat what was cooked: lethality at the core, the
// growth clock, parasites and the verdict that follows, with cautions that
// stand beside the numbers.
//
// Verdicts take the unfavourable end of everything; package heat computes the
// core. This first version credits few rules, each named in rules.go: the rows
// for poultry at 58.3 °C, 70 °C and 74 °C, the equivalent of 70 °C for 2 min
// for whole fish and meat, 70 °C for 2 min outright for everything that was
// opened up, 90 °C for 90 s for bivalves, and boiling for pulses. More rows can
// only turn a "not pasteurised" into a "pasteurised", never the reverse.
//
// No change towards thicker, colder (of the set point), shorter (of a bath that
// is hot enough to kill), less known or less checked improves a verdict. The
// growth clock runs the other way: a longer time in a bath that is not hot
// enough makes a verdict worse.
//
// What it does not do: it gives no shelf life, validates no process, knows no
// species, and credits no probe log; a log can only make a verdict worse. It
// does not replace a local food code. It prints nothing: texts are literals in
// parts, with a slug, and package answer turns them into prose.
//
// A missing value is never read in favour of eating. Nothing here fails: what
// cannot be judged is a verdict too.
package safety
