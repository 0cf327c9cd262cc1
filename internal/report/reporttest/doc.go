// Package reporttest holds invented results for the tests of the pages: a full
// trial, one of which almost nothing is known, and one whose every word tries
// to leave its place. No program imports it. Each call returns a result of its
// own, which a test may alter.
package reporttest
