package safety

import (
	"slices"
	"strings"

	"tamis/internal/food"
	"tamis/internal/trial"
)

// Beside says which number a caution stands beside.
type Beside string

// The places.
const (
	BesideSetPoint Beside = "set point"
	BesideTime     Beside = "time"
	BesideCore     Beside = "core"
	BesideServing  Beside = "serving"
	BesideKeeping  Beside = "keeping"
	BesideFinish   Beside = "finish"
	BesideBag      Beside = "bag"
)

// Caution is a short text with a slug that is never reused.
type Caution struct {
	Slug   string
	Beside Beside
	Text   Words // whole sentences
}

func caution(slug string, beside Beside, parts ...any) Caution {
	return Caution{Slug: slug, Beside: beside, Text: words(parts...)}
}

// The cautions that always read alike.
var (
	notForVulnerable = caution("not-for-vulnerable", BesideServing,
		"Not for young children, pregnant women, older people or anyone with weakened immunity.")
	vulnerableToo = caution("vulnerable-too", BesideServing,
		"By calculation it may also go to young children, pregnant women, older people and people with weakened immunity, if it is eaten at once and the local code allows it.")
	tellGuests = caution("tell-guests", BesideServing,
		"Serve it at once and tell your guests and tasters that it is not fully cooked.")
	measureOnly = caution("measure-only", BesideServing,
		"The pieces may still be weighed, sheared and photographed.")
	modelEstimate = caution("model-estimate", BesideCore,
		"The core temperature is an estimate for whole contact with well-mixed water, not a validated process. Check it with a probe at the thickest point.")
	pasteurisedIsNotSterile = caution("not-sterile", BesideKeeping,
		"Pasteurised is not sterile: spores survive. Eat it at once. Chilling and keeping are not covered, and no shelf life is given.")
	plantsDoNotKeep = caution("plants-keeping", BesideKeeping,
		"Eat it at once: spores survive this heat, and in a closed bag that is not cold they can grow. Chilling and keeping are not covered, and no shelf life is given.")
	notForKeeping = caution("not-for-keeping", BesideKeeping,
		"Do not chill and keep what is not pasteurised. Reheating does not make it safe.")
	allergies = caution("allergies", BesideServing,
		"Ask tasters and guests about allergies beforehand.")
	localCode = caution("local-code", BesideSetPoint,
		"Local food codes and licensed practice come first.")
	histamine = caution("histamine", BesideSetPoint,
		"Heat does not remove histamine: keep fish below ", temp(5, 0), " until it is cooked, tuna and mackerel above all.")
	hotOil = caution("hot-pan", BesideFinish,
		"Searing: dry the piece, lay it away from you, keep a lid to hand and never leave the pan. Burning oil: heat off, lid on, no water.")
	rawInOil = caution("raw-in-bag", BesideBag,
		"Raw garlic, herbs or vegetables in oil can let spores grow. Serve at once, throw the rest away and never keep the oil.")
	hotBath = caution("hot-bath", BesideSetPoint,
		"Bath and bags at this temperature scald. Lift bags with tongs and open them away from you.")
)

// Cautions picks what is said for a verdict: lead stands right under the answer,
// rest beside the method. That something is not for vulnerable people is always
// said; that it is for them too is said unless serve asks for the public alone.
func Cautions(t *trial.Trial, v CookVerdict) (lead, rest []Caution) {
	return Lead(t, v), restOf(t, v)
}

// Lead is the lead of Cautions alone.
func Lead(t *trial.Trial, v CookVerdict) []Caution {
	kind, known := food.Lookup(t.Food.Kind.V)
	other := known && kind.Name == "other"
	lead := []Caution{verdictCaution(v)}
	switch v.Verdict {
	case DoNotEat:
		lead = append(lead, measureOnly)
	case NotPasteurised:
		lead = append(lead, tellGuests)
	}
	switch asked := len(t.Serve) == 0 || slices.Contains(t.Serve, trial.Vulnerable); {
	case v.Verdict == DoNotEat || other:
	case !v.Vulnerable:
		lead = append(lead, notForVulnerable)
	case asked && v.Verdict == Pasteurised:
		lead = append(lead, vulnerableToo)
	}
	if v.Verdict != DoNotEat && v.Verdict != NotAsked && v.Discard > 0 {
		lead = append(lead, discardCaution(v))
	}
	if c, ok := parasiteCaution(v); ok {
		lead = append(lead, c)
	}
	return lead
}

// restOf is the rest of Cautions.
func restOf(t *trial.Trial, v CookVerdict) (rest []Caution) {
	kind, known := food.Lookup(t.Food.Kind.V)
	for _, m := range v.Missing {
		rest = append(rest, caution("missing-"+m.Field, BesideSetPoint, lackWords(m)+"."))
	}
	switch v.Verdict {
	case Pasteurised:
		rest = append(rest, modelEstimate, pasteurisedIsNotSterile)
	case NotPasteurised:
		rest = append(rest, modelEstimate, notForKeeping)
	case NotAsked:
		rest = append(rest, plantsDoNotKeep)
	}
	if known {
		rest = append(rest, sources(t, kind, v)...)
	}
	if known && kind.HistamineUnknown {
		rest = append(rest, histamine)
	}
	if v.SetPoint >= 70 && t.Medium.Or(trial.WaterBath) == trial.WaterBath {
		rest = append(rest, hotBath)
	}
	if seared(t) {
		rest = append(rest, hotOil)
	}
	if rawInBag(t) {
		rest = append(rest, rawInOil)
	}
	if !known || kind.Name != "other" {
		rest = append(rest, localCode)
	}
	return append(rest, allergies)
}

// verdictCaution says the verdict and what decided it.
func verdictCaution(v CookVerdict) Caution {
	var why Words
	if len(v.Why) > 0 {
		why = v.Why[0].Text
	}
	end := words(".")
	if why != nil {
		end = words(": ", why, ".")
	}
	switch v.Verdict {
	case DoNotEat:
		return caution("verdict", BesideSetPoint, "Do not eat it and do not taste it", end)
	case NoVerdict:
		return caution("verdict", BesideSetPoint, "No verdict, so treat it as not pasteurised", end)
	case NotPasteurised:
		return caution("verdict", BesideSetPoint, "Not pasteurised", end)
	case Pasteurised:
		return caution("verdict", BesideSetPoint, "Pasteurised at the core, by calculation, if eaten at once", end)
	}
	return caution("verdict", BesideSetPoint, "No verdict on germs", end)
}

func discardCaution(v CookVerdict) Caution {
	if v.DiscardAt != "" {
		return caution("discard", BesideTime, "Throw away what is left ", mins(v.Discard), " after it went into the bath, at ", v.DiscardAt, ".")
	}
	return caution("discard", BesideTime, "Throw away what is left ", mins(v.Discard), " after it went into the bath.")
}

func parasiteCaution(v CookVerdict) (Caution, bool) {
	switch v.Parasites {
	case ParasitesFrozen:
		return caution("parasites", BesideSetPoint, "Parasites were controlled by freezing beforehand, by the record."), true
	case ParasitesExempt:
		return caution("parasites", BesideSetPoint, "Parasites: exempt from freezing, by the record."), true
	case ParasitesNotControlled, ParasitesUnknown:
		return caution("parasites", BesideSetPoint, "Parasites are not controlled: below ", temp(parasiteAt, 0), " at the core it is eaten only if it was frozen for that beforehand, with a record. A home freezer is not cold enough."), true
	}
	return Caution{}, false
}

func seared(t *trial.Trial) bool {
	for i := range t.Cooks {
		c := &t.Cooks[i]
		for p := -1; p < len(c.Pieces); p++ {
			if f := c.FinishOf(p); f.Known && !f.V.None {
				return true
			}
		}
	}
	return false
}

// rawInBag reports whether anything but the food is in a bag. Which words mean
// a raw plant is not for a program to guess.
func rawInBag(t *trial.Trial) bool {
	for i := range t.Cooks {
		if len(t.Cooks[i].Bag.V.With) > 0 {
			return true
		}
	}
	return false
}

// lackWords says what the file does not tell, in a cook's words, and what
// follows from that.
func lackWords(m Missing) string {
	if words, ok := fieldWords[m.Field]; ok {
		if strings.HasPrefix(strings.ToLower(m.Why), strings.ToLower(words)) {
			return strings.ToUpper(m.Why[:1]) + m.Why[1:] // it says so itself
		}
		return words + ": " + m.Why
	}
	return "The file does not say it all (" + m.Field + "): " + m.Why
}

var fieldWords = map[string]string{
	"food.kind":            "The kind of food is not stated",
	"food.form":            "Whether the pieces are whole is not stated",
	"food.start":           "How cold the food was at the start is not stated",
	"food.thickness":       "The thickness is not stated",
	"food.shape":           "The shape is not stated",
	"food.sides":           "The sides of the block are not stated",
	"food.frozen":          "Freezing beforehand is not described",
	"food.composition.fat": "The fat is not stated",
	"baths.checked":        "Nobody checked the thermometer of the bath",
	"baths.reads":          "The error of the bath's thermometer is not stated",
	"cooks.brine.for":      "How long the food lay in the brine is not stated",
	"cooks.probe":          "There is no log of a checked probe",
	"cooks.reheat.for":     "How long it was reheated is not stated",
	"sources.kept_at":      "How cold the fish was kept is not stated",
	"cooks.brine.at":       "How cold the brine was is not stated",
	"cooks.chill":          "The chilling is not described",
	"cooks.set_point":      "The set point is not stated",
	"cooks.time":           "The time in the bath is not stated",
	"cooks.log":            "There is no probe log",
	"medium":               "The heat is not that of a water bath",
}
