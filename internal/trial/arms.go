package trial

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"tamis/internal/quantity"
)

// ArmTolerance is how far two set points may differ, in °C, and still be the
// same arm: a house rule.
const ArmTolerance = 0.05

// Arm is the cooks with one set point.
type Arm struct {
	SetPoint quantity.Temperature // as the first cook of the arm writes it
	Cooks    []int                // indices into Trial.Cooks
}

// Label is the set point as it was typed, in its unit, with at most two
// decimals: arms lie further apart than that, and 51.666666666666664 °C is the
// trace of a conversion.
func (a Arm) Label() string {
	s := a.SetPoint.String()
	number, unit, ok := strings.Cut(s, " ")
	_, decimals, _ := strings.Cut(number, ".")
	if !ok || len(decimals) <= 2 {
		return s
	}
	v, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return s
	}
	return strconv.FormatFloat(math.Round(100*v)/100, 'f', -1, 64) + " " + unit
}

// Arms groups the cooks by set point, coldest first. Cooks without a set point
// are in no arm.
func (t *Trial) Arms() []Arm {
	type at struct {
		cook int
		c    float64
	}
	all := make([]at, 0, len(t.Cooks))
	for i := range t.Cooks {
		if t.Cooks[i].SetPoint.Known {
			all = append(all, at{i, t.Cooks[i].SetPoint.V.Celsius()})
		}
	}
	slices.SortStableFunc(all, func(a, b at) int {
		// By id, not in the order of the file.
		return cmp.Or(cmp.Compare(a.c, b.c), naturally(t.Cooks[a.cook].ID, t.Cooks[b.cook].ID))
	})
	var arms []Arm
	cooks := make([]int, len(all)) // those of all arms, one after the other
	start, from := math.Inf(-1), 0
	for i, a := range all {
		// The first member fixes the arm, so a chain of small steps cannot
		// join two set points that are far apart.
		if a.c-start > ArmTolerance+1e-9 {
			arms = append(arms, Arm{SetPoint: t.Cooks[a.cook].SetPoint.V})
			start, from = a.c, i
		}
		cooks[i] = a.cook
		arms[len(arms)-1].Cooks = cooks[from : i+1 : i+1]
	}
	for i := range arms {
		slices.Sort(arms[i].Cooks)
	}
	return arms
}

// The names of the factors that every trial may vary. Declared factors are
// named as the file names them.
const (
	SetPointFactor = "set_point"
	TimeFactor     = "time"
	HoldFactor     = "hold"
	BrineFactor    = "brine"
	FinishFactor   = "finish"
)

// Treatments returns what was done to one piece: the cook's own treatment with
// the overrides of the piece. A piece index of -1 gives the cook's.
func (c *Cook) Treatments(piece int) Treatment {
	tr := c.Treatment
	if piece < 0 || piece >= len(c.Pieces) {
		return tr
	}
	p := c.Pieces[piece].Treatment
	if p.Brine.Known {
		tr.Brine = p.Brine
	}
	if p.Finish.Known {
		tr.Finish = p.Finish
	}
	if len(p.With) > 0 {
		with := append([]Level(nil), tr.With...)
		for _, l := range p.With {
			i := 0
			for i < len(with) && with[i].Factor != l.Factor {
				i++
			}
			if i == len(with) {
				with = append(with, l)
			} else {
				with[i] = l
			}
		}
		tr.With = with
	}
	return tr
}

// levelOf gives the level of one factor for one piece of one cook, and false
// where the file does not say. Set points are handled by Varied, which knows
// the arms.
func (c *Cook) levelOf(factor string, piece int) (string, bool) {
	switch factor {
	case TimeFactor:
		if d, ok := c.BathTime(); ok {
			return d.String(), true
		}
		return "", false
	case HoldFactor:
		return c.Hold.V.String(), c.Hold.Known
	case BrineFactor:
		b := c.BrineOf(piece)
		return b.V.Label(), b.Known
	case FinishFactor:
		f := c.FinishOf(piece)
		return f.V.Label(), f.Known
	}
	for _, l := range c.Treatments(piece).With {
		if l.Factor == factor {
			return l.Level, true
		}
	}
	return "", false
}

// BrineOf is the brine of Treatments, where it stands in the record.
func (c *Cook) BrineOf(piece int) *Opt[Brine] {
	if piece >= 0 && piece < len(c.Pieces) && c.Pieces[piece].Brine.Known {
		return &c.Pieces[piece].Brine
	}
	return &c.Brine
}

// FinishOf is the finish of Treatments, where it stands in the record.
func (c *Cook) FinishOf(piece int) *Opt[Finish] {
	if piece >= 0 && piece < len(c.Pieces) && c.Pieces[piece].Finish.Known {
		return &c.Pieces[piece].Finish
	}
	return &c.Finish
}

// BathTime is the time in the bath, as written or from started and out.
func (c *Cook) BathTime() (quantity.Duration, bool) {
	if c.Time.Known {
		return c.Time.V, true
	}
	if c.Started.Known && c.Out.Known {
		return quantity.FromMinutes(c.Out.V.MinutesAfter(c.Started.V)), true
	}
	return quantity.Duration{}, false
}

func (b Brine) short() string {
	switch b.Kind {
	case NoBrine:
		return "plain"
	case DryBrine:
		return "dry-brined"
	case WetBrine:
		return "brined"
	}
	return ""
}

// brineName is all of a brine that its label shows.
type brineName struct {
	kind        BrineKind
	salt        quantity.Share
	soak        quantity.Duration
	salted, set bool
}

func (b *Brine) name() brineName {
	return brineName{b.Kind, b.Salt.V, b.For.V, b.Salt.Known, b.For.Known}
}

// Label names a brine with what is known of it.
func (b Brine) Label() string {
	s := b.short()
	if b.Kind == NoBrine {
		return s
	}
	var detail []string
	if b.Salt.Known {
		detail = append(detail, b.Salt.V.String())
	}
	if b.For.Known {
		detail = append(detail, b.For.V.String())
	}
	if len(detail) > 0 {
		s += " (" + strings.Join(detail, ", ") + ")"
	}
	return s
}

// Label names a finish in a few words.
func (f Finish) Label() string {
	switch {
	case f.None:
		return "no finish"
	case f.Sear.Known && f.PerSide:
		return fmt.Sprintf("seared %s per side", f.Sear.V)
	case f.Sear.Known:
		return fmt.Sprintf("seared %s", f.Sear.V)
	case f.Words.Known:
		return f.Words.V
	}
	return "finished"
}

// ArmsOf lists the arms of some observations, coldest first, and nothing when
// a cook among them has no set point.
func (t *Trial) ArmsOf(rows []Observation) []Arm {
	used := map[int]bool{}
	for _, r := range rows {
		if !t.Cooks[r.Cook].SetPoint.Known {
			return nil
		}
		used[r.Cook] = true
	}
	var out []Arm
	for _, a := range t.Arms() {
		for _, c := range a.Cooks {
			if used[c] {
				out = append(out, a)
				break
			}
		}
	}
	return out
}
