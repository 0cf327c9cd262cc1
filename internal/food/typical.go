package food

// Typical is what a kind of food is like where a trial says nothing else.
type Typical struct {
	Kind string
	Composition
	Source string // of the composition
	// Freezing is the temperature at which ice begins to form, °C.
	Freezing       float64
	FreezingSource string
}

const (
	handbook = "ASHRAE Handbook, Refrigeration (2006), chapter 9, table of unfrozen composition"
	atlas    = "FAO, Food composition tables for international use (1949), fish and shellfish"
	memory   = "from memory of a national food composition table, to be confirmed"
	// fishPoint was read for cod, haddock, halibut and mackerel alike.
	fishPoint    = "ASHRAE Handbook, Refrigeration, chapter 9: 28.0 °F for each of eight whole fish"
	memoryPoint  = "from memory of ASHRAE Handbook, Refrigeration, chapter 9, to be confirmed"
	worked       = "common practice, no source: a worked example that a published diffusivity was held against"
	likeFish     = "taken as that of fish; common practice, no source"
	likeMeat     = "ASHRAE Handbook, Refrigeration, chapter 9: 28.9 °F for lean sirloin"
	carrotPoint  = "ASHRAE Handbook, Refrigeration, chapter 9: -1.4 °C for carrot, of vegetables one of the lowest"
	applePoint   = "ASHRAE Handbook, Refrigeration, chapter 9: 30.0 °F for fresh apple"
	pulsePoint   = "common practice, no source; cooked pulses are not frozen food of that table"
	eggPoint     = memoryPoint + ": -0.6 °C for whole egg"
	poultryPoint = memoryPoint + ": -2.8 °C for chicken"
)

// typical in the order of the kinds. "other" has none: anything may be meant.
var typical = []Typical{
	{"lean fish", Composition{Water: 0.81, Protein: 0.175, Fat: 0.007, Ash: 0.012}, worked + "; cod in " + atlas + " has 81.8, 16.4, 0.5 and 1.3 %", -2.2, fishPoint},
	{"oily fish", Composition{Water: 0.65, Protein: 0.20, Fat: 0.14, Ash: 0.01}, worked + "; fat-rich fillets in " + atlas + " have 68.6, 20, 10 and 1.4 %", -2.2, fishPoint},
	{"poultry", Composition{Water: 0.75, Protein: 0.23, Fat: 0.012, Ash: 0.01}, worked + " (breast without skin)", -2.8, poultryPoint},
	{"beef pork lamb", Composition{Water: 0.72, Protein: 0.22, Fat: 0.05, Ash: 0.01}, worked + " (lean beef)", -1.7, likeMeat},
	{"game", Composition{Water: 0.74, Protein: 0.23, Fat: 0.024, Ash: 0.011}, memory + " (venison)", -1.7, "taken as that of lean beef; common practice, no source"},
	{"shell egg", Composition{Water: 0.7533, Protein: 0.1249, Fat: 0.1002, Carbohydrate: 0.0122, Ash: 0.0094}, handbook + ", from memory (whole egg without shell)", -0.6, eggPoint},
	{"bivalve", Composition{Water: 0.81, Protein: 0.13, Fat: 0.015, Carbohydrate: 0.029, Ash: 0.016}, atlas + " (molluscs)", -2.2, likeFish},
	{"crustacean", Composition{Water: 0.76, Protein: 0.178, Fat: 0.021, Carbohydrate: 0.02, Ash: 0.021}, atlas + " (crustaceans)", -2.2, likeFish},
	{"cephalopod", Composition{Water: 0.786, Protein: 0.156, Fat: 0.014, Carbohydrate: 0.031, Ash: 0.014}, memory + " (squid)", -2.2, likeFish},
	{"vegetable", Composition{Water: 0.8779, Protein: 0.0103, Fat: 0.0019, Carbohydrate: 0.0714, Fibre: 0.03, Ash: 0.0087}, handbook + " (carrot)", -1.4, carrotPoint},
	{"fruit", Composition{Water: 0.8393, Protein: 0.0019, Fat: 0.0036, Carbohydrate: 0.1255, Fibre: 0.027, Ash: 0.0026}, handbook + ", from memory (apple)", -1.1, applePoint},
	{"pulse", Composition{Water: 0.65, Protein: 0.085, Fat: 0.005, Carbohydrate: 0.165, Fibre: 0.075, Ash: 0.02}, memory + " (beans, boiled)", -1.0, pulsePoint},
}

// TypicalOf finds what a kind is typically like. ok is false for "other" and for
// a kind that is not in the table.
func TypicalOf(kind string) (t Typical, ok bool) {
	for _, t := range typical {
		if t.Kind == kind {
			return t, true
		}
	}
	return Typical{}, false
}
