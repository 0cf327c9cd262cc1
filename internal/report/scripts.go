package report

import (
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"html/template"
	"strings"

	"tamis/internal/figure/live"
)

// scripts are what a page runs, and the policy that allows just that.
type scripts struct {
	Policy string // of the page, for its Content-Security-Policy
	Run    []template.JS
	Live   bool // the page has the runtime: its figures may bring live data
}

// saver lets a reader save the figures of a page that has no room for a file of
// each.
//
//go:embed save.js
var saver string

// scriptsOf are the scripts of a page: its own, and, where live charts are wanted
// and the runtime was built into the program, the runtime and what starts it.
func scriptsOf(wanted bool, own ...template.JS) scripts {
	s := scripts{Run: own}
	if runtime, ok := live.Runtime(); wanted && ok {
		s.Live = true
		s.Run = append([]template.JS{template.JS(runtime), template.JS(live.Boot())}, own...)
	}
	s.Policy = policy(s.Run)
	return s
}

// policy forbids a page everything but its own styles, pictures that it carries
// and the given scripts, each by the hash of its bytes (Content Security Policy
// Level 3, hash-source).
func policy(run []template.JS) string {
	var b strings.Builder
	b.WriteString("default-src 'none'; style-src 'unsafe-inline'; img-src data:")
	for i, js := range run {
		if i == 0 {
			b.WriteString("; script-src")
		}
		sum := sha256.Sum256([]byte(js))
		b.WriteString(" 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'")
	}
	return b.String()
}
