// Command tamis is an experiment notebook for texture trials.
package main

import (
	"context"
	"os"
	"os/signal"
	"runtime/debug"

	"tamis/internal/cli"
)

func main() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(cli.GarbageWaits)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	code := cli.Run(ctx, os.Args[1:], cli.Streams{In: os.Stdin, Out: os.Stdout, Err: os.Stderr, Env: os.Getenv})
	stop()
	os.Exit(code)
}
