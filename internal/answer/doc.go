// Package answer asks everything of one trial and puts it into one versioned
// result: the numbers of texture with their JSON names, and the sentences that
// a person reads. Text, JSON and pages all render that one result.
//
// Prose has one owner, and it is this package: a sentence is a list of parts,
// plain text and quantities with kind, value and digits, so that the same
// sentence prints in °C or °F and a test can hold its numbers against the
// result. Renderers above add no sentence of their own.
//
// The package reads no files and prints nothing. It says nothing causal: what
// set point and score have to do with each other is put as "in this trial".
package answer
