// Package svg draws a figure.Figure as SVG: as a fragment inside a page, whose
// colours are CSS variables so that light, dark and high-contrast pages share
// one drawing, and as a file of its own with real colours, in which title,
// caption and footer travel along.
//
// It is the only package that imports gonum/plot. Scales, clipping, glyphs and
// text measurement are gonum/plot's; the canvas under them is ours and writes
// SVG with two decimals, named colour roles and text that is text.
//
// It computes no statistics and chooses no ticks: the figure says what is
// where. Same figure, same bytes. Errors are those of figure.Validate, and
// figure.ErrUnknownLayer for a layer that it cannot draw.
package svg
