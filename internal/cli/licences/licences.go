package licences

import (
	_ "embed"

	"tamis/internal/figure/live"
)

//go:embed modules.txt
var modules string

// Text is all licence texts, each under the name of what it is the licence of.
func Text() string {
	s := "This program contains work of others, under these licences.\n\n" + modules
	if runtime, ok := live.Licences(); ok {
		s += "\nIn pages with live charts:\n\n" + runtime
	}
	return s
}
