package cli

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"tamis/internal/diag"
)

// askBeside are the flags that describe no trial and so leave the questions open.
var askBeside = map[string]bool{"out": true, "force": true, "title": true, "by": true, "laid-out": true, "max-errors": true}

// maySayMore reports whether there is somebody to ask: a person at the keyboard
// who sees the questions, and who has not described the trial by flags.
func (a *app) maySayMore(cmd *cobra.Command) bool {
	described := false
	cmd.Flags().Visit(func(f *pflag.Flag) { described = described || !askBeside[f.Name] })
	return !described && a.isTerminal(a.In) && a.isTerminal(a.Err)
}

// refusal is why an answer is not taken, and what to type instead.
type refusal struct{ text, hint string }

func (r *refusal) Error() string { return r.text }

func refusef(hint, format string, args ...any) *refusal {
	return &refusal{text: fmt.Sprintf(format, args...), hint: hint}
}

// errNoMore: the answers ended before the questions.
var errNoMore = errors.New("the answers ended before the questions; no file was written")

// maxAnswer is the longest answer, in bytes: more than a screen full.
const maxAnswer = 2000

// typist asks and reads answers, a line each.
type typist struct {
	lines <-chan line
	out   io.Writer // where questions appear
}

// line is what was typed up to Enter. long tells that the rest was dropped.
type line struct {
	text string
	long bool
	err  error
}

// newTypist reads lines in the background, so that an interrupt ends the waiting.
// The reading itself cannot be stopped; it ends with the stream or the process,
// and when the context ends nothing waits for it any more.
func newTypist(ctx context.Context, in io.Reader, out io.Writer) *typist {
	lines := make(chan line)
	go func() {
		defer close(lines)
		r := bufio.NewReader(in)
		for {
			l := readLine(r)
			select {
			case lines <- l:
			case <-ctx.Done():
				return
			}
			if l.err != nil {
				return
			}
		}
	}()
	return &typist{lines: lines, out: out}
}

// readLine reads up to a line feed and keeps the first maxAnswer bytes. A last
// line without one counts.
func readLine(r *bufio.Reader) line {
	var b []byte
	for {
		c, err := r.ReadByte()
		switch {
		case err != nil && (len(b) == 0 || !errors.Is(err, io.EOF)):
			return line{err: err}
		case err != nil || c == '\n':
			return line{text: string(b[:min(len(b), maxAnswer)]), long: len(b) > maxAnswer}
		case len(b) <= maxAnswer:
			b = append(b, c)
		}
	}
}

// answer waits for a line.
func (t *typist) answer(ctx context.Context) (line, error) {
	if err := ctx.Err(); err != nil {
		return line{}, err
	}
	select {
	case l, ok := <-t.lines:
		switch {
		case !ok || errors.Is(l.err, io.EOF):
			return line{}, errNoMore
		case l.err != nil:
			return line{}, l.err
		}
		return l, nil
	case <-ctx.Done():
		return line{}, ctx.Err()
	}
}

// typed cleans an answer, or says why it is no text.
func (l line) typed() (string, error) {
	text := strings.TrimSpace(l.text)
	switch {
	case l.long:
		return "", refusef("", "this is longer than an answer can be (%d characters)", maxAnswer)
	case !utf8.ValidString(text):
		return "", refusef("set the terminal to UTF-8", "this is not UTF-8 text")
	case strings.ContainsFunc(text, func(c rune) bool { return unicode.IsControl(c) && c != '\t' }):
		return "", refusef("arrow keys do not move here; type the answer again", "there is a key in this that is no letter")
	}
	return strings.ReplaceAll(text, "\t", " "), nil
}

// ask puts one question until it is answered. take gets the answer, or the one
// that Enter stands for, and refuses it or not.
func (t *typist) ask(ctx context.Context, q question) error {
	fmt.Fprintf(t.out, "\n%s", q.text)
	standard := q.standard()
	for {
		if standard == "" {
			fmt.Fprint(t.out, "   > ")
		} else {
			fmt.Fprintf(t.out, "   [%s] ", diag.Clean(standard))
		}
		l, err := t.answer(ctx)
		if err != nil {
			fmt.Fprintln(t.out)
			return err
		}
		text, err := l.typed()
		if err == nil && text == "" {
			text = standard
		}
		if err == nil {
			err = q.take(text)
		}
		var r *refusal
		switch {
		case err == nil:
			return nil
		case !errors.As(err, &r):
			return err
		}
		f := &fitText{}
		f.prose(diag.Clean(r.text), "   ", "   ")
		if r.hint != "" {
			f.prose(diag.Clean(r.hint), "   ", "   ")
		}
		fmt.Fprintln(t.out, strings.Join(f.out, "\n"))
	}
}

// note says something between two questions.
func (t *typist) note(text string) {
	f := &fitText{}
	f.prose(diag.Clean(text), "   ", "   ")
	fmt.Fprintln(t.out, strings.Join(f.out, "\n"))
}
