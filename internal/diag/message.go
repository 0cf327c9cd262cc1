package diag

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"unique"
)

// Severity says how bad a message is.
type Severity uint8

const (
	Error   Severity = iota // the file cannot be used
	Warning                 // the file can be used, and something is probably not meant so
	Note                    // what was understood or detected
)

var severities = [...]string{Error: "error", Warning: "warning", Note: "note"}

// String is the word that is printed: error, warning or note.
func (s Severity) String() string {
	if int(s) < len(severities) {
		return severities[s]
	}
	return "severity " + strconv.Itoa(int(s))
}

// MarshalText gives the word.
func (s Severity) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads the word.
func (s *Severity) UnmarshalText(b []byte) error {
	i := slices.Index(severities[:], string(b))
	if i < 0 {
		return fmt.Errorf("%q is not a severity: write error, warning or note", b)
	}
	*s = Severity(i)
	return nil
}

// Pos is a place in a file. Line and Column count from 1, the column in
// characters; 0 means that the place is the whole file or the whole line. The
// zero Pos is no place. Every value of a record has one, so it is kept small.
type Pos struct {
	File   File  `json:"file,omitzero"`
	Line   int32 `json:"line,omitempty"`
	Column int32 `json:"column,omitempty"`
}

// At is a place in a file.
func At(file File, line, column int) Pos {
	return Pos{file, int32(min(line, math.MaxInt32)), int32(min(column, math.MaxInt32))}
}

// String prints file:line:column, leaving out what is not known.
func (p Pos) String() string {
	s := p.File.String()
	if p.Line > 0 {
		s += ":" + strconv.Itoa(int(p.Line))
		if p.Column > 0 {
			s += ":" + strconv.Itoa(int(p.Column))
		}
	}
	return s
}

// File is the name of a file, as it is shown. Equal names are one in memory. The
// zero File has no name.
type File struct{ name unique.Handle[string] }

// FileNamed is the file of a name.
func FileNamed(name string) File {
	if name == "" {
		return File{}
	}
	return File{unique.Make(name)}
}

// String is the name, "" where there is none.
func (f File) String() string {
	if f == (File{}) {
		return ""
	}
	return f.name.Value()
}

// MarshalText gives the name.
func (f File) MarshalText() ([]byte, error) { return []byte(f.String()), nil }

// UnmarshalText reads a name.
func (f *File) UnmarshalText(b []byte) error {
	*f = FileNamed(string(b))
	return nil
}

// IsZero reports whether p is no place.
func (p Pos) IsZero() bool { return p == Pos{} }

func (p Pos) compare(q Pos) int {
	return cmp.Or(cmp.Compare(p.File.String(), q.File.String()), cmp.Compare(p.Line, q.Line), cmp.Compare(p.Column, q.Column))
}

// Message is one thing to say about one place.
type Message struct {
	Severity Severity `json:"severity"`
	Slug     string   `json:"slug"` // names the kind of fault and never changes
	Pos      Pos      `json:"pos"`
	Width    int      `json:"width,omitempty"`    // characters to underline from Pos.Column; 0 counts as 1
	Text     string   `json:"text"`               // what is wrong, without a full stop
	Source   string   `json:"source,omitempty"`   // the line itself, without its line break
	Expected string   `json:"expected,omitempty"` // what would have been right
	Hint     string   `json:"hint,omitempty"`     // what to type instead
	Notes    []Extra  `json:"notes,omitempty"`    // other places that belong to it
}

// Extra is another place that explains a message, such as the first of two
// equal ids.
type Extra struct {
	Pos    Pos    `json:"pos"`
	Width  int    `json:"width,omitempty"`
	Text   string `json:"text"`
	Source string `json:"source,omitempty"`
}

// String is the first line of the message as Print shows it.
func (m Message) String() string {
	s := m.Severity.String() + ": " + m.Text
	if !m.Pos.IsZero() {
		s = m.Pos.String() + ": " + s
	}
	return Clean(s)
}

// List is some messages.
type List []Message

// Add appends messages.
func (l *List) Add(m ...Message) { *l = append(*l, m...) }

// Sorted returns the messages by file, line, column, severity, slug and text,
// each once. The list itself is not altered.
func (l List) Sorted() List {
	out := slices.Clone(l)
	slices.SortStableFunc(out, func(a, b Message) int {
		return cmp.Or(a.Pos.compare(b.Pos), cmp.Compare(a.Severity, b.Severity), cmp.Compare(a.Slug, b.Slug), cmp.Compare(a.Text, b.Text))
	})
	return slices.CompactFunc(out, func(a, b Message) bool {
		return a.Pos == b.Pos && a.Severity == b.Severity && a.Slug == b.Slug && a.Text == b.Text
	})
}

// Limited returns the first max messages and how many were left out; max ≤ 0
// means all.
func (l List) Limited(max int) (shown List, more int) {
	if max <= 0 || len(l) <= max {
		return l, 0
	}
	return l[:max], len(l) - max
}

// Count returns how many messages have the severity.
func (l List) Count(s Severity) int {
	n := 0
	for i := range l {
		if l[i].Severity == s {
			n++
		}
	}
	return n
}

// HasErrors reports whether any message is an error.
func (l List) HasErrors() bool { return l.Count(Error) > 0 }
