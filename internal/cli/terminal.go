package cli

import (
	"io"
	"os"
)

// colour reports whether to colour what goes to w: a terminal, and no wish for
// the contrary.
func (a *app) colour(w io.Writer) bool {
	return a.Env("NO_COLOR") == "" && a.Env("TERM") != "dumb" && isTerminal(w)
}

func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}
