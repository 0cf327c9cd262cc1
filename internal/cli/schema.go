package cli

import (
	"github.com/spf13/cobra"

	"tamis/internal/answer"
	"tamis/internal/trialfile"
)

func (a *app) schemaCmd() *cobra.Command {
	return &cobra.Command{
		Use:   "schema trial|fit",
		Short: "JSON Schema of the trial file, or of a result",
		Long: `schema prints a JSON Schema. With that of the trial file, an editor that reads
YAML schemas completes keys and marks faults while you type.`,
		Example: `  tamis schema trial > trial.schema.json
  tamis schema fit`,
		ValidArgs: []string{"trial", "fit"},
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 || (args[0] != "trial" && args[0] != "fit" && args[0] != "heat") {
				return usagef(cmd, "schema takes one word: trial or fit").hint("for example: tamis schema trial")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			b, err := answer.Schema()
			if args[0] == "trial" {
				b, err = trialfile.Schema()
			}
			if args[0] == "heat" {
				b, err = answer.HeatJSONSchema()
			}
			if err != nil {
				return err
			}
			if len(b) == 0 || b[len(b)-1] != '\n' {
				b = append(b, '\n')
			}
			_, err = a.out.Write(b)
			return err
		},
	}
}
