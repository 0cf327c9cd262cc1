package safety

import (
	"math"

	"tamis/internal/food"
)

// Row is one way in which heat kills: a decimal reduction time with its z and
// how many decades count as pasteurised.
type Row struct {
	Organism string
	Decades  float64
	D        float64 // minutes at At for one decade
	At       float64 // °C
	Z        float64 // K for a tenfold change of D
	// Low and High are the span of the data in °C. Below Low a value is an
	// extrapolation; nothing is credited below 54.4 °C anyway.
	Low, High float64
	Source    string
	// Memory says what was not read but remembered; empty where it was read.
	Memory string
}

// Minutes is how long a core at a temperature in °C needs for the decades.
func (r Row) Minutes(celsius float64) float64 {
	return r.Decades * r.D * math.Pow(10, (r.At-celsius)/r.Z)
}

// Kill is what a core gets by one row.
type Kill struct {
	Row
	F       float64 // minutes at Row.At that kill as much
	Got     float64 // decades
	Outside bool    // the core never came into the span of the data
}

// Enough reports whether the decades were reached.
func (k Kill) Enough() bool { return k.Got >= k.Decades }

// The rows. Times and temperatures of one publication stay together.
var (
	// 70 °C for 2 min, z 7.5: 17.2 min at 63 °C, 43 min at 60 °C, 200 min at 55 °C.
	listeria70 = Row{Organism: "Listeria", Decades: 6, D: listeriaMinutes / 6, At: listeriaAt, Z: listeriaZ, Low: 63, High: 85,
		Source: "Mackey and Bratchell 1989", Memory: "its z, from the fish hazards guidance of the US FDA, appendix 4"}
	baldwinLean = Row{Organism: "Listeria", Decades: 6, D: 2.88, At: 60, Z: 5.59, Low: 58, High: 80,
		Source: "cod: Ben Embarek and Huss 1993", Memory: "D and z, as a review of 2012 gives them (Baldwin, Int. J. Gastronomy and Food Science 1, 15-30)"}
	baldwinOily = Row{Organism: "Listeria", Decades: 6, D: 5.13, At: 60, Z: 5.68, Low: 58, High: 80,
		Source: "salmon: Ben Embarek and Huss 1993", Memory: "D and z, as a review of 2012 gives them (Baldwin, Int. J. Gastronomy and Food Science 1, 15-30)"}
	// The higher ends of what was measured: 51.4 and 55.5 s at 60 °C.
	salmonellaFish = Row{Organism: "Salmonella", Decades: 6.5, D: 51.4 / 60, At: 60, Z: 4.3, Low: 55, High: 65,
		Source: "catfish and tilapia: Rajkowski 2012, Food Microbiology 30, 427"}
	coliFish = Row{Organism: "E. coli", Decades: 5, D: 55.5 / 60, At: 60, Z: 4.3, Low: 55, High: 65,
		Source: "catfish and tilapia: Rajkowski 2012, Food Microbiology 30, 427"}
	// The regressions under the meat table of a review of 2012, which names
	// O'Bryan 2006, Bolton 2000, and Hansen and Knøchel 1996.
	listeriaMeat = Row{Organism: "Listeria", Decades: 6, D: 12.66, At: 55, Z: 9.22, Low: 55, High: 66, Source: meatSource}
	salmonMeat   = Row{Organism: "Salmonella", Decades: 6.5, D: 13.18, At: 55, Z: 7.58, Low: 55, High: 66, Source: meatSource}
	coliMeat     = Row{Organism: "E. coli", Decades: 5, D: 19.35, At: 55, Z: 4.87, Low: 55, High: 66, Source: meatSource}
)

// What is from memory counts 5 % slower than remembered until it is confirmed:
// house rule. It also keeps every verdict behind the published tables.
const memoryMargin = 1.05

func remembered(r Row) Row {
	r.D *= memoryMargin
	return r
}

var listeriaLean, listeriaOily = remembered(baldwinLean), remembered(baldwinOily)

const meatSource = "meat: regression in Baldwin 2012, Int. J. Gastronomy and Food Science 1, 15-30"

var (
	leanRows = []Row{listeria70, listeriaLean, salmonellaFish, coliFish}
	oilyRows = []Row{listeria70, listeriaOily, salmonellaFish, coliFish}
	meatRows = []Row{listeria70, listeriaMeat, salmonMeat, coliMeat}
)

// Rows are the rows that all have to be met before whole muscle of a kind counts
// as pasteurised; none for kinds that are judged by fixed temperatures and times.
// The caller may change the slice.
func Rows(kind string) []Row { return append([]Row(nil), rowsOf(kind)...) }

func rowsOf(kind string) []Row {
	k, ok := food.Lookup(kind)
	switch {
	case !ok || k.Rule != food.MuscleRule:
		return nil
	case k.Name == "lean fish":
		return leanRows
	case k.Parasites: // any other fish protects Listeria like the oily ones
		return oilyRows
	}
	return meatRows
}

// madeFor are the rows measured in the kind itself, as published.
func madeFor(kind string) []Row {
	rows := rowsOf(kind)
	if len(rows) == 0 {
		return nil
	}
	out := append([]Row(nil), rows[1:]...)
	switch out[0] {
	case listeriaLean:
		out[0] = baldwinLean
	case listeriaOily:
		out[0] = baldwinOily
	}
	return out
}

// kills holds a history against rows.
func kills(h *history, rows []Row) []Kill {
	out := make([]Kill, len(rows))
	for i, f := range h.equivalents(rows) {
		out[i] = Kill{Row: rows[i], F: f, Got: f / rows[i].D, Outside: h.top < rows[i].Low}
	}
	return out
}

// short is the kill that lacks most, and whether any does.
func short(ks []Kill) (worst Kill, lacks bool) {
	share := math.Inf(1)
	for _, k := range ks {
		if s := k.Got / k.Decades; s < share {
			worst, share = k, s
		}
	}
	return worst, !(share >= 1)
}

// decadesOf names the organisms with their decades, each once.
func decadesOf(ks []Kill) string {
	var names []string
	seen := map[string]bool{}
	for _, k := range ks {
		if !seen[k.Organism] {
			seen[k.Organism] = true
			names = append(names, decades(k.Decades)+" of "+k.Organism)
		}
	}
	if len(names) == 0 {
		return ""
	}
	// "six decades of Listeria, six and a half of Salmonella and five of E. coli"
	names[0] = decades(ks[0].Decades) + " decades of " + ks[0].Organism
	return list(names)
}
