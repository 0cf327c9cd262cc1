package cli

import "github.com/spf13/cobra"

func (a *app) checkCmd() *cobra.Command  { return &cobra.Command{Use: "check FILE..."} }
func (a *app) newCmd() *cobra.Command    { return &cobra.Command{Use: "new"} }
func (a *app) reportCmd() *cobra.Command { return &cobra.Command{Use: "report FILE"} }
func (a *app) schemaCmd() *cobra.Command { return &cobra.Command{Use: "schema"} }
