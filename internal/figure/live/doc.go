// Package live turns a figure.Figure into options of ECharts, so that a figure
// on a screen answers to the pointer. It places every word, line and mark where
// package svg has it: the live chart is the static picture with values that
// can be read off.
//
// It is the only package that imports go-echarts. Options hold data only, no
// JavaScript: texts of tooltips are in the data, formatters are templates that
// ECharts fills and escapes, colours are names of CSS variables that the page's
// own script (boot.js) looks up. Numbers are rounded for display before they
// get here or here.
//
// The runtime, ECharts itself, is no part of the source. `make runtime` builds
// it with npm from the pinned manifest in web/ into the folder runtime/, from
// which it is embedded. A program built without it writes static pages;
// Runtime says which of the two this one is.
//
// Errors are those of figure.Validate; figure.ErrUnknownLayer for a layer that
// this package cannot draw; figure.ErrNonFinite for a number that JSON cannot
// hold, which would otherwise make a chart vanish without a word. Nothing
// panics. Same figure, same bytes.
package live
