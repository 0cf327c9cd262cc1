package conduct

// Surface is one row of the table of surface coefficients.
type Surface struct {
	Slug   string
	Name   string
	Low    float64 // W/m²/K; the slow end
	Likely float64
	High   float64
	Source string
	// Memory reports that the numbers are from memory, and to be confirmed before
	// anybody relies on them.
	Memory bool
	Lacks  string // what a number for it does not know
}

// surfaces in the order in which they are offered. A coefficient here is an
// effective one: film of the medium, bag, folds and neighbours together.
var surfaces = []Surface{
	{"stirred-bath", "moving water bath, bagged food", 95, 95, 300,
		"95, and 95 to 155 for circulators, from memory of a review of 2012; its table of times fits 95. 300 is taken for a loose bag in fast water: common practice, no source", true,
		"the bag, its folds and how freely the water passes; clean water alone has 200 to 1200"},
	{"still-bath", "water bath that nobody stirs, bagged food", 50, 80, 200,
		"50 to 100 for free convection in liquids, from the notes of a heat transfer course; 200 to 1000 in other tables", false,
		"that water lies in layers, several kelvin from top to bottom, and that the flow fades as the food warms up"},
	{"steam", "steam, or steam with air, below the boil", 100, 150, 300,
		"handbook range for 50 to 100 % of steam, from memory; 150 to 260 in steam retorts", true,
		"how much air is in the steam"},
	{"fan-oven", "oven with a fan", 15, 25, 40, "handbook range, from memory", true,
		"that an open surface loses water and stays well below the air"},
	{"still-air", "still air, with radiation", 8, 10, 12, "from memory; 3 to 5 by natural convection and about 6 by radiation", true,
		"that an open surface loses water and stays below the air"},
	{"iced-water", "iced water, stirred", 300, 400, 600, "from memory", true,
		"that ice melts away from a bag, and water stands between bags that touch"},
}

// Surfaces is the table. The caller may keep and change the slice.
func Surfaces() []Surface { return append([]Surface(nil), surfaces...) }

// SurfaceOf finds a row by its slug.
func SurfaceOf(slug string) (Surface, bool) {
	for _, s := range surfaces {
		if s.Slug == slug {
			return s, true
		}
	}
	return Surface{}, false
}

// Layer lies between a medium and a piece: a bag, a gap of air, a breading.
type Layer struct {
	Thickness    float64 // m
	Conductivity float64 // W/m/K
}

// Bag and Gap are the usual layers: a polymer of 0.33 W/m/K, and air of 0.027.
func Bag(metres float64) Layer { return Layer{metres, 0.33} }
func Gap(metres float64) Layer { return Layer{metres, 0.027} }

// Through is a coefficient behind layers: 1/U = 1/h + Σ d/k. It holds for layers
// that are thin beside the piece. The error is ErrInput.
func Through(transfer float64, layers ...Layer) (float64, error) {
	if !(transfer > 0) {
		return 0, bad("transfer %v W/m²/K", transfer)
	}
	resistance := 1 / transfer // nothing, of an infinite one
	for i, l := range layers {
		if !(l.Thickness >= 0) || !finite(l.Thickness) || !positive(l.Conductivity) {
			return 0, bad("layer %d: %v m of %v W/m/K", i+1, l.Thickness, l.Conductivity)
		}
		resistance += l.Thickness / l.Conductivity
	}
	return 1 / resistance, nil
}
