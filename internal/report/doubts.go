package report

import (
	"fmt"

	"tamis/internal/answer"
	"tamis/internal/fairness"
)

// doubtsView is what else may have done it, as a page prints it.
type doubtsView struct {
	Title string
	Roots []doubtView
	More  string
	Known []knownView // findings that the author accepted
}

// knownView is a finding that the author knows about, with the reason.
type knownView struct {
	Text    words
	Because string
}

// doubtView is one root cause. Word says how bad in a reader's words.
type doubtView struct {
	Word string
	Text words
	Also words
	Cost words
}

// doubtWords say a severity without our own terms.
var doubtWords = map[fairness.Severity]string{
	fairness.Blocks: "Serious", fairness.Weakens: "Weakens", fairness.Note: "Note",
}

// doubtsOf shows the first findings, and all that block, and last those that were
// accepted. Nil where there is nothing to say.
func doubtsOf(r *answer.Result) *doubtsView {
	d := r.Doubts
	v := &doubtsView{Title: clean(d.Headline.Text(0))}
	more := 0
	for i, root := range d.Roots {
		if i >= d.Show.Kitchen && root.Severity < fairness.Blocks {
			more++
			continue
		}
		v.Roots = append(v.Roots, doubtView{Word: doubtWords[root.Severity], Text: of(root.Text), Also: of(root.Also), Cost: of(root.Cost)})
	}
	if more > 0 {
		v.More = fmt.Sprintf("And %d more, in the science report.", more)
	}
	for _, known := range d.Accepted {
		v.Known = append(v.Known, knownView{Text: of(known.Text), Because: clean(known.Because)})
	}
	if len(v.Roots) == 0 && v.Title == "" {
		return nil
	}
	return v
}
