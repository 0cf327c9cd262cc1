package trialfile

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

// Vocabulary carries lists that belong to packages above this one.
type Vocabulary struct {
	FoodKinds  []string                   // kinds of food; of an empty list, any is taken
	KindsNamed func(name string) []string // kinds that an everyday name points to, for hints; may be nil
	Findings   []string                   // slugs of the fairness checks; empty for those of the format
	Thresholds []string                   // names of their options; empty for those of the format
}

// reader is the state of reading one trial.
type reader struct {
	t      *trial.Trial
	vocab  Vocabulary
	folder *folder
	work   *workspace
	root   *item // the trial file
	msgs   diag.List
	faults int                    // errors found, also those that are not listed
	seen   map[string]bool        // messages already made
	texts  map[diag.File]string   // of the files
	lines  map[diag.File][]string // the same cut into lines, of those that were asked for
	tables map[string]*table      // parsed CSV files by path

	implied bool                    // the file declares no measures, so numbers on cooks and pieces are measures
	shared  map[*table]*sharedTable // tables of pieces of several cooks
	where   *samples                // cooks and pieces
	ids     *known                  // names, for the checks of the whole

	readings    trial.Readings // room for those to come
	measureAt   map[string]int // index of measures
	factorNames *names
	photoAt     map[diag.Pos]diag.Pos // places of the file names of photos, by the places of the photos
	guesses     int                   // names that were compared
	refused     map[string]bool       // factors that were declared, with a fault
}

// say records a message once. Source lines are looked up here, so that no
// caller has to.
func (r *reader) say(sev diag.Severity, at place, slug, text, expected, hint string, notes ...diag.Extra) {
	if sev == diag.Error {
		r.faults++
	}
	if r.full() {
		return
	}
	key := fmt.Sprintf("%s|%s|%s", at.pos, slug, text)
	if r.seen[key] {
		return
	}
	r.seen[key] = true
	if len(r.msgs) == maxMessages {
		r.msgs.Add(diag.Message{Severity: diag.Error, Slug: "too-many", Pos: diag.Pos{File: at.pos.File},
			Text: fmt.Sprintf("more than %d faults; the rest is not listed", maxMessages), Hint: "correct these first"})
		return
	}
	line := r.shown(at.pos)
	w := at.width
	if w == 0 {
		w = tokenWidth(line, int(at.pos.Column))
	}
	for i := range notes {
		notes[i].Source = r.shown(notes[i].Pos)
		notes[i].Width = tokenWidth(notes[i].Source, int(notes[i].Pos.Column))
	}
	r.msgs.Add(diag.Message{Severity: sev, Slug: slug, Pos: at.pos, Width: w, Text: text, Source: line, Expected: expected, Hint: hint, Notes: notes})
}

func (r *reader) fail(at place, slug, text, hint string) {
	r.say(diag.Error, at, slug, text, "", hint)
}

func (r *reader) warn(at place, slug, text, hint string) {
	r.say(diag.Warning, at, slug, text, "", hint)
}

// full reports whether nothing more is said.
func (r *reader) full() bool { return len(r.msgs) > maxMessages }

// linesOf are the lines of a file that was read.
func (r *reader) linesOf(file diag.File) []string {
	l, done := r.lines[file]
	if text, known := r.texts[file]; known && !done {
		l = splitLines(text)
		r.lines[file] = l
	}
	return l
}

func (r *reader) line(p diag.Pos) string {
	l := r.linesOf(p.File)
	if p.Line < 1 || int(p.Line) > len(l) {
		return ""
	}
	return l[p.Line-1]
}

// shown is the line of a place, but not an absurdly long one.
func (r *reader) shown(p diag.Pos) string {
	l := r.line(p)
	if len(l) > maxLine {
		return ""
	}
	return l
}

// splitLines cuts text into lines without their ends.
func splitLines(s string) []string {
	if strings.Contains(s, "\r") {
		s = strings.ReplaceAll(strings.ReplaceAll(s, "\r\n", "\n"), "\r", "\n")
	}
	return strings.Split(s, "\n")
}

// tokenWidth is the number of characters of the value that starts at a column.
func tokenWidth(line string, column int) int {
	if column < 1 {
		return 0
	}
	rest := []rune(line)
	if column > len(rest) {
		return 1
	}
	rest = rest[column-1:]
	if q := rest[0]; q == '"' || q == '\'' {
		for i := 1; i < len(rest); i++ {
			if rest[i] == q {
				return i + 1
			}
		}
	}
	n := 0
	for n < len(rest) && !strings.ContainsRune(",;\t]}#", rest[n]) && !(rest[n] == ':' && (n+1 == len(rest) || rest[n+1] == ' ')) {
		n++
	}
	for n > 1 && rest[n-1] == ' ' {
		n--
	}
	return max(n, 1)
}

// note is another place for a message.
func note(at diag.Pos, text string) diag.Extra { return diag.Extra{Pos: at, Text: text} }

// here is the place of a value that was read earlier.
func here(p diag.Pos) place { return place{pos: p} }

// either gives "write a, b or c".
func either(words []string) string {
	if len(words) == 1 {
		return "write " + words[0]
	}
	return "write " + strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

func runes(s string) int { return utf8.RuneCountInString(s) }
