// Package demo draws the data of the demo trials in trials/: invented cooks of
// an invented kitchen, the Saltholm test kitchen, from a stated truth and a
// seed. Nothing here was cooked. Because the truth is stated, a test can hold
// the answers of the program against it.
//
// The truth respects what is common practice (no source): firmness and surface
// protein rise with the set point, firmness steepest around 45 to 50 °C in
// fish; a salt brine lessens surface protein without removing it; vegetables
// soften with time above 83 °C.
//
// `go generate ./internal/demo` writes the files again, byte for byte.
package demo

//go:generate go run ./write ../../trials
