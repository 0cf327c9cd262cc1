package cli

import (
	"bytes"
	"encoding/csv"
	"strconv"

	"tamis/internal/answer"
	"tamis/internal/figure"
	"tamis/internal/figure/svg"
	"tamis/internal/quantity"
	"tamis/internal/size"
)

// sizeCSV is the curve as a table, one row a size; what has no value is NA.
func sizeCSV(r *size.Result) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	number := func(n quantity.Number) string {
		v, ok := n.Get()
		if !ok {
			return "NA"
		}
		return strconv.FormatFloat(v, 'g', 10, 64)
	}
	if c := r.Cooks; c != nil {
		_ = w.Write([]string{"set_points", "cooks_per_set_point", "sessions", "pieces_per_cook", "assessors", "cooks", "df", "cook_mean_sd",
			"visible", "effect", "power", "half_width", "verdict", "levels_within_cook"})
		verdict := "NA" // of a size that was asked for without a trial, or whose food may be tasted
		if len(r.Text.Danger) > 0 {
			verdict = answer.VerdictDoNotEat
		}
		for _, p := range c.Curve {
			d := p.Design
			effect := "NA"
			if c.Question.Effect > 0 {
				effect = strconv.FormatFloat(c.Question.Effect, 'g', 10, 64)
			}
			_ = w.Write([]string{strconv.Itoa(d.SetPoints), strconv.Itoa(d.Cooks), strconv.Itoa(d.Sessions), strconv.Itoa(d.Pieces),
				strconv.Itoa(d.Assessors), strconv.Itoa(p.Cooks), strconv.Itoa(p.DF), strconv.FormatFloat(p.SD, 'g', 10, 64),
				number(p.Visible), effect, number(p.Power), number(p.HalfWidth), verdict, strconv.Itoa(d.Within)})
		}
	} else {
		_ = w.Write([]string{"test", "answers", "critical_count", "share_telling_apart", "power"})
		for _, p := range r.Answers.Curve {
			_ = w.Write([]string{r.Answers.Test, strconv.Itoa(p.Answers), number(p.Critical), number(r.Answers.Share), number(p.Power)})
		}
	}
	w.Flush() // a bytes.Buffer takes everything
	return b.Bytes()
}

// sizeFigure draws the curve: the chance to see the difference that was named, or
// else the smallest visible difference, over the number of cooks or answers.
func sizeFigure(r *size.Result) ([]byte, error) {
	f, err := size.Figure(r)
	if err != nil {
		return nil, err
	}
	return svg.Standalone(f, figure.Metric)
}
