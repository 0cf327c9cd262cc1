package cli

import (
	"strings"

	"github.com/spf13/cobra"

	"tamis/internal/answer"
	"tamis/internal/diag"
	"tamis/internal/size"
	"tamis/internal/trialfile"
)

// schemas are the JSON Schemas that can be printed, by the word that asks for
// them.
var schemas = []struct {
	word  string
	bytes func() ([]byte, error)
}{
	{"trial", trialfile.Schema},
	{"fit", answer.Schema},
	{"heat", answer.HeatJSONSchema},
	{"size", size.JSONSchema},
	{"plan", answer.PlanJSONSchema},
	{"schedule", answer.ScheduleJSONSchema},
}

func (a *app) schemaCmd() *cobra.Command {
	var words []string
	for _, s := range schemas {
		words = append(words, s.word)
	}
	return &cobra.Command{
		Use:   "schema " + strings.Join(words, "|"),
		Short: "JSON Schema of the trial file, or of a result",
		Long: `schema prints a JSON Schema. With that of the trial file, an editor that reads
YAML schemas completes keys and marks faults while you type.`,
		Example: `  tamis schema trial > trial.schema.json
  tamis schema fit`,
		ValidArgs: words,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return usagef(cmd, "schema takes one word: %s", strings.Join(words, ", ")).hint("for example: tamis schema trial")
			}
			for _, w := range words {
				if w == args[0] {
					return nil
				}
			}
			e := usagef(cmd, "there is no schema %q: write one of %s", args[0], strings.Join(words, ", "))
			if best, ok := diag.Nearest(args[0], words); ok {
				return e.hint("did you mean tamis schema " + best + "?")
			}
			return e
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			for _, s := range schemas {
				if s.word != args[0] {
					continue
				}
				b, err := s.bytes()
				if err != nil {
					return err
				}
				if len(b) == 0 || b[len(b)-1] != '\n' {
					b = append(b, '\n')
				}
				_, err = a.out.Write(b)
				return err
			}
			return nil
		},
	}
}
