package reporttest

import (
	"strconv"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// Trial is the trial behind Pollack as far as a report shows it: eighteen cooks
// of three sessions in their order, pieces, scores of two tasters.
func Trial() *trial.Trial {
	t := &trial.Trial{
		Title: trial.Some("Pollack loin, 44 to 60 °C, dry-brined or plain"), Declared: trial.Some(trial.Date{Year: 2026, Month: 2, Day: 9}),
		Measures: []trial.Measure{{Name: "firmness", Kind: trial.ScaleScore, Scale: trial.Range{Low: 0, High: 10}}, {Name: "surface_protein", Kind: trial.ScaleScore, Scale: trial.Range{Low: 0, High: 5}}},
		Sessions: []trial.Session{{ID: "first"}, {ID: "second"}, {ID: "third"}},
	}
	p := trial.Panel{}
	for s, session := range t.Sessions {
		for k, at := range []float64{44, 48, 50, 52, 56, 60} {
			id := string(rune('A' + 3*k + s))
			c := trial.Cook{ID: id, SetPoint: trial.Some(quantity.Celsius(at)), Time: trial.Some(quantity.FromMinutes(60)), Session: trial.Some(session.ID), Order: trial.Some((k+2*s)%6 + 1)}
			for n := range 2 {
				piece := id + strconv.Itoa(n+1)
				c.Pieces = append(c.Pieces, trial.Piece{ID: piece, Values: trial.ReadingOf("surface_protein", trial.Reading{V: float64(k) / 2})})
				for _, who := range []string{"anna", "ben"} {
					p.Scores = append(p.Scores, trial.Score{Assessor: who, Cook: id, Piece: trial.Some(piece), Values: trial.ReadingOf("firmness", trial.Reading{V: float64(k) + 1.5})})
				}
			}
			t.Cooks = append(t.Cooks, c)
		}
	}
	t.Panel = trial.Some(p)
	return t
}

// HostileTrial is Trial with words that try to leave their place, and cells that
// a spreadsheet would run.
func HostileTrial() *trial.Trial {
	t := Trial()
	bad := `</script></style><script>alert(1)</script><img src=x onerror=alert(2)> "q" {{.}}` + "\u202e\x00"
	for i := range t.Sessions {
		t.Sessions[i].ID += bad
	}
	for i := range t.Cooks {
		c := &t.Cooks[i]
		c.Session = trial.Some(c.Session.V + bad)
		c.Bath = trial.Some("=HYPERLINK(\"javascript:alert(3)\")")
		c.Block = trial.Some("+1+1|cmd")
		for k := range c.Pieces {
			c.Pieces[k].Part = trial.Some("@SUM(A1)")
			c.Pieces[k].Source = trial.Some("\t=1+1")
			c.Pieces[k].Lost = trial.Some("-2+3")
		}
	}
	t.Conclusion, t.Question = trial.Some(bad), trial.Some(bad)
	t.Deviations = []trial.Deviation{{Cook: trial.Some("A"), What: trial.Some(bad)}}
	return t
}
