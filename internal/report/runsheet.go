package report

import (
	"tamis/internal/answer"
)

// runSheetView is the table of times for pieces of several thicknesses.
type runSheetView struct {
	Caption words
	Rows    []runRowView
	Note    words
}

// runRowView is one thickness.
type runRowView struct {
	Thickness words
	Star      bool // calculated, texture not tested
	Time      words
	Word      string
	Discard   words
}

func runSheetOf(r *answer.Result) *runSheetView {
	s := r.RunSheet
	if s == nil {
		return nil
	}
	v := &runSheetView{Note: of(s.Note)}
	caption := answer.Say("At ", answer.Quantity{Kind: answer.SetPoint, Value: s.SetPoint, Digits: 1})
	if t, ok := s.Tolerance.Get(); ok && t > 0 {
		caption = answer.Say(caption, ", the bath within ", answer.Quantity{Kind: answer.Tolerance, Value: t})
	}
	v.Caption = of(caption)
	for _, row := range s.Rows {
		out := runRowView{Thickness: of(answer.Say(answer.Quantity{Kind: answer.Length, Value: row.Thickness})), Star: !row.Cooked, Word: row.Word}
		if m, ok := row.Minutes.Get(); ok {
			out.Time = of(answer.Say(answer.Quantity{Kind: answer.Duration, Value: m}))
			if row.DiscardBy > 0 {
				out.Discard = of(answer.Say(answer.Quantity{Kind: answer.Duration, Value: row.DiscardBy}))
			}
		}
		v.Rows = append(v.Rows, out)
	}
	return v
}
