// Package reftest compares numbers with reference values in tests. It exists
// so that each comparison states its tolerance and its source and so that no
// test carries a comparison of its own; it has tests itself.
package reftest
