package cli

import (
	"context"
	"fmt"
	"io"
	"strings"
	"time"

	"tamis/internal/answer"
	"tamis/internal/trial"
)

// answer analyses a trial. It returns as soon as the context ends: the analysis
// itself cannot be stopped and is left to the end of the process, which is near.
// Nothing has been written by then.
func (a *app) answer(ctx context.Context, t *trial.Trial, opt answer.Options) (*answer.Result, error) {
	type outcome struct {
		r   *answer.Result
		err error
	}
	done := make(chan outcome, 1)
	go func() {
		var o outcome
		o.err = guarded(func() error {
			o.r = answer.Of(t, opt)
			return nil
		})
		done <- o
	}()
	finish := func() {}
	if a.progressWanted() {
		finish = showProgress(a.Err, "analysing", time.Second, time.Second/4)
	}
	defer finish()
	select {
	case o := <-done:
		return o.r, o.err
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// progressWanted reports whether somebody watches: messages go to a terminal
// that can move its cursor.
func (a *app) progressWanted() bool { return a.isTerminal(a.Err) && a.Env("TERM") != "dumb" }

// showProgress writes a line that counts the seconds, once the work takes longer
// than patience, and returns a function that ends and clears it.
func showProgress(w io.Writer, what string, patience, step time.Duration) (finish func()) {
	stop, gone := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(gone)
		wide, start := 0, time.Now()
		timer := time.NewTimer(patience)
		defer timer.Stop()
		for {
			select {
			case <-stop:
				if wide > 0 {
					fmt.Fprintf(w, "\r%s\r", strings.Repeat(" ", wide))
				}
				return
			case <-timer.C:
				line := fmt.Sprintf("%s … %.0f s", what, time.Since(start).Seconds())
				fmt.Fprint(w, "\r"+pad(line, wide))
				wide = cells(line)
				timer.Reset(step)
			}
		}
	}()
	return func() {
		close(stop)
		<-gone
	}
}
