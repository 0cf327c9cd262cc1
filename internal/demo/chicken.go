package demo

import (
	"fmt"
	"math"
	"math/rand/v2"
	"sort"
)

// chicken: four set points, two times, two cooks of each, six assessors. Both
// times are long enough for the core of the thickest piece to stand above
// 58.3 °C for an hour, which is the published row that counts for poultry.
func chicken(r *rand.Rand) []File {
	yaml := `# yaml-language-server: $schema=../trial.schema.json
# A demo trial of the Saltholm test kitchen. Every number in it is invented.
tamis: 1
title: Chicken breast, 60 to 66 °C, two and a half or three and a half hours
question: Which set point is firm enough to carve and still juicy, and does another hour change it?
date: 2026-03-06
by: Saltholm test kitchen
status: cooked
declared: 2026-03-02
disclosure: Invented data, drawn for this demo.
aim:
  - {measure: firmness, target: 4 to 6}
  - {measure: juiciness, at_least: 6}
serve: [public]
rules: eu
food:
  name: chicken breast
  kind: poultry
  form: whole
  shape: slab
  thickness: 28 mm
  start: 4 °C
  composition: {water: 75 %, protein: 23 %, fat: 1.2 %}     # the row for poultry holds up to 9 % fat
measures:
  firmness: {scale: 0 to 10, low: soft, high: stringy, matters: 1}
  juiciness: {scale: 0 to 10, low: dry, high: wet, matters: 1}
  cook_loss: {unit: "%", from: weights}
sources:
%SOURCES%baths:
  north: {reads: 0.1 °C high, checked: 2026-03-02, volume: 20 l}
  south: {reads: 0.0 °C high, checked: 2026-03-02, volume: 20 l}
  east: {reads: 0.1 °C low, checked: 2026-03-02, volume: 20 l}
  west: {reads: 0.0 °C high, checked: 2026-03-02, volume: 20 l}
sessions:
  first: {date: 2026-03-05}
  second: {date: 2026-03-06}
cooks: {from: cooks.csv}
panel:
  scores: scores.csv
  blind: yes
  together: no
  warm_up: yes
  rinse: {with: water and cracker, gap: 2 min}
  assessors:
    anna: {kind: trained, cooked: no}
    ben: {kind: trained, cooked: no}
    cleo: {kind: trained, cooked: no}
    dora: {kind: staff, cooked: no}
    emil: {kind: staff, cooked: no}
    freya: {kind: staff, cooked: no}
drawn: {order: yes, pieces: yes, seed: 60}
%PHOTOS%conclusion: |
  Between 62 and 64 °C our panel found these pieces firm enough to carve and still juicy.
  The hour more took a little juice.
notes: |
` + story("chicken")
	cooks := newTable("id,set_point,time,bath,session,order,brine,finish,bag.seal,started,out,served,served_at,pieces.from")
	pieces := newTable("cook,id,source,thickness,before,after")
	scores := newTable("assessor,session,position,piece,firmness,juiciness")
	setPoints := []float64{60, 62, 64, 66}
	times := []int{150, 210}
	who := tasters[:6]
	people := newEffects(r, chickenSpread.Assessor)
	no := 0
	var shots []picture
	for s, session := range []string{"first", "second"} {
		sessionEffect := r.NormFloat64() * chickenSpread.Session
		type sample struct {
			piece       string
			firm, juicy float64
		}
		var served []sample
		// Two waves a day: each set point once in each, for the one time in the
		// morning and the other in the afternoon.
		early := [][]int{shuffled(r, 4), shuffled(r, 4)}
		longFirst := shuffled(r, 4)
		for run := 0; run < 8; run++ {
			no++
			id := fmt.Sprintf("K%02d", no)
			wave := run / 4
			k := early[wave][run%4]
			long := (longFirst[k]%2 + wave) % 2
			setPoint, time := setPoints[k], times[long]
			longer := float64(long) * chickenHourFirm
			longerJ := float64(long) * chickenHourJuicy
			start := 8*60 + 250*wave + 10*(run%4)
			cooks.add("%s,%g °C,%d min,%s,%s,%d,none,none,chamber,%s,%s,%s,%.1f °C,pieces.csv", id, setPoint, time,
				[]string{"north", "south", "east", "west"}[(run+wave+s)%4], session, run+1, clock(start), clock(start+time), clock(start+time+6),
				52+0.6*r.NormFloat64())
			cook := sessionEffect + r.NormFloat64()*chickenSpread.Cook
			for j := 0; j < 2; j++ {
				source := fmt.Sprintf("bird-%d", s*8+(run+j)%8+1)
				pid := fmt.Sprintf("%s%s", id, []string{"a", "b"}[j])
				firm := ChickenFirmness.At(setPoint) + longer + cook + r.NormFloat64()*chickenSpread.Piece
				juicy := ChickenJuiciness.At(setPoint) + longerJ - 0.5*cook + r.NormFloat64()*chickenSpread.Piece
				before := math.Round(165 + 9*r.NormFloat64())
				loss := 8 + 1.1*(setPoint-60) + 1.2*float64(long) + 0.8*r.NormFloat64()
				thick, after := math.Round(2*(28+0.6*r.NormFloat64()))/2, math.Round(10*before*(1-loss/100))/10
				pieces.add("%s,%s,%s,%g mm,%g g,%g g", id, pid, source, thick, before, after)
				if s == 1 && long == 1 && j == 0 {
					lost := 100 * (before - after) / before
					shots = append(shots, picture{name: fmt.Sprintf("cut-%g.png", setPoint), of: pid, file: fibres(uint64(no), thick, firm, lost),
						caption: fmt.Sprintf("Lost %.1f %% of its weight.", lost), alt: chickenAlt(firm, lost)})
				}
				served = append(served, sample{pid, firm, juicy})
			}
		}
		// Each assessor tastes one piece of each cook, swapped from one to the next.
		for a, name := range who {
			for pos, c := range williams(8, (a+3*s)%8) {
				x := served[2*c+(a+c)%2]
				scores.add("%s,%s,%d,%s,%g,%g", name, session, pos+1, x.piece,
					onScale(x.firm+people.of("f"+name)+r.NormFloat64()*chickenSpread.Score, 0, 10, 0.5),
					onScale(x.juicy+people.of("j"+name)+r.NormFloat64()*chickenSpread.Score, 0, 10, 0.5))
			}
		}
	}
	var sources string
	for i := 1; i <= 16; i++ {
		sources += fmt.Sprintf("  bird-%d: {lot: B%d, kept_at: 2 °C}\n", i, (i-1)/8+1)
	}
	sort.Slice(shots, func(i, j int) bool { return shots[i].name < shots[j].name })
	list, drawings := photos("chicken", shots)
	return append([]File{
		{"chicken/chicken.yaml", fill(fill(yaml, "%SOURCES%", sources), "%PHOTOS%", list)},
		{"chicken/cooks.csv", cooks.b.String()},
		{"chicken/pieces.csv", pieces.b.String()},
		{"chicken/scores.csv", scores.b.String()},
	}, drawings...)
}
