package fairness

import (
	"slices"

	"tamis/internal/trial"
)

var bathTiedToSetPoint = Check{
	Slug:   "bath-tied-to-set-point",
	Family: Replication,
	Stage:  Plan,
	Short:  "the bath",
	Asks:   "Did the same bath always hold the same set point?",
	Needs:  []string{"cooks.bath", "cooks.set_point", "baths.reads"},
	Finds: "Runs are sorted by bath. Where every comparison is lost to the bath by rank it blocks, or weakens if the error of every thermometer is " +
		"known. It weakens too where some are lost, or where the corrected Cramér's V of bath and set point is above {tie-v}.",
	Clears:   "There is one bath, or every set point can be compared within baths and V is at most {tie-v}.",
	Unjudged: "A cook names no bath, and there is more than one, or nobody says how many.",
	Why:      "A bath that reads half a degree wrong, or stirs badly, hands its fault to one set point only.",
	Wording:  "{held}. A fault of one bath would look like the {factor}.",
	Others: map[string]string{
		"uneven": "The baths did not hold {levels} alike. A fault of one bath may look like the {factor}.",
	},
	Hedge:      "baths and {factor}s went together",
	Next:       "Swap the baths between runs, and read both against one reference thermometer.",
	Fix:        "swap-baths",
	Source:     "Confounding: rank of the model with both; Cramér's V with the correction of Bergsma 2013 (from memory). {tie-v} is a house rule.",
	Options:    []string{"tie-v"},
	FiresOn:    "cooks: [{id: A, set_point: 48 °C, bath: north}, {id: B, set_point: 48 °C, bath: north}, {id: C, set_point: 54 °C, bath: south}, {id: D, set_point: 54 °C, bath: south}]",
	ClearOn:    "cooks: [{id: A, set_point: 48 °C, bath: north}, {id: B, set_point: 54 °C, bath: south}, {id: C, set_point: 48 °C, bath: south}, {id: D, set_point: 54 °C, bath: north}]",
	EachFactor: true,
	Judge:      judgeBathTied,
	Example:    exampleBathTied,
}

func judgeBathTied(c *Case) Judgement {
	if !c.Compares() || c.Factor.WithinCooks() {
		return notApplicable("nothing that is applied to a whole cook is compared")
	}
	baths := c.ofRuns(func(k *trial.Cook) (string, bool) { return c.Trial.BathOf(k) })
	if len(baths.lacks) > 0 {
		if len(c.Trial.Baths) == 1 && len(baths.names) <= 1 {
			return clearBut("There is one bath.")
		}
		return cannot("cooks.bath", baths.lacks...)
	}
	t := c.together(baths)
	j, ok := c.tied(baths, t)
	if !ok {
		return clear()
	}
	j.Where.Baths = baths.names
	j.Fill["held"] = c.heldWords("the bath ", baths, "", t)
	if t.Full() && !c.allRead(baths.names) {
		j.Severity = Blocks
		j.Where.Fields = []string{"baths.reads"}
	}
	return j
}

// allRead reports whether the error of the thermometer of each bath is known.
func (c *Case) allRead(baths []string) bool {
	for _, id := range baths {
		if !slices.ContainsFunc(c.Trial.Baths, func(b trial.Bath) bool { return b.ID == id && b.Reads.Known }) {
			return false
		}
	}
	return true
}
