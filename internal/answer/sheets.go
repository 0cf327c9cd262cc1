package answer

import (
	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/trial"
)

// Sheets is what the printed sheets of a trial say of who may eat what.
type Sheets struct {
	Verdicts []HeatVerdict // of the cooks, the same of several once
	Discards []Sentence    // when what is left is thrown away
	Cautions []Sentence    // beside the method
	Cooks    []SheetCook   // in the order of the file
	// Tasters is what stands first on every ballot: allergies, undercooked food,
	// and who had better not taste. It names no cook and no set point.
	Tasters []Sentence
}

// SheetCook is one cook on the sheets.
type SheetCook struct {
	Cook    string
	Word    string   // the verdict in a word or three
	Eaten   bool     // false: it must not be eaten or tasted
	Why     Sentence // then: why, with a capital and a full stop
	Discard Sentence // such as "by 13:40", or "3 h after it went in"; nil where there is none
	// ComeUp is the minutes until the core is there if everything is slow.
	ComeUp quantity.Number
}

// SheetsOf judges the cooks of a trial for its sheets. The trial is not altered.
func SheetsOf(t *trial.Trial) *Sheets {
	out := &Sheets{}
	judged := safety.OfTrial(t, heat.OfTrial(t))
	h := HeatOf(t, HeatOptions{})
	out.Verdicts, out.Discards = h.Verdicts, h.Discards
	seen := map[string]bool{}
	for _, s := range h.Cautions {
		if k := s.Text(quantity.Metric); !seen[k] {
			seen[k] = true
			out.Cautions = append(out.Cautions, s)
		}
	}
	under, open := false, true // of what is tasted: not fully cooked; for everybody
	for i, v := range judged.Cooks {
		c := SheetCook{Cook: v.Cook, Word: h.Cooks[i].Word, Eaten: v.Verdict != safety.DoNotEat, ComeUp: h.Cooks[i].ComeUp.High}
		switch {
		case !c.Eaten:
			if len(v.Why) > 0 {
				c.Why = Say("Do not eat it and do not taste it: ", v.Why[0].Text.Sentence(), ".")
			} else {
				c.Why = Say("Do not eat it and do not taste it.")
			}
		case v.Verdict == safety.NotAsked || v.Discard <= 0:
		case v.DiscardAt != "":
			c.Discard = Say("by ", v.DiscardAt)
		default:
			c.Discard = Say(minutesStated(v.Discard), " after it went in")
		}
		if c.Eaten {
			under = under || v.Verdict == safety.NotPasteurised || v.Verdict == safety.NoVerdict
			open = open && (v.Vulnerable || v.Verdict == safety.NotAsked)
		}
		out.Cooks = append(out.Cooks, c)
	}
	if under {
		out.Tasters = append(out.Tasters, Say("Some of these samples are not fully cooked, and such food can make you ill."))
	}
	if !open {
		out.Tasters = append(out.Tasters, Say("Not for young children, pregnant women, older people or anyone with weakened immunity."))
	}
	out.Tasters = append(out.Tasters, Say("Do not taste if you are allergic or intolerant to anything in them; ask what is in them. You may stop at any time, without a reason."))
	return out
}

// Refused are the cooks that must not be eaten or tasted.
func (s *Sheets) Refused() map[string]bool {
	out := map[string]bool{}
	for _, c := range s.Cooks {
		if !c.Eaten {
			out[c.Cook] = true
		}
	}
	return out
}
