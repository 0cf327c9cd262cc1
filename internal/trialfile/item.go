package trialfile

import (
	"strings"

	"tamis/internal/diag"
)

// itemKind says what an item is.
type itemKind uint8

const (
	blank   itemKind = iota // written, but without a value
	scalar                  // one value, as text
	list                    // values in order
	mapping                 // keys with values, in order
)

// place is where an item stands and how many characters it has; a width of 0
// means that it is measured from the line when needed.
type place struct {
	pos   diag.Pos
	width int
}

// item is one value of a file, whatever the file's format. Reading makes items
// from YAML and CSV; writing makes them from a trial.
type item struct {
	text    string // of a scalar
	at      place
	list    []*item
	entries []entry
	meant   []string   // of a group: keys that unknown ones were probably to be
	cell    *cellStyle // set for cells of a table

	// Of a key, what was found for its text: a field of an object, and a measure.
	object  any
	field   int16
	measure int16 // its place among the measures, from 1

	kind   itemKind
	quoted bool // the scalar stood in quotes, so it is text even when empty
	bad    bool // a fault was reported in here; what it lacks is no second one
	part   bool // of a group: keys may be missing because they could not be read
	probe  bool // a header without values: only its names are looked at
	flow   bool // written on one line
}

// cellStyle is what the header and the format of a table say about its cells.
type cellStyle struct {
	unit   string            // from a header such as "before (g)"
	commas bool              // they part the cells, and no number of the table has one for certain
	meant  map[string]string // by column name: the key that an unknown one was probably to be; reported already
}

// entry is one key of a mapping with its value.
type entry struct {
	key   *item
	value *item
	doc   string // written as a comment
}

// get returns the value of a key, nil when the mapping lacks it.
func (it *item) get(key string) *item {
	if it == nil || it.kind != mapping {
		return nil
	}
	for _, e := range it.entries {
		if e.key.text == key {
			return e.value
		}
	}
	return nil
}

// empty reports whether nothing was written, or nothing between quotes.
func (it *item) empty() bool {
	return !it.bad && (it.kind == blank || it.kind == scalar && strings.TrimSpace(it.text) == "")
}

// given reports whether a group has a value for the key.
func (it *item) given(key string) bool {
	v := it.get(key)
	return v != nil && !v.empty()
}

// describe names what was found, for "expected …, found …".
func (it *item) describe() string {
	switch it.kind {
	case list:
		return "a list"
	case mapping:
		return "a group of keys"
	case blank:
		return "nothing"
	}
	return quote(it.text)
}

// quote shows text from a file in a message, cut to a length that is read.
func quote(s string) string {
	s = strings.Join(strings.Fields(s), " ")
	if r := []rune(s); len(r) > 60 {
		s = string(r[:57]) + "…"
	}
	return `"` + s + `"`
}

// constructors for writing

func textItem(s string) *item { return &item{kind: scalar, text: s} }

func (it *item) add(key string, v *item, doc string) {
	if v != nil {
		it.entries = append(it.entries, entry{key: textItem(key), value: v, doc: doc})
	}
}
