package demo

import (
	"fmt"
	"math/rand/v2"
	"sort"
)

// carrot: four set points, three cooks of each on three days, five assessors.
// Score sheets as a kitchen has them: semicolons and decimal commas.
func carrot(r *rand.Rand) []File {
	yaml := `# yaml-language-server: $schema=../trial.schema.json
# A demo trial of the Saltholm test kitchen. Every number in it is invented.
tamis: 1
title: Carrot sticks, 83 to 90 °C for 45 minutes
question: At which set point does a carrot stick bite clean and still keep its shape?
date: 2026-03-20
by: Saltholm test kitchen
status: cooked
declared: 2026-03-16
disclosure: Invented data, drawn for this demo.
aim: {measure: bite, target: 3.5 to 5.5}
food:
  name: carrot sticks
  kind: vegetable
  form: whole
  shape: block
  sides: [12 mm, 12 mm, 70 mm]
  start: 18 °C
measures:
  bite: {scale: 0 to 10, low: no resistance, high: raw, matters: 1}
  shear: {unit: N}
sources:
  lot-1: {lot: W12-1}
  lot-2: {lot: W12-2}
  lot-3: {lot: W12-3}
baths:
  north: {reads: 0.1 °C high, checked: 2026-03-16, volume: 20 l}
  south: {reads: 0.0 °C high, checked: 2026-03-16, volume: 20 l}
sessions:
  monday: {date: 2026-03-16}
  wednesday: {date: 2026-03-18}
  friday: {date: 2026-03-20}
cooks: {from: cooks.csv}
panel:
  scores: scores.csv
  blind: yes
  together: no
  rinse: {with: water, gap: 1 min}
drawn: {order: yes, pieces: yes, seed: 83}
%PHOTOS%conclusion: |
  In these cooks the sticks from 87 °C scored inside our aim for bite.
  Those from 83 °C and 85 °C scored too raw, those from 90 °C too soft.
notes: |
` + story("carrot")
	cooks := newTable("id,set_point,time,bath,session,order,brine,finish,bag.seal,pieces.from")
	pieces := newTable("cook,id,source,shear")
	scores := newTable("assessor;session;position;cook;bite")
	setPoints := []float64{83, 85, 87, 90}
	people := newEffects(r, carrotSpread.Assessor)
	no := 0
	var shots []picture
	for s, session := range []string{"monday", "wednesday", "friday"} {
		sessionEffect := r.NormFloat64() * carrotSpread.Session
		type sample struct {
			cook string
			bite float64
		}
		var served []sample
		for run, k := range shuffled(r, len(setPoints)) {
			no++
			id := fmt.Sprintf("G%02d", no)
			cooks.add("%s,%g °C,45 min,%s,%s,%d,none,none,chamber,pieces.csv", id, setPoints[k], []string{"north", "south"}[(run+s)%2], session, run+1)
			bite := CarrotBite.At(setPoints[k]) + sessionEffect + r.NormFloat64()*carrotSpread.Cook
			for j := 1; j <= 3; j++ {
				shear := 4 + 3.1*(bite+r.NormFloat64()*0.5)
				pieces.add("%s,%s-%d,lot-%d,%.1f", id, id, j, s+1, shear)
				if s == 1 && j == 1 {
					shots = append(shots, picture{name: fmt.Sprintf("held-%g.png", setPoints[k]), of: fmt.Sprintf("%s-%d", id, j), file: droop(shear),
						caption: fmt.Sprintf("Sheared at %.1f N.", shear), alt: carrotAlt(shear)})
				}
			}
			served = append(served, sample{id, bite})
		}
		for a, name := range tasters[:5] {
			for pos, c := range williams(4, (a+s)%4) {
				v := onScale(served[c].bite+people.of(name)+r.NormFloat64()*carrotSpread.Score, 0, 10, 0.5)
				scores.add("%s;%s;%d;%s;%s", name, session, pos+1, served[c].cook, comma(v))
			}
		}
	}
	sort.Slice(shots, func(i, j int) bool { return shots[i].name < shots[j].name })
	list, drawings := photos("carrot", shots)
	return append([]File{
		{"carrot/carrot.yaml", fill(yaml, "%PHOTOS%", list)},
		{"carrot/cooks.csv", cooks.b.String()},
		{"carrot/pieces.csv", pieces.b.String()},
		{"carrot/scores.csv", scores.b.String()},
	}, drawings...)
}

// comma prints a number with one decimal and a decimal comma.
func comma(v float64) string {
	s := []byte(fmt.Sprintf("%.1f", v))
	for i, b := range s {
		if b == '.' {
			s[i] = ','
		}
	}
	return string(s)
}
