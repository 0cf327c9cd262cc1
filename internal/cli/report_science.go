package cli

import (
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
)

// scienceCommand is the command that writes the same analysis again: the flags
// that change a number, as they were given or by default, and the file by its
// own name.
func scienceCommand(cmd *cobra.Command, file string) string {
	var b strings.Builder
	b.WriteString("tamis report --for science")
	for _, name := range []string{"seed", "draws", "level", "type"} {
		b.WriteString(" --" + name + " " + cmd.Flag(name).Value.String())
	}
	over, _ := cmd.Flags().GetStringArray("threshold") // it is a flag of this verb, of that kind
	for _, o := range over {
		b.WriteString(" --threshold " + quotedWord(o))
	}
	return b.String() + " --out FILE.html " + quoted(filepath.Base(file))
}

// quotedWord is any word as a shell takes it.
func quotedWord(word string) string { return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'" }

// quoted is a file name as a shell takes it.
func quoted(name string) string {
	if strings.IndexFunc(name, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("._-+", r))
	}) < 0 && !strings.HasPrefix(name, "-") {
		return name
	}
	return "'" + strings.ReplaceAll("./"+name, "'", `'\''`) + "'"
}
