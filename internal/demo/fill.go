package demo

import "strings"

// fill puts text in the place of a mark.
func fill(text, mark, with string) string { return strings.Replace(text, mark, with, 1) }
