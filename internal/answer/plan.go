package answer

import (
	"path"
	"reflect"

	"tamis/internal/design"
	"tamis/internal/prose"
	"tamis/internal/quantity"
)

// PlanSchema is the version of the JSON of a Plan.
const PlanSchema = "plan/1"

// Plan is what was laid out, as a versioned result. It names codes in their
// serving orders and not the pieces behind them: that is the key, a file of its
// own.
type Plan struct {
	Tamis       string          `json:"tamis"`
	Version     string          `json:"version"`
	Title       string          `json:"title,omitempty"`
	File        string          `json:"file,omitempty"`
	Seed        uint64          `json:"seed"`
	OrderWithin quantity.Number `json:"order_within"` // the largest correlation of run order and set point that was allowed
	R           quantity.Number `json:"r"`            // of the order drawn, by value
	Rho         quantity.Number `json:"rho"`          // and by rank
	NotTasted   bool            `json:"not_tasted"`   // it must not be eaten: it is weighed and sheared
	Arms        []PlanArm       `json:"arms"`
	Cooks       []PlanCook      `json:"cooks"` // in their run order
	Sittings    []PlanSitting   `json:"sittings"`
	Triangles   *PlanTriangles  `json:"triangles,omitempty"` // where the design asks for them
	Meetings    []PlanMeeting   `json:"meetings"`
	Balance     []PlanBalance   `json:"balance"`
	Taken       []Sentence      `json:"taken"`
	Confounded  []PlanRemark    `json:"confounded"`
	Spare       []string        `json:"spare"` // pieces that are left over
	Wrote       []string        `json:"wrote"` // the files
}

// PlanArm is one set point.
type PlanArm struct {
	SetPoint  float64         `json:"set_point"` // °C
	Cooks     []string        `json:"cooks"`
	Pieces    int             `json:"pieces"`
	Mass      quantity.Number `json:"mass"`      // mean, g
	Thickness quantity.Number `json:"thickness"` // mean, mm
	Verdict   string          `json:"verdict"`
}

// PlanCook is one cook with its pieces.
type PlanCook struct {
	Cook     string          `json:"cook"`
	SetPoint quantity.Number `json:"set_point"` // °C
	Session  string          `json:"session,omitempty"`
	Bath     string          `json:"bath,omitempty"`
	Order    int             `json:"order"`
	Pieces   []PlanPiece     `json:"pieces"`
}

// PlanPiece is one piece of a cook.
type PlanPiece struct {
	Piece     string `json:"piece"`
	Source    string `json:"source,omitempty"`
	Part      string `json:"part,omitempty"`
	Treatment string `json:"treatment,omitempty"` // brine, finish and further factors
}

// PlanSitting is what one assessor tastes in a row, by code.
type PlanSitting struct {
	Assessor string   `json:"assessor"`
	Session  string   `json:"session,omitempty"`
	Codes    []string `json:"codes"`
}

// PlanTriangles is what was laid out of triangle tests.
type PlanTriangles struct {
	Sets      int            `json:"sets"`       // in all
	PerPerson int            `json:"per_person"` // sets of each assessor
	OrderLow  int            `json:"order_low"`  // how often the rarest of the orders AAB, ABA, BAA, BBA, BAB, ABB occurs
	OrderHigh int            `json:"order_high"` // and the most frequent one
	Served    []PlanTriangle `json:"served"`
}

// PlanTriangle is one set, by code in the order in which it is tasted. Which
// portion is the odd one is in the key.
type PlanTriangle struct {
	Assessor string   `json:"assessor"`
	Session  string   `json:"session,omitempty"`
	Set      int      `json:"set"`
	Codes    []string `json:"codes"`
}

// PlanMeeting is how evenly the set points meet something else.
type PlanMeeting struct {
	What   string `json:"what"`
	Levels int    `json:"levels"`
	Low    int    `json:"low"`
	High   int    `json:"high"`
	Lost   int    `json:"lost"` // differences between set points that cannot be told from it
}

// PlanBalance is the largest difference of means between levels.
type PlanBalance struct {
	Size   string          `json:"size"`
	Factor string          `json:"factor"`
	D      quantity.Number `json:"d"` // in standard deviations within levels
	Share  quantity.Number `json:"share"`
}

// PlanRemark is one thing that stays confounded.
type PlanRemark struct {
	Slug string   `json:"slug"`
	Text Sentence `json:"text"`
}

// PlanJSONSchema is the JSON Schema of a Plan.
func PlanJSONSchema() ([]byte, error) { return schemaOf(reflect.TypeFor[Plan](), PlanSchema) }

// PlanOf is a plan as a result. The plan is not altered.
func PlanOf(p *design.Plan) *Plan {
	t := p.Trial
	number := func(v float64) quantity.Number { return quantity.Num(v) }
	out := &Plan{Tamis: PlanSchema, Version: Version, Title: t.Title.V, File: path.Base(t.Origin.File), Seed: p.Seed, OrderWithin: number(p.OrderWithin),
		R: number(p.R), Rho: number(p.Rho), NotTasted: p.NotTasted, Arms: []PlanArm{}, Cooks: []PlanCook{}, Sittings: []PlanSitting{}, Meetings: []PlanMeeting{},
		Balance: []PlanBalance{}, Taken: append([]prose.Sentence{}, p.Taken...), Confounded: []PlanRemark{}, Spare: append([]string{}, p.Spare...), Wrote: []string{}}
	for _, a := range p.Arms {
		arm := PlanArm{SetPoint: a.SetPoint.Celsius(), Cooks: []string{}, Pieces: a.Pieces, Mass: a.Mass, Thickness: a.Thickness, Verdict: a.Verdict.Verdict.String()}
		for _, i := range a.Cooks {
			arm.Cooks = append(arm.Cooks, t.Cooks[i].ID)
		}
		out.Arms = append(out.Arms, arm)
	}
	for i := range t.Cooks {
		c := &t.Cooks[i]
		cook := PlanCook{Cook: c.ID, SetPoint: quantity.Absent("the set point is not stated"), Session: c.Session.V, Bath: c.Bath.V, Order: c.Order.V, Pieces: []PlanPiece{}}
		if c.SetPoint.Known {
			cook.SetPoint = number(c.SetPoint.V.Celsius())
		}
		for j := range c.Pieces {
			x, tr := &c.Pieces[j], c.Treatments(j)
			piece := PlanPiece{Piece: x.ID, Source: x.Source.V, Part: x.Part.V}
			add := func(s string) {
				if piece.Treatment != "" {
					piece.Treatment += ", "
				}
				piece.Treatment += s
			}
			if tr.Brine.Known {
				add(tr.Brine.V.Label())
			}
			if tr.Finish.Known && !tr.Finish.V.None {
				add(tr.Finish.V.Label())
			}
			for _, l := range tr.With {
				add(l.Factor + " " + l.Level)
			}
			cook.Pieces = append(cook.Pieces, piece)
		}
		out.Cooks = append(out.Cooks, cook)
	}
	for _, s := range design.Sittings(t) {
		sitting := PlanSitting{Assessor: s.Assessor, Session: s.Session, Codes: []string{}}
		for _, x := range s.Tastes {
			sitting.Codes = append(sitting.Codes, x.Code)
		}
		out.Sittings = append(out.Sittings, sitting)
	}
	if v := p.Triangles; v != nil {
		out.Triangles = &PlanTriangles{Sets: v.Sets, PerPerson: v.PerPerson, OrderLow: v.OrderLow, OrderHigh: v.OrderHigh, Served: []PlanTriangle{}}
		for _, x := range t.Panel.V.Triangles {
			out.Triangles.Served = append(out.Triangles.Served, PlanTriangle{x.Assessor, x.Session.V, x.Set, x.Codes[:]})
		}
	}
	for _, m := range p.Meetings {
		out.Meetings = append(out.Meetings, PlanMeeting{m.What, m.Levels, m.Low, m.High, m.Lost})
	}
	for _, b := range p.Balance {
		out.Balance = append(out.Balance, PlanBalance{b.Size, b.Factor, b.D, b.Share})
	}
	for _, r := range p.Confounded {
		out.Confounded = append(out.Confounded, PlanRemark{r.Slug, r.Text})
	}
	return out
}
