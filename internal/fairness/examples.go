package fairness

import (
	"fmt"
	"strings"
)

// ordersExample is a snippet with two or three set points and the score sheet of
// tasters who got the cooks in the orders given, "A B C".
func ordersExample(orders ...string) string {
	names := []string{"anna", "ben", "cleo", "dora", "emil", "freya"}
	cooks := []string{"{id: A, set_point: 46 °C}", "{id: B, set_point: 52 °C}", "{id: C, set_point: 58 °C}"}
	if !strings.Contains(strings.Join(orders, ""), "C") {
		cooks = cooks[:2]
	}
	var b strings.Builder
	fmt.Fprintf(&b, "cooks: [%s]\n# the score sheet\nscores: |\n  assessor,position,cook,firmness\n", strings.Join(cooks, ", "))
	for i, order := range orders {
		for place, cook := range strings.Fields(order) {
			fmt.Fprintf(&b, "  %s,%d,%s,5\n", names[i], place+1, cook)
		}
	}
	return b.String()
}
