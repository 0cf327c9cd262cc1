package trialfile

import (
	"path/filepath"
	"strings"
	"testing"

	"tamis/internal/trial"
)

// TestOwnColumns: a column of one's own is read with the decimal sign and the unit
// of its table, and what is no number is words.
func TestOwnColumns(t *testing.T) {
	t.Parallel()
	number := func(text string, v float64, unit string) trial.Extra {
		return trial.Extra{Name: "herbs", Text: text, IsNumber: true, Number: v, Unit: unit}
	}
	word := func(text string) trial.Extra { return trial.Extra{Name: "herbs", Text: text} }
	const points, semicolons, quoted = "id,set_point,time,HEAD\na,50 °C,1 h,CELL\n", "id;set_point;time;HEAD\na;50 °C;1 h;CELL\n", "id,set_point,time,HEAD\na,50 °C,1 h,\"CELL\"\n"
	for _, c := range []struct {
		table, head, cell string
		want              trial.Extra
		warned            string
	}{
		{points, "herbs", "42", number("42", 42, ""), ""},
		{points, "herbs", "21.5 °C", number("21.5 °C", 21.5, "°C"), ""},
		{points, "herbs", "40%", number("40%", 40, "%"), ""},
		{points, "herbs (g)", "3.5", number("3.5", 3.5, "g"), ""},
		{points, "herbs (g)", "3.5 mg", number("3.5 mg", 3.5, "mg"), ""},
		{semicolons, "herbs", "3,5 g", number("3,5 g", 3.5, "g"), ""},
		{semicolons, "herbs", "1,250", number("1,250", 1.25, ""), ""},
		{quoted, "herbs", "3,5", number("3,5", 3.5, ""), ""},
		{quoted, "herbs", "1,250", word("1,250"), "decimal-comma"},
		{points, "herbs", "NaN", word("NaN"), ""},
		{points, "herbs", "Inf", word("Inf"), ""},
		{points, "herbs", "0x10", word("0x10"), ""},
		{points, "herbs", "mace", word("mace"), ""},
		{quoted, "herbs", "dill, mace", word("dill, mace"), ""},
	} {
		dir := write(t, File{"t.yaml", []byte("tamis: 1\ntitle: T\nfood: {name: cake}\nmeasures: {crumb: {scale: 0 to 10}}\ncooks: {from: c.csv}\n")},
			File{"c.csv", []byte(strings.NewReplacer("HEAD", c.head, "CELL", c.cell).Replace(c.table))})
		tr, msgs, err := Read(filepath.Join(dir, "t.yaml"), Vocabulary{})
		if err != nil || tr == nil {
			t.Fatal(c, msgs, err)
		}
		if len(tr.Cooks[0].Extra) != 1 || tr.Cooks[0].Extra[0] != c.want {
			t.Errorf("%s, %s: %+v, want %+v", c.head, c.cell, tr.Cooks[0].Extra, c.want)
		}
		warned := ""
		for _, m := range msgs {
			if m.Slug == "decimal-comma" {
				warned = m.Slug
			}
		}
		if warned != c.warned {
			t.Errorf("%s, %s: %v", c.head, c.cell, msgs)
		}
	}
}
