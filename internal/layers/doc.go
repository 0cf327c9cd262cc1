// Package layers holds no code: its test reads the import graph of the module
// and fails on an arrow that points up, on a second importer of a wrapped
// library, and on a package that the order below does not know.
package layers
