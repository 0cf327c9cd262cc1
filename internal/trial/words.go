package trial

// The closed vocabularies of the trial file. Each type's values are exactly the
// words that a file uses.

// Status of a trial.
type Status string

// The stages of a trial.
const (
	Idea    Status = "idea"
	Planned Status = "planned"
	Cooked  Status = "cooked"
	Decided Status = "decided"
	Dropped Status = "dropped"
)

// Statuses lists the words for Status in their order.
var Statuses = []Status{Idea, Planned, Cooked, Decided, Dropped}

// Group is a group of people whose verdict is asked for.
type Group string

// The groups that a verdict is given for.
const (
	Public     Group = "public"
	Vulnerable Group = "vulnerable"
)

// Eaters lists the words for Group.
var Eaters = []Group{Public, Vulnerable}

// Rules names whose published minimums apply.
type Rules string

// The authorities that a trial can name.
const (
	RulesUS    Rules = "us"
	RulesEU    Rules = "eu"
	RulesUK    Rules = "uk"
	RulesOther Rules = "other"
)

// RuleSets lists the words for Rules.
var RuleSets = []Rules{RulesUS, RulesEU, RulesUK, RulesOther}

// Medium is what carries the heat. Absent means a water bath.
type Medium string

// The media.
const (
	WaterBath   Medium = "water bath"
	Steam       Medium = "steam"
	Oven        Medium = "oven"
	Pan         Medium = "pan"
	Oil         Medium = "oil"
	Smoke       Medium = "smoke"
	OtherMedium Medium = "other"
)

// Noun is what holds the set point, for a sentence: "the bath", "the oven".
func (m Medium) Noun() string {
	switch m {
	case Steam:
		return "steam oven"
	case Oven, Pan:
		return string(m)
	case Oil:
		return "oil"
	case Smoke:
		return "smoker"
	case OtherMedium:
		return "heat"
	}
	return "bath"
}

// Media lists the words for Medium.
var Media = []Medium{WaterBath, Steam, Oven, Pan, Oil, Smoke, OtherMedium}

// Form says whether the food is one intact muscle or was opened up. Absent
// means not known, and then there is no verdict.
type Form string

// The forms.
const (
	Whole      Form = "whole"
	Minced     Form = "minced"
	Tenderised Form = "tenderised"
	Injected   Form = "injected"
	Rolled     Form = "rolled"
	Stuffed    Form = "stuffed"
)

// Forms lists the words for Form.
var Forms = []Form{Whole, Minced, Tenderised, Injected, Rolled, Stuffed}

// Shape is the geometry in which heat is thought to flow.
type Shape string

// The shapes.
const (
	Slab     Shape = "slab"
	Cylinder Shape = "cylinder"
	Sphere   Shape = "sphere"
	Block    Shape = "block"
)

// Shapes lists the words for Shape.
var Shapes = []Shape{Slab, Cylinder, Sphere, Block}

// BrineOf says what a salt share is a share of.
type BrineOf string

// The denominators of a salt share.
const (
	OfWater         BrineOf = "water"
	OfBrine         BrineOf = "brine"
	OfFlesh         BrineOf = "flesh"
	OfFleshAndWater BrineOf = "flesh and water"
)

// BrineBases lists the words for BrineOf.
var BrineBases = []BrineOf{OfWater, OfBrine, OfFlesh, OfFleshAndWater}

// Seal says how the air left the bag.
type Seal string

// The seals.
const (
	Chamber   Seal = "chamber"
	Clamp     Seal = "clamp"
	Displaced Seal = "displaced"
	NoSeal    Seal = "none"
)

// Seals lists the words for Seal.
var Seals = []Seal{Chamber, Clamp, Displaced, NoSeal}

// AssessorKind says what an assessor is to the trial.
type AssessorKind string

// The kinds of assessor.
const (
	Trained  AssessorKind = "trained"
	Consumer AssessorKind = "consumer"
	Staff    AssessorKind = "staff"
)

// AssessorKinds lists the words for AssessorKind.
var AssessorKinds = []AssessorKind{Trained, Consumer, Staff}

// Mask says whether the assessors could see the difference.
type Mask string

// The masks.
const (
	RedLight  Mask = "red light"
	Blindfold Mask = "blindfold"
	NoMask    Mask = "no"
)

// Masks lists the words for Mask.
var Masks = []Mask{RedLight, Blindfold, NoMask}

// Layout says whether every assessor was to taste everything.
type Layout string

// The layouts of a panel.
const (
	Complete         Layout = "complete"
	IncompleteBlocks Layout = "incomplete blocks"
)

// Layouts lists the words for Layout.
var Layouts = []Layout{Complete, IncompleteBlocks}

// TestKind is the kind of a difference test.
type TestKind string

// The difference tests.
const (
	Triangle     TestKind = "triangle"
	DuoTrio      TestKind = "duo-trio"
	TwoAFC       TestKind = "2-AFC"
	ThreeAFC     TestKind = "3-AFC"
	PairedTwoWay TestKind = "paired"
)

// TestKinds lists the words for TestKind.
var TestKinds = []TestKind{Triangle, DuoTrio, TwoAFC, ThreeAFC, PairedTwoWay}

// ParasiteControl says how parasites in fish were controlled.
type ParasiteControl string

// The controls.
const (
	ByFreezing ParasiteControl = "frozen"
	ByFeed     ParasiteControl = "feed"
	Exempt     ParasiteControl = "exempt"
	NoControl  ParasiteControl = "none"
)

// ParasiteControls lists the words for ParasiteControl.
var ParasiteControls = []ParasiteControl{ByFreezing, ByFeed, Exempt, NoControl}

// ProbePlace says where in a piece a probe sat.
type ProbePlace string

// The places.
const (
	ProbeCentre    ProbePlace = "centre"
	ProbeElsewhere ProbePlace = "elsewhere"
)

// ProbePlaces lists the words for ProbePlace.
var ProbePlaces = []ProbePlace{ProbeCentre, ProbeElsewhere}
