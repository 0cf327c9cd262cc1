package trial

import (
	"tamis/internal/diag"
	"tamis/internal/quantity"
)

// Cook is one run of one bath at one set point for one time: the unit to which
// a set point is applied.
type Cook struct {
	ID       string
	SetPoint Opt[quantity.Temperature]
	Time     Opt[quantity.Duration] // in the bath
	Hold     Opt[quantity.Duration] // from the core's arrival
	Bath     Opt[string]
	Session  Opt[string]
	Order    Opt[int] // run order within the session
	Block    Opt[string]
	Treatment
	Bag      Opt[Bag]
	Vacuum   Opt[quantity.Share]
	Chill    Opt[Chill]
	Reheat   Opt[Reheat]
	Load     Opt[quantity.Mass]
	Ramp     Opt[bool]
	Started  Opt[Clock]
	Out      Opt[Clock]
	Served   Opt[Clock]
	ServedAt Opt[quantity.Temperature]
	LogFile  Opt[string]
	Log      []LogPoint
	Probe    Opt[Probe] // that gave the core of the log
	Pieces   []Piece
	// Values are measures put straight on the cook, by name of the measure.
	Values Readings
	// Extra are columns of the table of cooks that are no key of the format.
	Extra []Extra
	Notes Opt[string]
	At    diag.Pos
}

// Extra is a cell of a column that is no key of the format: what somebody thought
// worth writing down, as it stands there and, where it is a number, as that.
type Extra struct {
	Name, Text string
	IsNumber   bool
	Number     float64
	Unit       string // of the number, behind it or in the heading; "" for none
}

// BathOf is the bath that a cook was in: the one it names or, where no cook names
// one and the file lists just one, that.
func (t *Trial) BathOf(k *Cook) (id string, known bool) {
	if k.Bath.Known || len(t.Baths) != 1 {
		return k.Bath.V, k.Bath.Known
	}
	for i := range t.Cooks {
		if t.Cooks[i].Bath.Known {
			return "", false
		}
	}
	return t.Baths[0].ID, true
}

// Treatment is what a cook applies to its pieces and a piece may override.
type Treatment struct {
	Brine  Opt[Brine]
	Finish Opt[Finish]
	With   []Level // levels of declared factors
}

// Level is the level of a declared factor.
type Level struct {
	Factor, Level string
	At            diag.Pos
}

// BrineKind tells a wet brine from a dry one.
type BrineKind string

// The kinds of brine.
const (
	NoBrine  BrineKind = "none"
	WetBrine BrineKind = "wet"
	DryBrine BrineKind = "dry"
)

// Brine is a brine, wet or dry, or the statement that there was none.
type Brine struct {
	Kind  BrineKind
	Salt  Opt[quantity.Share]
	Of    Opt[BrineOf]
	Sugar Opt[quantity.Share]
	AtTmp Opt[quantity.Temperature]
	For   Opt[quantity.Duration]
	Tub   Opt[string]
}

// Finish is what happened between bath and plate. None says that nothing did.
type Finish struct {
	None    bool
	Sear    Opt[quantity.Duration]
	PerSide bool
	Pan     Opt[string]
	PanAt   Opt[quantity.Temperature]
	Words   Opt[string]
}

// Bag is how the food was packed.
type Bag struct {
	Seal Opt[Seal]
	With []string // what else is in it
}

// Chill is cooling after the bath. Is false says that there was none.
type Chill struct {
	Is     bool
	In     Opt[string]
	Into   Opt[Clock]
	Core   Opt[quantity.Temperature]
	AtTime Opt[Clock]
	KeptAt Opt[quantity.Temperature]
	For    Opt[quantity.Duration]
}

// Reheat is warming up again.
type Reheat struct {
	AtTmp Opt[quantity.Temperature]
	For   Opt[quantity.Duration]
}

// Probe is the thermometer that gave the core of a log.
type Probe struct {
	Piece   Opt[string]              // in which piece
	At      Opt[ProbePlace]          // where in it
	Reads   Opt[quantity.Difference] // reading minus truth: "0.1 °C high" is +0.1 K
	Checked Opt[Date]
}

// LogPoint is one line of a probe log.
type LogPoint struct {
	Minutes float64 // since the first line
	Core    Opt[quantity.Temperature]
	Bath    Opt[quantity.Temperature]
}

// Piece is one portion in a cook.
type Piece struct {
	ID        string
	Source    Opt[string]
	Part      Opt[string]
	Thickness Opt[quantity.Length]
	Before    Opt[quantity.Mass]
	Brined    Opt[quantity.Mass]
	After     Opt[quantity.Mass]
	Bag       Opt[string]
	Start     Opt[quantity.Temperature]
	Out       Opt[Clock]
	Served    Opt[Clock]
	ServedAt  Opt[quantity.Temperature]
	Lost      Opt[string]
	Treatment
	Values Readings
	Extra  []Extra // as of a cook
	Notes  Opt[string]
	At     diag.Pos
}
