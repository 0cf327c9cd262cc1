package reporttest

import (
	"fmt"
	"strings"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// Planned is a trial before the cook: two sessions, fish that is served barely
// warm, codes, serving orders, and one cook that must not be eaten because it
// would stay lukewarm for too long.
func Planned() *trial.Trial {
	return planned(func(s string) string { return s })
}

// HostilePlan is Planned with markup, controls and marks of direction in every
// text that a file can hold.
func HostilePlan() *trial.Trial {
	return planned(func(s string) string {
		return s + "</style><script>alert(1)</script><img src=x onerror=alert(1)>\u202e\x00&amp;{{.}}"
	})
}

// LongPlan is Planned with names as long as a file may hold, broken nowhere, and
// times and set points that take two lines.
func LongPlan() *trial.Trial {
	t := planned(func(s string) string {
		return s + " of-the-" + strings.Repeat("Donaudampfschifffahrtselektrizität", 2) + "-second-boat"
	})
	for i := range t.Cooks {
		t.Cooks[i].SetPoint = trial.Some(quantity.Celsius(47.7))
		t.Cooks[i].Time = trial.Some(quantity.FromMinutes(90))
	}
	return t
}

// FortyPieces is Planned with ten cooks of four pieces.
func FortyPieces() *trial.Trial {
	t := Planned()
	t.Panel.V.Key, t.Panel.V.Scores = nil, nil
	first := t.Cooks[0]
	first.Started = trial.Opt[trial.Clock]{}
	t.Cooks = nil
	for i := range 10 {
		c := first
		c.ID = fmt.Sprintf("C%02d", i+1)
		c.Session, c.Order = trial.Some(t.Sessions[i/5].ID), trial.Some(1+i%5)
		c.Pieces = nil
		for j := range 4 {
			p := first.Pieces[j%2]
			p.ID = fmt.Sprintf("%s-%d", c.ID, j+1)
			c.Pieces = append(c.Pieces, p)
			code := fmt.Sprint(200 + 17*(4*i+j))
			t.Panel.V.Key = append(t.Panel.V.Key, trial.KeyEntry{Code: code, Piece: p.ID})
			for _, who := range []string{"anna", "ben"} {
				t.Panel.V.Scores = append(t.Panel.V.Scores, trial.Score{Assessor: who, Session: c.Session, Position: trial.Some(4*(i%5) + j + 1), Code: trial.Some(code),
					Piece: trial.Some(p.ID), Cook: c.ID, Values: trial.ReadingOf("firmness", trial.Reading{Missing: true})})
			}
		}
		t.Cooks = append(t.Cooks, c)
	}
	return t
}

func planned(word func(string) string) *trial.Trial {
	text := func(s string) trial.Opt[string] { return trial.Some(word(s)) }
	t := &trial.Trial{Title: text("Pollack, 44 to 48 °C"), By: text("Saltholm test kitchen"), Status: trial.Some(trial.Planned),
		Date: trial.Some(trial.Date{Year: 2026, Month: 3, Day: 10}), Serve: []trial.Group{trial.Public}, Rules: trial.Some(trial.RulesEU)}
	t.Origin = trial.Origin{File: "planned.yaml", Base: word("planned.yaml"), SHA256: "0123456789abcdef", Files: []string{"planned.yaml"}}
	t.Food = trial.Food{Name: text("pollack loin"), Kind: trial.Some("lean fish"), Form: trial.Some(trial.Whole), Shape: trial.Some(trial.Slab),
		Thickness: trial.Some(quantity.Millimetres(18)), Start: trial.Some(quantity.Celsius(4)),
		Frozen: trial.Some(trial.Frozen{Is: true, Tmp: trial.Some(quantity.Celsius(-20)), For: trial.Some(quantity.FromDays(7)), By: trial.Some("supplier")})}
	t.Measures = []trial.Measure{
		{Name: "firmness", Kind: trial.ScaleScore, Scale: trial.Range{Low: 0, High: 10}, LowWord: text("falls apart"), HighWord: text("rubbery")},
		{Name: "flake", Kind: trial.JustRight, Scale: trial.Range{Low: 1, High: 5}, LowWord: text("too loose"), HighWord: text("too tight")},
		{Name: "clean", Kind: trial.YesNo, Scale: trial.Range{Low: 0, High: 1}},
		{Name: "worth", Kind: trial.ScaleScore, Scale: trial.Range{Low: 0, High: 100}},
		{Name: "surface_protein", Kind: trial.ScaleScore, Scale: trial.Range{Low: 0, High: 5}, By: text("photo")},
		{Name: "shear", Kind: trial.Amount, Unit: text("N")},
		{Name: "cook_loss", Kind: trial.Amount, Unit: trial.Some("%"), From: trial.Some("weights")},
	}
	t.Baths = []trial.Bath{{ID: word("north"), Reads: trial.Some(quantity.Kelvins(0.1)), Checked: trial.Some(trial.Date{Year: 2026, Month: 3, Day: 2})}}
	t.Sessions = []trial.Session{{ID: word("first"), Date: trial.Some(trial.Date{Year: 2026, Month: 3, Day: 10})}, {ID: word("second")}}
	dry := trial.Brine{Kind: trial.DryBrine, Salt: trial.Some(quantity.Percent(1)), Of: trial.Some(trial.BrineOf("flesh")), For: trial.Some(quantity.FromMinutes(20))}
	p := trial.Panel{Blind: trial.Some(true), Bite: trial.Some(quantity.Grams(12)), WarmUp: trial.Some(true),
		Rinse: trial.Some(trial.Rinse{With: text("water"), Gap: trial.Some(quantity.FromMinutes(2))}), KeyFile: trial.Some("key.csv"), ScoresFile: trial.Some("scores.csv")}
	people := []string{word("anna"), word("ben")}
	codes := []string{"836", "363", "962", "993", "508", "900", "845", "789"}
	for i, c := range []struct {
		id      string
		point   float64
		minutes float64
	}{{"Q-1", 44, 60}, {"Q-2", 48, 60}, {"Q-3", 48, 60}, {"Q-4", 44, 600}} {
		session := t.Sessions[i/2].ID
		cook := trial.Cook{ID: word(c.id), SetPoint: trial.Some(quantity.Celsius(c.point)), Time: trial.Some(quantity.FromMinutes(c.minutes)), Bath: trial.Some(word("north")),
			Session: trial.Some(session), Order: trial.Some(1 + i%2)}
		if i == 0 {
			cook.Started = trial.Some(trial.Clock{Minute: 605})
		}
		for j := range 2 {
			x := trial.Piece{ID: fmt.Sprintf("%s-p%d", cook.ID, j+1), Source: text("fish-1"), Part: text("head"), Thickness: trial.Some(quantity.Millimetres(18)), Before: trial.Some(quantity.Grams(60))}
			if j == 1 {
				x.Brine = trial.Some(dry)
			}
			cook.Pieces = append(cook.Pieces, x)
			p.Key = append(p.Key, trial.KeyEntry{Code: codes[2*i+j], Piece: x.ID})
		}
		t.Cooks = append(t.Cooks, cook)
	}
	for s := range 2 {
		for w, who := range people {
			for k := range 4 {
				n := 4*s + (k+2*w)%4
				p.Scores = append(p.Scores, trial.Score{Assessor: who, Session: trial.Some(t.Sessions[s].ID), Position: trial.Some(k + 1), Code: trial.Some(codes[n]),
					Piece: trial.Some(p.Key[n].Piece), Cook: t.Cooks[n/2].ID, Values: trial.ReadingOf("firmness", trial.Reading{Missing: true})})
			}
		}
	}
	t.Panel = trial.Some(p)
	return t
}
