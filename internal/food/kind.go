package food

// Rule is the rule of eating that a kind falls under.
type Rule string

// The rules. Each names what makes a piece pasteurised in package safety.
const (
	// MuscleRule: intact muscle carries its germs on the surface and may be
	// served not pasteurised, at once and with notice.
	MuscleRule Rule = "whole muscle"
	// EggRule: as muscle, but counted only by the direct row of 70 °C.
	EggRule Rule = "shell egg"
	// PoultryRule: never eaten unless pasteurised, by rows for poultry only.
	PoultryRule Rule = "poultry"
	// GameRule: never eaten unless pasteurised, by the direct row of 70 °C.
	GameRule Rule = "game"
	// BivalveRule: never eaten below 90 °C for 90 s.
	BivalveRule Rule = "bivalve"
	// PulseRule: never eaten unless boiled.
	PulseRule Rule = "pulse"
	// PlantRule: no pathogen verdict is given.
	PlantRule Rule = "plant"
	// UnknownRule: the kind is known by name but no rule for it is; there is
	// no verdict.
	UnknownRule Rule = "unknown"
)

// Kind is one row of the food table.
type Kind struct {
	Name string // as a trial file writes it
	Rule Rule

	// Verdict reports whether a pathogen verdict applies.
	Verdict bool
	// WholeUnpasteurised reports whether whole pieces may be served not
	// pasteurised: at once, with notice, not to vulnerable people.
	WholeUnpasteurised bool
	// Parasites reports whether parasite control is asked for.
	Parasites bool
	// HistamineUnknown reports that some species of the kind form histamine
	// and the kind does not say which.
	HistamineUnknown bool

	// Diffusivity in m²/s and Conductivity in W/m/K, with where they are from.
	Diffusivity  float64
	Conductivity float64
	Source       string
}

// The practical set of properties for moist food, between 5 and 60 °C.
const (
	practicalDiffusivity  = 1.4e-7
	practicalConductivity = 0.48
	practicalSource       = "practical set for moist food; composition by Choi and Okos (1986) gives 1.3e-7 to 1.5e-7 m²/s between 5 and 55 °C"
)

// kinds in the order in which they are offered.
var kinds = func() []Kind {
	rows := []Kind{
		{Name: "lean fish", Rule: MuscleRule, Verdict: true, WholeUnpasteurised: true, Parasites: true, HistamineUnknown: true},
		{Name: "oily fish", Rule: MuscleRule, Verdict: true, WholeUnpasteurised: true, Parasites: true, HistamineUnknown: true},
		{Name: "poultry", Rule: PoultryRule, Verdict: true},
		{Name: "beef pork lamb", Rule: MuscleRule, Verdict: true, WholeUnpasteurised: true},
		{Name: "game", Rule: GameRule, Verdict: true},
		{Name: "shell egg", Rule: EggRule, Verdict: true, WholeUnpasteurised: true},
		{Name: "bivalve", Rule: BivalveRule, Verdict: true},
		{Name: "crustacean", Rule: UnknownRule, Verdict: true},
		{Name: "cephalopod", Rule: UnknownRule, Verdict: true, Parasites: true},
		{Name: "vegetable", Rule: PlantRule},
		{Name: "fruit", Rule: PlantRule},
		{Name: "pulse", Rule: PulseRule},
		{Name: "other", Rule: UnknownRule, Verdict: true},
	}
	for i := range rows {
		rows[i].Diffusivity, rows[i].Conductivity, rows[i].Source = practicalDiffusivity, practicalConductivity, practicalSource
	}
	return rows
}()

// Kinds lists the names of the kinds in the order in which they are offered.
// The caller may keep and change the slice.
func Kinds() []string {
	names := make([]string, len(kinds))
	for i, k := range kinds {
		names[i] = k.Name
	}
	return names
}

// Lookup finds a kind by its exact name.
func Lookup(name string) (Kind, bool) {
	for _, k := range kinds {
		if k.Name == name {
			return k, true
		}
	}
	return Kind{}, false
}
