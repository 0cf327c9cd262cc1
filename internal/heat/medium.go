package heat

import (
	"sync"

	"tamis/internal/heat/conduct"
	"tamis/internal/trial"
)

// Coefficient is the range in which the effective heat transfer coefficient of a
// medium lies, W/m²/K, with where it is from and what it leaves out.
type Coefficient struct {
	Low, Mid, High float64
	Source         string
	Lacks          string // what a prediction with it does not know; "" for a moving water bath
}

// Coefficients gives the range of a medium. ok is false where nothing useful is
// known; Lacks then says why, and a probe log is the only way.
//
// A water film alone has 200 to 1200; what a bagged piece meets is less, because
// of the bag, its folds, trapped liquid and neighbours. The low end is therefore
// the value that is used for verdicts.
func Coefficients(m trial.Medium) (c Coefficient, ok bool) {
	switch m {
	case trial.WaterBath:
		return stirred(), true
	case trial.Steam:
		return steam(), true
	case trial.Oven, trial.Smoke:
		return Coefficient{Lacks: "an open surface loses water and stays well below the air, and the core never comes near it"}, false
	case trial.Pan:
		return Coefficient{Lacks: "one side touches metal, how well nobody knows, and is turned"}, false
	case trial.Oil:
		return Coefficient{Lacks: "boiling water drives the oil away from the surface"}, false
	}
	return Coefficient{Lacks: "nothing is known of this medium"}, false
}

// The media of which something is known, put together once.
var (
	stirred = sync.OnceValue(func() Coefficient { return coefficientOf("stirred-bath") })
	steam   = sync.OnceValue(func() Coefficient { return coefficientOf("steam") })
)

func coefficientOf(surface string) Coefficient {
	s, _ := conduct.SurfaceOf(surface)
	c := Coefficient{Low: s.Low, Mid: s.Likely, High: s.High, Source: s.Name + ": " + s.Source}
	if s.Memory {
		c.Source += ", to be confirmed"
	}
	if surface != "stirred-bath" {
		c.Lacks = s.Lacks
	}
	return c
}
