// Package search improves a layout by small changes drawn by lot, the way metal
// anneals: at first changes for the worse are often kept, later seldom, so that
// a search does not end in the first hollow it meets.
//
// It knows nothing of what is laid out. The same state, steps and generator
// give the same result. It does not prove that the result is the best there is.
package search
