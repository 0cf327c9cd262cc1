package live

import (
	"embed"
)

// The folder always holds a placeholder, so that the program builds without
// the runtime.
//
//go:embed all:runtime
var built embed.FS

//go:embed boot.js
var boot string

// Runtime is the chart library, and whether it was built into the program.
func Runtime() (script string, ok bool) { return part("runtime/echarts.js") }

// Licences are the licence texts of what is in the runtime, if it is there.
func Licences() (text string, ok bool) { return part("runtime/licences.txt") }

// Boot is the script that draws the charts of a page from their data. It needs
// the runtime before it.
func Boot() string { return boot }

func part(name string) (string, bool) {
	b, err := built.ReadFile(name)
	return string(b), err == nil && len(b) > 0
}
