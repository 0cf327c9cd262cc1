package demo

import (
	"fmt"
	"math/rand/v2"
	"strings"
)

// trout: the quick and unfair trial that everyone cooks once: three set points,
// one cook of each, pieces of unequal thickness, one taster who knew. It is one
// file, so that it can be copied and played with.
func trout(r *rand.Rand) []File {
	var b strings.Builder
	b.WriteString(`# yaml-language-server: $schema=../trial.schema.json
# A demo trial of the Saltholm test kitchen. Every number in it is invented.
# It is unfair on purpose: one cook of each set point, unequal pieces, one taster.
tamis: 1
title: Trout fillet, a quick look
question: Is 52 °C better than 48?
date: 2026-04-02
by: Saltholm test kitchen
status: cooked
disclosure: Invented data, drawn for this demo.
aim: {measure: firmness, target: 5 to 7}
food:
  name: trout fillet
  kind: oily fish
  form: whole
  shape: slab
  start: 4 °C
  frozen: {at: -20 °C, for: 7 d, by: supplier}     # against parasites
measures:
  firmness: {scale: 0 to 10, low: falls apart, high: rubbery}
  surface_protein: {scale: 0 to 5, by: eye}
panel:
  blind: no
  assessors:
    anna: {kind: staff, cooked: yes}
cooks:
`)
	thickness := []int{15, 19, 24}
	for i, setPoint := range []float64{48, 52, 56} {
		firm := onScale(TroutFirmness.At(setPoint)+0.6*r.NormFloat64(), 0, 10, 0.5)
		protein := onScale(TroutProtein.At(setPoint)+0.4*r.NormFloat64(), 0, 5, 0.5)
		id := string(rune('A' + i))
		fmt.Fprintf(&b, `  - id: %s
    set_point: %g °C
    time: 40 min
    brine: none
    pieces:
      - {id: %s1, thickness: %d mm, firmness: %g, surface_protein: %g}
`, id, setPoint, id, thickness[i], firm, protein)
	}
	b.WriteString(`conclusion: |
  At 52 °C the trout is nearly twice as firm as at 48 °C. This proves that 48 °C is the right set point for trout.
notes: |
` + story("trout"))
	return []File{{"trout/trout.yaml", b.String()}}
}
