package csvcell

import (
	"strconv"
	"strings"
)

// starts are the characters with which a spreadsheet begins a formula, in their
// wide forms too.
const starts = "=+-@|%＝＋－＠"

// Inert is the cell as it may stand in a table.
func Inert(cell string) string {
	if runs(cell) {
		return "'" + cell
	}
	return cell
}

// Plain is what Inert was given.
func Plain(cell string) string {
	if rest, ok := strings.CutPrefix(cell, "'"); ok && runs(rest) {
		return rest
	}
	return cell
}

// InertRow is Inert of every cell, in a row of its own.
func InertRow(row []string) []string {
	out := make([]string, len(row))
	for i, c := range row {
		out[i] = Inert(c)
	}
	return out
}

func runs(cell string) bool {
	if cell == "" {
		return false
	}
	if _, err := strconv.ParseFloat(cell, 64); err == nil {
		return false
	}
	if strings.ContainsRune("\t\r\n", rune(cell[0])) {
		return true
	}
	trimmed := strings.TrimLeft(cell, " \t\r\n")
	return trimmed != "" && strings.ContainsRune(starts, []rune(trimmed)[0])
}
