package fairness

import (
	"math"
	"slices"

	"tamis/internal/food"
	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

var searHidesSetPoint = Check{
	Slug:   "sear-hides-set-point",
	Short:  "a deep sear",
	Family: Finishing,
	Stage:  Plan,
	Asks:   "Does the sear cook so deep that the set point hardly shows?",
	Needs:  []string{"finish.sear", "food.thickness", "pieces.thickness", "food.kind"},
	Finds: "Heat reaches about √(4·a·t) into the flesh in the time t, with a the diffusivity of the food. The reach from every seared face " +
		"is taken as a share of the thickness. Above {sear-share} it is a note, above {sear-share-big} it weakens.",
	Clears:   "The share is at most {sear-share}, or nothing was seared.",
	Unjudged: "A sear has no time, or a seared piece no thickness.",
	Why: "45 s a side reaches about 5 mm from each face: two fifths of a piece of 25 mm. What the pan cooked is the same at every set point, " +
		"so it makes the set points look alike.",
	Wording: "The sear reached about {depth} from {faces}, {share} of the piece. That part is the same at every set point, so differences look smaller than they are.",
	Hedge:   "the sear cooked {share} of the piece",
	Next:    "Take the bite from the middle, or taste without a sear where nobody relies on it for the surface.",
	Eats:    true,
	Fix:     "no-sear",
	Source:  "√(4at) is the reach of a step at the surface of a thick body (Carslaw and Jaeger 1959, from memory); the shares are house rules.",
	Options: []string{"sear-share", "sear-share-big"},
	FiresOn: "food: {name: trout, thickness: 25 mm}\ncooks: [{id: A, set_point: 46 °C, finish: {sear: 45 s per side}}, {id: B, set_point: 52 °C, finish: {sear: 45 s per side}}]",
	ClearOn: "food: {name: trout, thickness: 40 mm}\ncooks: [{id: A, set_point: 46 °C, finish: {sear: 30 s per side}, pieces: [{thickness: 40 mm}]}, {id: B, set_point: 52 °C, finish: {sear: 30 s per side}, pieces: [{thickness: 40 mm}]}]",
	Judge:   judgeSearDepth,
	Example: func() prose.Sentence {
		f := trial.Finish{Sear: trial.Some(quantity.FromSeconds(45)), PerSide: true}
		depth, share, _ := searReach(f, anyFood, 25)
		return prose.Say("Two set points differ by 2.0 points all through. Seared for 45 s a side, a piece of ", millimetres(25), " is cooked by the pan to ", millimetres(depth),
			" from each face, ", percent(share), " of it. If the bite is the mean of its layers, ", amount(2*(1-share), "", 1), " points are left to see.")
	},
}

// anyFood is the diffusivity, m²/s, of a food of which the kind is not stated.
const anyFood = 1.4e-7

func judgeSearDepth(c *Case) Judgement {
	if !c.Compares() {
		return notApplicable("nothing is compared")
	}
	diffusivity := anyFood
	if k, ok := food.Lookup(c.Trial.Food.Kind.V); ok && k.Diffusivity > 0 {
		diffusivity = k.Diffusivity
	}
	var share, depth float64 // of the worst piece
	var faces int
	var where Where
	var noTime, noThickness []string
	seared := false
	for ci := range c.Trial.Cooks {
		k := &c.Trial.Cooks[ci]
		deep := false
		for pi := -1; pi < len(k.Pieces); pi++ {
			if pi < 0 && len(k.Pieces) > 0 {
				continue
			}
			f := k.FinishOf(pi)
			if !f.Known || f.V.None || f.V.Words.Known && !f.V.Sear.Known || c.level(ci, pi) < 0 {
				continue // what words say of a finish is not read for a sear
			}
			seared = true
			mm := c.Trial.Food.Thickness
			if pi >= 0 && k.Pieces[pi].Thickness.Known {
				mm = k.Pieces[pi].Thickness
			}
			switch {
			case !f.V.Sear.Known:
				noTime = append(noTime, k.ID)
				continue
			case !mm.Known || mm.V.Millimetres() <= 0:
				noThickness = append(noThickness, k.ID)
				continue
			}
			d, s, n := searReach(f.V, diffusivity, mm.V.Millimetres())
			if s > c.set.number("sear-share") {
				deep = true
			}
			if s > share {
				share, depth, faces = s, d, n
			}
		}
		if deep {
			where.Cooks = append(where.Cooks, k.ID)
		}
	}
	switch {
	case !seared:
		return notApplicable("nothing was seared")
	case len(where.Cooks) > 0:
	case len(noTime) > 0:
		return cannot("finish.sear", slices.Compact(noTime)...)
	case len(noThickness) > 0:
		return cannot("food.thickness", slices.Compact(noThickness)...)
	default:
		return clear()
	}
	where.At = c.cookPlace(where.Cooks)
	j := Judgement{Outcome: Fires, Severity: Note, Statistic: "seared share of the thickness", Value: quantity.Num(share),
		Threshold: quantity.Num(c.set.number("sear-share")), Option: "sear-share", Where: where,
		Fill: Fill{"depth": millimetres(depth), "share": percent(share), "faces": map[int]string{1: "one face", 2: "each face"}[faces]}}
	if big := c.set.number("sear-share-big"); share > big {
		j.Severity, j.Threshold, j.Option = Weakens, quantity.Num(big), "sear-share-big"
	}
	return j
}

// searReach is how deep a sear reaches from a face, mm, the share of the
// thickness that it reached, at most 1, and from how many faces. A time that is
// not per side is that of one face.
func searReach(f trial.Finish, diffusivity, thickness float64) (depth, share float64, faces int) {
	faces = 1
	if f.PerSide {
		faces = 2
	}
	depth = 1000 * math.Sqrt(4*diffusivity*f.Sear.V.Seconds())
	return depth, math.Min(1, float64(faces)*depth/thickness), faces
}

// millimetres is a length in a sentence, to a millimetre above 2 mm.
func millimetres(v float64) prose.Quantity {
	if v > 2 {
		v = math.Round(v)
	} else {
		v = math.Round(10*v) / 10
	}
	return prose.Quantity{Kind: prose.Length, Value: v}
}
