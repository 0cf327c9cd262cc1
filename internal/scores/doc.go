// Package scores holds a score sheet that was typed in against the scores that
// a trial has already, and says what is new in it.
//
// Merge is the call, and MergeTriangles that for the answers of triangles. A line of the sheet belongs to the row of the trial
// that has the same assessor and sample, and the same session, repeat and place
// where both say so. It may fill in what is blank there and repeat what is there
// already; what contradicts a row, stands twice, or is not in the serving orders
// of a plan is an error with the line of the sheet. Merging the same sheet again
// changes nothing.
//
// What it does not do: it reads and writes no file (package trialfile does), it
// does not look at scales, keys or names (the reader did), and it never changes
// a score that is there. A blank in the sheet says nothing about what is there.
// The trial and the sheet are not altered.
package scores
