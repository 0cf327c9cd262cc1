package trialfile

import (
	"fmt"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// ownCell reads a cell of a column that is no key of the format: a number, with
// its unit behind it or in the heading, or words. The decimal sign is that of the
// table, as for any other number. A comma that can be read in two ways makes it
// words, and is told.
func (r *reader) ownCell(e entry) trial.Extra {
	x := trial.Extra{Name: e.key.text, Text: e.value.text}
	number, unit, _ := strings.Cut(strings.TrimSpace(x.Text), " ")
	if bare, found := strings.CutSuffix(number, "%"); found && unit == "" {
		number, unit = bare, "%"
	}
	if v, err := parseNumber(number, e.value.cell); err == nil {
		if unit = strings.TrimSpace(unit); unit == "" {
			unit = e.value.cell.unit
		}
		x.IsNumber, x.Number, x.Unit = true, v, unit
	} else if e.value.cell.grouped(number) {
		r.say(diag.Warning, e.value.at, "decimal-comma", commaEitherWay(x.Text), "", "write "+strings.Join(quantity.Commas(x.Text), " or "))
	}
	return x
}

// commaEitherWay says that a comma can be read in two ways.
func commaEitherWay(s string) string {
	return fmt.Sprintf("the comma in %s parts thousands, or it is a decimal comma", quote(s))
}
