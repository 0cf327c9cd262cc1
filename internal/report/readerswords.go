package report

import (
	"encoding/base64"
	"html/template"
	"strings"

	"tamis/internal/answer"
	"tamis/internal/fairness"
	"tamis/internal/figure"
	"tamis/internal/figure/svg"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// remarked is a stretch of the author's conclusion, and what is said about it:
// why it says too much, and the sentence that may stand in its place.
type remarked struct {
	Text  string
	Notes []words
	// Because is why the author keeps the sentence all the same.
	Because []string
}

// accepted is a finding that the author knows about.
type accepted struct {
	Text    words
	Because string
}

// conclusionOf cuts the conclusion at the sentences that a finding quotes, and
// lists the accepted findings that quote none.
func conclusionOf(t *trial.Trial, r *answer.Result, only *quantity.System) (parts []remarked, known []accepted) {
	text := strings.TrimSpace(clean(t.Conclusion.V))
	var marks []remarked
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Outcome != fairness.Fires || len(f.Text) == 0 {
			continue
		}
		quote := strings.TrimSpace(clean(f.Where.Quote))
		if text == "" || quote == "" || !among(f.Where.Fields, "conclusion") || !strings.Contains(text, quote) {
			if f.Accepted != nil && f.Under == "" {
				known = append(known, accepted{oneOf(of(f.Text), only), oneLine(f.Accepted.Because)})
			}
			continue
		}
		k := -1
		for j := range marks {
			if marks[j].Text == quote {
				k = j
			}
		}
		if k < 0 {
			k, marks = len(marks), append(marks, remarked{Text: quote})
		}
		marks[k].Notes = append(marks[k].Notes, oneOf(of(f.Text), only))
		if f.Accepted != nil {
			marks[k].Because = append(marks[k].Because, oneLine(f.Accepted.Because))
		}
	}
	defer func() {
		for i := range parts {
			parts[i].Text = together(parts[i].Text)
		}
	}()
	for text != "" {
		at, next := len(text), -1
		for j, m := range marks {
			if i := strings.Index(text, m.Text); i >= 0 && i < at {
				at, next = i, j
			}
		}
		if s := strings.TrimSpace(text[:at]); s != "" {
			parts = append(parts, remarked{Text: s})
		}
		if next < 0 {
			break
		}
		parts = append(parts, marks[next])
		text = text[at+len(marks[next].Text):]
		marks = append(marks[:next:next], marks[next+1:]...) // once
	}
	return parts, known
}

func among(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// pictureView is a figure of a fragment: one picture in one unit system, with
// everything that must travel along inside.
type pictureView struct {
	URL            template.URL
	Alt            string
	Title, Caption string
}

func pictureOf(f figure.Figure, sys quantity.System) (pictureView, error) {
	u := figure.Metric
	if sys == quantity.US {
		u = figure.US
	}
	file, err := svg.Standalone(f, u)
	if err != nil {
		return pictureView{}, err
	}
	in := func(t figure.Text) string {
		if t.Dual() && sys == quantity.US {
			return t.US
		}
		return t.Metric
	}
	return pictureView{URL: template.URL("data:image/svg+xml;base64," + base64.StdEncoding.EncodeToString(file)),
		Title: in(f.Title), Caption: in(f.Caption), Alt: strings.TrimSuffix(in(f.Desc), " The numbers are in the table below.")}, nil
}
