// Package trial is the record of one trial: plain types without any input or
// output, and the facts that follow from the record alone, such as its arms,
// its methods and the unit of each factor.
//
// The types mirror the trial file, version 1. What a file leaves out is absent
// (Opt with Known false), never zero: absent means "not known", and every
// reader of the record must say what it cannot judge for want of it. Each
// optional value carries the place in the file that it was read from, so that a
// message can point there.
//
// The package does not read files (trialfile does), does not judge fairness or
// safety, and computes no statistics.
package trial
