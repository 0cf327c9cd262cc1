package cli

import "github.com/spf13/cobra"

func (a *app) reportCmd() *cobra.Command { return &cobra.Command{Use: "report FILE"} }
