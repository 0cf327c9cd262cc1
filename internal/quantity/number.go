package quantity

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strconv"
)

// Number is a number in a result, or the statement that there is none and why.
// It cannot hold a NaN or an infinity: those become an absence. The zero Number
// is absent without a stated reason.
//
// In JSON a number is printed with at most ten significant digits; an absence
// is {"absent": "the reason"}.
type Number struct {
	v      float64
	known  bool
	reason string
}

// Num is a known number; a NaN or an infinity becomes an absence.
func Num(v float64) Number {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return Absent("no finite value")
	}
	return Number{v: v, known: true}
}

// Absent is a number that does not exist, with the reason in a few words.
func Absent(reason string) Number { return Number{reason: reason} }

// Get returns the number and whether there is one.
func (n Number) Get() (float64, bool) { return n.v, n.known }

// Or returns the number, or other where there is none.
func (n Number) Or(other float64) float64 {
	if n.known {
		return n.v
	}
	return other
}

// Known reports whether there is a number.
func (n Number) Known() bool { return n.known }

// Reason says why there is no number.
func (n Number) Reason() string {
	if n.known {
		return ""
	}
	if n.reason == "" {
		return "not computed"
	}
	return n.reason
}

// String prints the number with ten significant digits, or the reason in
// parentheses.
func (n Number) String() string {
	if !n.known {
		return "(" + n.Reason() + ")"
	}
	return formatTen(n.v)
}

func formatTen(v float64) string {
	if v == 0 {
		return "0" // no negative zero in any output
	}
	return strconv.FormatFloat(v, 'g', 10, 64)
}

// MarshalJSON prints the number or {"absent": reason}.
func (n Number) MarshalJSON() ([]byte, error) {
	if n.known {
		return []byte(formatTen(n.v)), nil
	}
	return json.Marshal(struct {
		Absent string `json:"absent"`
	}{n.Reason()})
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (n *Number) UnmarshalJSON(b []byte) error {
	b = bytes.TrimSpace(b)
	if len(b) > 0 && b[0] == '{' {
		var a struct {
			Absent *string `json:"absent"`
		}
		if err := json.Unmarshal(b, &a); err != nil || a.Absent == nil {
			return errors.New(`neither a number nor {"absent": "why"}`)
		}
		*n = Absent(*a.Absent)
		return nil
	}
	var v float64
	if err := json.Unmarshal(b, &v); err != nil {
		return fmt.Errorf("neither a number nor an absence: %s", b)
	}
	*n = Num(v)
	return nil
}
