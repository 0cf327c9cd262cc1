package quantity

import "fmt"

// Error says why a text is not a quantity.
type Error struct {
	Text     string // what was read
	Expected string // what would have been right: "a temperature needs its unit"
	Hint     string // what to type instead: "write 54 °C or 54 °F"; may be empty
}

// Error joins the parts: `54: write 54 °C or 54 °F`.
func (e *Error) Error() string {
	if e.Hint == "" {
		return fmt.Sprintf("%s: %s", e.Text, e.Expected)
	}
	return fmt.Sprintf("%s: %s", e.Text, e.Hint)
}
