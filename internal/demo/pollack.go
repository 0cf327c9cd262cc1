package demo

import (
	"fmt"
	"math"
	"math/rand/v2"
	"sort"
)

var pollackSetPoints = []float64{44, 47, 50, 53, 56, 60}

var tasters = []string{"anna", "ben", "cleo", "dora", "emil", "freya", "gus", "hedda"}

// pollack: six set points, three sessions with each set point once, a plain and
// a dry-brined piece of each of two fish in each cook, eight assessors.
func pollack(r *rand.Rand) []File {
	yaml := `# yaml-language-server: $schema=../trial.schema.json
# A demo trial of the Saltholm test kitchen. Every number in it is invented.
tamis: 1
title: Pollack loin, 44 to 60 °C, dry-brined or plain
question: Which set point flakes under a fork but still holds on the plate, and does a brine earn its 20 minutes?
date: 2026-02-12
by: Saltholm test kitchen
status: cooked
declared: 2026-02-09        # question, aim and analysis were fixed before the first cook
disclosure: Invented data, drawn for this demo.
aim:                        # both must hold; the first is the primary one
  - {measure: firmness, target: 5 to 6.5}
  - {measure: surface_protein, at_most: 2}
serve: [public]
rules: eu
medium: water bath
food:
  name: pollack loin
  kind: lean fish
  form: whole
  shape: slab
  thickness: 18 mm
  start: 4 °C
  composition: {water: 81 %, protein: 17 %, fat: 0.6 %}
measures:
  firmness: {scale: 0 to 10, low: falls apart, high: rubbery, matters: 1}
  liking: {scale: 1 to 9, role: liking}
  flake: {just_right: 1 to 5, low: too loose, high: too tight}
  surface_protein: {scale: 0 to 5, by: photo}
  cook_loss: {unit: "%", from: weights}
sources:                    # each fish was frozen by the supplier, against parasites
%SOURCES%baths:
  north: {reads: 0.1 °C high, checked: 2026-02-09, volume: 20 l}
  south: {reads: 0.0 °C high, checked: 2026-02-09, volume: 20 l}
  east: {reads: 0.1 °C low, checked: 2026-02-09, volume: 20 l}
sessions:
  first: {date: 2026-02-10}
  second: {date: 2026-02-11}
  third: {date: 2026-02-12}
cooks: {from: cooks.csv}
panel:
  scores: scores.csv
  key: key.csv
  blind: yes
  looks_masked: red light
  together: no
  bite: 12 g
  warm_up: yes
  rinse: {with: water and cracker, gap: 2 min}
  assessors:
    anna: {kind: trained, cooked: no}
    ben: {kind: trained, cooked: no}
    cleo: {kind: trained, cooked: no}
    dora: {kind: trained, cooked: no}
    emil: {kind: staff, cooked: no}
    freya: {kind: staff, cooked: no}
    gus: {kind: staff, cooked: no}
    hedda: {kind: staff, cooked: no}
drawn: {order: yes, pieces: yes, seed: 44}
%PHOTOS%conclusion: |
  In these trials, 51 °C for 60 min with the salt rub kept both aims: firmness from 5 to 6.5 and surface protein of at most 2.
  The salted pieces carried less white on the surface than the plain ones.
notes: |
` + story("pollack")
	cooks := newTable("id,set_point,time,bath,session,order,finish,bag.seal,started,out,served,served_at,log,pieces.from")
	pieces := newTable("cook,id,source,part,thickness,before,brined,after,brine,brine.dry salt,brine.of,brine.for,surface_protein")
	scores := newTable("assessor,session,position,code,firmness,liking,flake")
	key := newTable("code,piece")
	var files []File
	shots := []picture{{name: "bench.png", file: bench(),
		caption: "Three baths, four pieces to a bag. The set points changed baths from day to day.",
		alt:     "Drawing of three water baths in a row. Each has a heater clipped to its rim and a bag with four pieces of fish hanging in the water."}}

	sessions := []string{"first", "second", "third"}
	firm := map[string]*effects{}
	level := func(name string, sd float64) float64 {
		e, ok := firm[name[:2]]
		if !ok {
			e = newEffects(r, sd)
			firm[name[:2]] = e
		}
		return e.of(name)
	}
	bathsOf := []string{"north", "south", "east"}
	code := newCodes(r)
	type sample struct {
		code     int
		firmness float64
		liking   float64
		flake    float64
	}
	cookNo, fishNo := 0, 0
	for s, session := range sessions {
		var bag []sample
		order := shuffled(r, len(pollackSetPoints))
		fishOf := shuffled(r, len(pollackSetPoints))
		for run, k := range order {
			cookNo++
			id := fmt.Sprintf("P%02d", cookNo)
			setPoint := pollackSetPoints[k]
			bath := bathsOf[(run+s)%3]
			start := 9*60 + 5 + (run/3)*95 + (run%3)*5
			core18 := core(18, 4, setPoint, 60)
			log := newTable("time (min),core (°C),bath (°C)")
			for m := 0; m <= 60; m += 2 {
				log.add("%d,%.1f,%.1f", m, core18[m]+0.08*r.NormFloat64(), setPoint+0.06*r.NormFloat64())
			}
			logPath := "logs/" + id + ".csv"
			files = append(files, File{"pollack/" + logPath, log.b.String()})
			served := 38 + math.Round(10*(0.8*r.NormFloat64()))/10
			cooks.add("%s,%g °C,60 min,%s,%s,%d,none,chamber,%s,%s,%s,%.1f °C,%s,pieces.csv",
				id, setPoint, bath, session, run+1, clock(start), clock(start+60), clock(start+68), served, logPath)

			cookFirm := level("s-"+session, pollackFirmness.Session) + level("c-"+id, pollackFirmness.Cook)
			cookProt := level("S-"+session, pollackProtein.Session) + level("C-"+id, pollackProtein.Cook)
			cookLoss := r.NormFloat64() * pollackLoss.Cook
			// Two of the day's three fish in each cook, a plain and a brined piece
			// of each, so that fish and cook cannot be mistaken for one another.
			for half := 0; half < 2; half++ {
				fish := fmt.Sprintf("fish-%d", fishNo+1+(fishOf[run]+half)%3)
				for j, brined := range []bool{false, true} {
					pid := fmt.Sprintf("%s%s%d", id, []string{"p", "b"}[j], half+1)
					// The end of the fish that is brined swaps from cook to cook.
					part := []string{"head", "tail"}[(j+run+half)%2]
					thick := math.Round(2*(18+0.5*r.NormFloat64())) / 2
					before := math.Round(62 + 3*r.NormFloat64())
					mass := before
					brineCells, brinedMass := "none,,,", ""
					f := PollackFirmness.At(setPoint) + cookFirm + level("f-"+fish, pollackFirmness.Source) + r.NormFloat64()*pollackFirmness.Piece
					p := PollackProtein.At(setPoint)
					loss := pollackLossAt50 + pollackLossPerDegree*(setPoint-50) + cookLoss + r.NormFloat64()*pollackLoss.Piece
					if brined {
						brineCells = ",1 %,flesh,20 min"
						mass = math.Round(10*before*(1-0.004+0.001*r.NormFloat64())) / 10
						brinedMass = fmt.Sprintf("%g g", mass)
						f += BrineFirmnessShift
						p *= BrineProteinFactor
						loss += brineLossShift
					}
					p += cookProt + level("F-"+fish, pollackProtein.Source) + r.NormFloat64()*pollackProtein.Piece
					after := math.Round(10*mass*(1-math.Max(0.5, loss)/100)) / 10
					score := onScale(p, 0, 5, 0.5)
					if session == "second" && brined && half == 0 {
						shots = append(shots, picture{name: fmt.Sprintf("cut-%g.png", setPoint), of: pid, file: flakes(uint64(cookNo), thick, f, score),
							caption: fmt.Sprintf("Surface protein %g of 5.", score), alt: fishAlt(thick, f, score)})
					}
					pieces.add("%s,%s,%s,%s,%g mm,%g g,%s,%g g,%s,%.1f", id, pid, fish, part, thick, before, brinedMass, after, brineCells, score)
					c := code.next()
					key.add("%d,%s", c, pid)
					liking := 7.2 - 0.045*(setPoint-pollackLikingTop)*(setPoint-pollackLikingTop)
					if brined {
						liking += 0.4
					}
					bag = append(bag, sample{c, f, liking + 0.4*cookFirm, 3 + 0.22*(setPoint-51)})
				}
			}
		}
		fishNo += 3
		for a, who := range tasters {
			likes := level("l-"+who, 0.6)
			scale := 1 + level("k-"+who, 0.08)
			// Twelve samples each: of every cook the plain and the brined piece of
			// one fish, the other fish for every second assessor.
			for pos, i := range williams(12, (a+4*s)%12) {
				x := bag[4*(i/2)+2*((a+i/2)%2)+i%2]
				firmness := 5 + scale*(x.firmness-5) + level("a-"+who, pollackFirmness.Assessor) + r.NormFloat64()*pollackFirmness.Score
				liking := x.liking + likes + 0.9*r.NormFloat64()
				flake := x.flake + 0.5*r.NormFloat64()
				scores.add("%s,%s,%d,%d,%g,%g,%g", who, session, pos+1, x.code,
					onScale(firmness, 0, 10, 0.5), onScale(liking, 1, 9, 1), onScale(flake, 1, 5, 1))
			}
		}
	}
	var sources string
	for i := 1; i <= 9; i++ {
		sources += fmt.Sprintf("  fish-%d: {lot: L%d, caught: 2026-01-%d, frozen: {at: -20 °C, for: 7 d, by: supplier}, parasites: {control: frozen, record: delivery note}}\n",
			i, (i-1)/3+1, 24+(i-1)/3)
	}
	sort.Slice(shots[1:], func(i, j int) bool { return shots[1+i].name < shots[1+j].name })
	list, drawings := photos("pollack", shots)
	files = append(files, drawings...)
	return append([]File{
		{"pollack/pollack.yaml", fill(fill(yaml, "%SOURCES%", sources), "%PHOTOS%", list)},
		{"pollack/cooks.csv", cooks.b.String()},
		{"pollack/pieces.csv", pieces.b.String()},
		{"pollack/scores.csv", scores.b.String()},
		{"pollack/key.csv", key.b.String()},
	}, files...)
}
