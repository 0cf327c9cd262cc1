// Package figuretest holds invented figures that use every layer, for the tests
// of the model and of its backends. No program imports it.
package figuretest
