package cli

import (
	"io"
	"os"
)

// colour reports whether to colour what goes to w: a terminal, and no wish for
// the contrary.
func (a *app) colour(w io.Writer) bool {
	return a.Env("NO_COLOR") == "" && a.Env("TERM") != "dumb" && a.isTerminal(w)
}

// isTerminal reports whether a person sits at a stream.
func (a *app) isTerminal(stream any) bool {
	if a.terminal != nil {
		return a.terminal(stream)
	}
	return isTerminal(stream)
}

// isTerminal reports whether a stream is a terminal. A device that is none, like
// the one that swallows everything, is not.
func isTerminal(stream any) bool {
	f, ok := stream.(*os.File)
	return ok && f != nil && fileIsTerminal(f)
}
