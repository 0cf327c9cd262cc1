package trialfile

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"sort"
	"strings"
	"testing"
	"time"

	"tamis/internal/diag"
)

// head is the beginning of a sound trial, foot an end that makes one of it.
const (
	head = "tamis: 1\ntitle: T\nfood: {name: pollack}\nmeasures: {firm: {scale: 0 to 10}, shear: {unit: N}}\n"
	foot = "cooks:\n  - {id: A, set_point: 50 °C, time: 60 min, pieces: [{id: A1}]}\n"
)

// malformed files. A « stands before the character at which an error is due
// and is not part of the file; every other error is one too many. slugs are
// those of the errors in the order of the places.
var malformed = []struct {
	name  string
	slugs string
	hint  string // in the hint of the first error
	files []string
}{
	// yaml
	{"a tab indents", "tab", "spaces", []string{"tamis: 1\nfood:\n«\tname: x\n"}},
	{"a quote in a quoted text", "quote-inside", "double", []string{"tamis: 1\nfood: {name: 'it«'s trout'}\n"}},
	{"a colon is missing in a group", "no-colon", "key: value", []string{"tamis: 1\nfood:\n  «name x\n  kind: lean fish\n"}},
	{"a colon is missing in braces", "no-colon", "write set_point: 50 °C", []string{head + "cooks:\n  - {id: A, «set_point 50 °C, time: 1 h}\n"}},
	{"a range with a dash", "bad-range", "write 5 to 6", []string{head + foot + "aim: {measure: firm, target: «5-6}\n"}},
	{"a line indented too far", "bad-indent", "indent", []string{head + "cooks:\n  - id: A\n    set_point: 50 °C\n     «time: 60 min\n"}},
	{"a line indented too little", "bad-indent", "indent", []string{head + "cooks:\n  - id: A\n    set_point: 50 °C\n   «time: 60 min\n"}},
	{"a bracket is not closed", "bracket", "close it with }", []string{head + "cooks:\n  - «{id: A, set_point: 50 °C\n    time: 60 min\nnotes: x\n"}},
	{"a bracket is not closed before the next key", "bracket", "close it with ]", []string{"tamis: 1\ntitle: T\nparts: «[head, tail\nfood: {name: x}\n"}},
	{"a bracket too many", "bracket", "remove it", []string{"tamis: 1\nparts: [head, tail]«]\ntitle: T\n"}},
	{"a quote is not closed", "open-quote", "close it", []string{"tamis: 1\ntitle: «\"Trout\nfood: {name: x}\n"}},
	{"a second colon", "second-colon", "quotes", []string{"tamis: 1\ntitle: Trout«: the sequel\nfood: {name: x}\n"}},
	{"a line without a colon", "no-colon", "key: value", []string{"tamis: 1\n«title\nfood: {name: x}\n"}},
	{"a percent sign as a unit", "bad-start", "quotes", []string{"tamis: 1\ntitle: T\nmeasures:\n  loss:\n    unit: «%\nfood: {name: x}\n"}},
	{"wrong indentation", "bad-indent", "indent", []string{"tamis: 1\nfood:\n    name: x\n  «kind: lean fish\n"}},
	{"an alias to nothing", "unknown-alias", "quotes", []string{"tamis: 1\ntitle: «*star\nfood: {name: x}\n"}},
	{"an alias in itself", "alias-loop", "write the value out", []string{head + foot + "parts: &p [a, «*p]\n"}},
	{"two documents", "several-documents", "remove the line", []string{head + foot + "«---\ntitle: U\n"}},
	{"a type tag", "yaml-tag", "remove", []string{head + foot + "looks: «!!int 3\n"}},
	{"a merge key", "merge-key", "write the keys out", []string{head + "cooks:\n  - &a {id: A, set_point: 50 °C, time: 1 h}\n  - {«<<: *a, id: B, set_point: 52 °C, time: 1 h}\n"}},
	{"a merge key instead of the keys", "merge-key", "write the keys out", []string{head + "cooks:\n  - &a {id: A, set_point: 50 °C, time: 1 h}\n  - {«<<: *a, id: B}\n"}},
	{"too deep before the cooks", "too-deep", "close the brackets", []string{head + "notes: " + strings.Repeat("[", 40) + "«" + strings.Repeat("[", 60) + strings.Repeat("]", 100) + "\n" + foot}},
	{"an empty title", "missing-key", "write title: …", []string{"tamis: 1\ntitle: «\"\"\nfood: {name: x}\n" + foot}},
	{"a blank title", "missing-key", "write title: …", []string{"tamis: 1\ntitle:«\nfood: {name: x}\n" + foot}},
	{"a key that is a list", "bad-key", "quotes", []string{head + foot + "? «[a, b]\n: c\n"}},
	{"baths by number", "names-counted", "baths: [north, south]", []string{head + "design: {set_points: [50 °C, 54 °C], baths: «2}\n"}},
	{"assessors by number", "names-counted", "assessors: [P1, P2]", []string{head + "design:\n  set_points: [50 °C, 54 °C]\n  assessors: «8\n"}},
	{"an empty file", "empty-file", "tamis: 1", []string{"«# nothing\n"}},
	{"a list instead of a trial", "not-a-group", "tamis: 1", []string{"«- tamis\n"}},
	{"a backslash", "bad-escape", "single quotes", []string{"tamis: 1\ntitle: \"bad «\\q escape\"\n"}},
	// structure
	{"a required key nearly right", "unknown-key", "did you mean title?", []string{"tamis: 1\n«titel: T\nfood: {name: x}\n"}},
	{"an unknown key", "unknown-key", "did you mean brine?", []string{head + "cooks:\n  - id: A\n    set_point: 50 °C\n    time: 1 h\n    «brien: none\n"}},
	{"an unknown key at the top", "unknown-key", "did you mean question?", []string{head + foot + "«qestion: x\n"}},
	{"a key twice", "duplicate-key", "keep one", []string{head + foot + "«title: U\n"}},
	{"no title, no food", "missing-key missing-key", "add food", []string{"«tamis: 1\nmeasures: {x: {scale: 0 to 9}}\n"}},
	{"a later version", "version", "tamis: 1", []string{strings.Replace(head, "tamis: 1", "tamis: «2", 1) + foot}},
	{"a cook without a set point", "missing-key", "set_point", []string{head + "cooks:\n  - «{id: A, time: 1 h}\n"}},
	{"a cook without a time", "missing-key", "time: 60 min", []string{head + "cooks:\n  - «{id: A, set_point: 50 °C}\n"}},
	{"a time nearly right", "unknown-key", "did you mean time?", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, «tim: 1 h}\n"}},
	{"time and hold", "contradiction", "time", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, time: 1 h, hold: «20 min}\n"}},
	{"a value instead of a list", "not-a-list", "dash", []string{head + "cooks: «none\n"}},
	{"a list instead of a value", "not-a-value", "remove the brackets", []string{head + "cooks:\n  - {id: A, set_point: «[50 °C], time: 1 h}\n"}},
	{"a value instead of a group", "not-a-group", "name: …", []string{"tamis: 1\ntitle: T\nfood: «trout\n"}},
	{"a blank entry", "blank-entry", "remove", []string{head + foot + "parts: [head, «~]\n"}},
	{"a decimal comma in braces", "decimal-comma", "thickness: 17.5 mm", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, time: 1 h, pieces: [{id: A1, thickness: 17, «5 mm}]}\n"}},
	// quantities
	{"a temperature without a unit", "no-unit", "write 52 °C or 52 °F", []string{head + "cooks:\n  - {id: A, set_point: «52, time: 1 h}\n"}},
	{"a unit of another kind", "unknown-unit", "min", []string{head + "cooks:\n  - {id: A, set_point: 52 °C, time: «60 g}\n"}},
	{"a decimal comma", "decimal-comma", "write 52.5 °C", []string{head + "cooks:\n  - id: A\n    set_point: «52,5 °C\n    time: 1 h\n"}},
	{"below absolute zero", "out-of-range", "check", []string{strings.Replace(head, "pollack}", "pollack, start: «-300 °C}", 1) + foot}},
	{"a water bath above boiling", "out-of-range", "did you mean 130 °F?", []string{head + "cooks:\n  - {id: A, set_point: «130 °C, time: 1 h}\n"}},
	{"a negative mass", "negative", "write 4 g", []string{head + "cooks:\n  - {id: A, set_point: 52 °C, time: 1 h, pieces: [{id: A1, before: «-4 g}]}\n"}},
	{"a mass of nothing", "out-of-range", "check", []string{head + "cooks:\n  - {id: A, set_point: 52 °C, time: 1 h, pieces: [{id: A1, before: «0 g}]}\n"}},
	{"nan", "not-finite", "blank", []string{head + "cooks:\n  - {id: A, set_point: 52 °C, time: 1 h, shear: «.nan}\n"}},
	{"infinity", "not-finite", "leave", []string{head + "cooks:\n  - {id: A, set_point: 52 °C, time: «.inf}\n"}},
	{"a number too large", "not-finite", "check", []string{head + "cooks:\n  - {id: A, set_point: 52 °C, time: 1 h, shear: «1e999}\n"}},
	{"a brine of salt and sugar alone", "out-of-range", "of: water", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, time: 60 min, brine: {salt: «60 %, sugar: 60 %, of: brine, for: 20 min}}\n"}},
	{"a brine of salt alone", "out-of-range", "of: water", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, time: 60 min, brine: {salt: «100 %, of: brine, for: 20 min}}\n"}},
	{"a dry brine of water", "contradiction", "of: flesh", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, time: 60 min, brine: {dry salt: 1 %, of: «water}}\n"}},
	{"a dry brine of brine", "contradiction", "of: flesh", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, time: 60 min, brine: {dry salt: 1 %, of: «brine}}\n"}},
	{"a time beyond a year", "out-of-range", "check", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, time: «9999999 d}\n"}},
	{"a century in a freezer", "out-of-range", "check", []string{strings.Replace(head, "pollack}", "pollack, frozen: {for: «9999999 d}}", 1) + foot}},
	{"thinner than paper", "out-of-range", "check", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, time: 60 min, pieces: [{id: A1, thickness: «0.00001 mm}]}\n"}},
	{"out when it was started", "time-goes-back", "dates", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, started: 10:05, out: «10:05}\n"}},
	{"a share above 100 %", "out-of-range", "check", []string{head + "cooks:\n  - {id: A, set_point: 52 °C, time: 1 h, vacuum: «120 %}\n"}},
	{"a composition above 100 %", "out-of-range", "100 %", []string{strings.Replace(head, "pollack}", "pollack, composition: «{water: 81 %, protein: 27 %}}", 1) + foot}},
	{"a day that does not exist", "bad-date", "year-month-day", []string{head + foot + "date: «2026-02-30\n"}},
	{"a date of another order", "bad-date", "2026-02-11", []string{head + foot + "date: «11.02.2026\n"}},
	{"a clock time of another form", "bad-clock", "write 19:30", []string{head + "cooks:\n  - {id: A, set_point: 52 °C, started: «7:30pm, time: 1 h}\n"}},
	{"25 o'clock", "bad-clock", "10:05", []string{head + "cooks:\n  - {id: A, set_point: 52 °C, started: «25:00, time: 1 h}\n"}},
	{"out before started", "time-goes-back", "midnight", []string{head + "cooks:\n  - {id: A, set_point: 52 °C, started: 2026-02-10 10:05, out: «2026-02-10 09:05}\n"}},
	{"a thermometer error without direction", "no-direction", "0.1 °C high", []string{head + foot + "baths: {north: {reads: «0.1 °C}}\n"}},
	{"a word that is not one of the list", "unknown-word", "did you mean minced?", []string{strings.Replace(head, "pollack}", "pollack, form: «mincd}", 1) + foot}},
	{"neither yes nor no", "yes-or-no", "yes or no", []string{head + "cooks:\n  - {id: A, set_point: 52 °C, time: 1 h, ramp: «maybe}\n"}},
	{"an empty range", "bad-range", "0 to 10", []string{"tamis: 1\ntitle: T\nfood: {name: x}\nmeasures: {firm: {scale: «10 to 0}}\n" + foot}},
	{"two kinds of measure", "bad-measure", "one of", []string{"tamis: 1\ntitle: T\nfood: {name: x}\nmeasures: {firm: {scale: 0 to 10, unit: «N}}\n" + foot}},
	{"an aim without an end", "bad-aim", "write one of them", []string{head + foot + "aim: «{measure: firm}\n"}},
	{"an aim with two ends", "bad-aim", "two aims", []string{head + foot + "aim: «{measure: firm, at_most: 6, at_least: 5}\n"}},
	// the parts of a trial against each other
	{"a cook twice", "duplicate-id", "of its own", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, time: 1 h}\n  - {id: «A, set_point: 52 °C, time: 1 h}\n"}},
	{"a piece twice", "duplicate-id", "of its own", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, time: 1 h, pieces: [{id: p}, {id: «p}]}\n"}},
	{"a level twice", "duplicate-id", "keep one", []string{head + foot + "factors: {recipe: [A, B, «A]}\n"}},
	{"an aim at nothing", "unknown-measure", "did you mean firm?", []string{head + foot + "aim: {measure: «firm1, at_most: 3}\n"}},
	{"a bath that is not listed", "unknown-bath", "did you mean north?", []string{head + "baths: {north: {}}\ncooks:\n  - {id: A, set_point: 50 °C, time: 1 h, bath: «nort}\n"}},
	{"a session that is not listed", "unknown-session", "add second", []string{head + "sessions: {first: {}}\ncooks:\n  - {id: A, set_point: 50 °C, time: 1 h, session: «second}\n"}},
	{"a factor that is not declared", "unknown-factor", "declare it", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, time: 1 h, with: {«recipe: A}}\n"}},
	{"a factor nearly right", "unknown-factor", "did you mean recipe?", []string{head + "factors: {recipe: [A, B]}\ncooks:\n  - {id: A, set_point: 50 °C, time: 1 h, with: {«recpie: A}}\n"}},
	{"a factor that was refused", "not-a-list", "recipe: [A, B]", []string{head + "factors: {recipe: «A}\ncooks:\n  - {id: A, set_point: 50 °C, time: 1 h, with: {recipe: A}}\n"}},
	{"a factor in a table", "unknown-factor", "did you mean recipe?", []string{head + "factors: {recipe: [A, B]}\ncooks: {from: c.csv}\n", "c.csv", "id,set_point,time,«with.recpie\nA,50 °C,1 h,A\nB,50 °C,1 h,B\n"}},
	{"a level that is not declared", "unknown-level", "there are A and B", []string{head + "factors: {recipe: [A, B]}\ncooks:\n  - {id: A, set_point: 50 °C, time: 1 h, with: {recipe: «Cake}}\n"}},
	{"a deviation of no cook", "unknown-cook", "only A", []string{head + foot + "deviations: [{cook: «Q7, what: floated}]\n"}},
	{"a test with no cook", "unknown-cook", "A1", []string{head + foot + "difference_tests: [{kind: triangle, between: [A, «A11], answers: 3, correct: 1}]\n"}},
	{"more correct than answers", "out-of-range", "at most", []string{head + foot + "difference_tests: [{kind: triangle, between: [A, A1], answers: 3, correct: «4}]\n"}},
	{"fewer answers than none", "out-of-range", "check", []string{head + foot + "difference_tests: [{kind: triangle, between: [A, A1], answers: «-10, correct: 2}]\n"}},
	{"half a pair", "bad-name", "visible", []string{head + foot + "difference_tests: [{kind: triangle, between: [A, «' A1'], answers: 3, correct: 1}]\n"}},
	{"one bad side of three", "no-unit", "write 40 mm", []string{strings.Replace(head, "pollack}", "pollack, shape: block, sides: [60 mm, «40, 30 mm]}", 1) + foot}},
	{"outside the scale", "out-of-scale", "0 to 10", []string{head + "cooks:\n  - {id: A, set_point: 52 °C, time: 1 h, firm: «11}\n"}},
	{"a target outside the scale", "out-of-scale", "0 to 10", []string{head + foot + "aim: {measure: firm, target: «8 to 12}\n"}},
	{"heavier without a brine", "gained-mass", "102 g", []string{head + "cooks:\n  - {id: A, set_point: 52 °C, time: 1 h, pieces: [{id: A1, before: 102 g, after: «112 g}]}\n"}},
	{"a control that is nothing", "unknown-control", "id of a cook", []string{head + foot + "compare: {against: «Z9}\n"}},
	{"a value that is computed", "contradiction", "from: weights", []string{"tamis: 1\ntitle: T\nfood: {name: x}\nmeasures: {loss: {from: weights}}\ncooks:\n  - {id: A, set_point: 52 °C, time: 1 h, loss: «4}\n"}},
	{"a correlation above 1", "out-of-range", "from 0 to 1", []string{"tamis: 1\ntitle: T\nfood: {name: x}\ndrawn: {order: yes, order_within: «1.5}\n"}},
	{"a sized piece without a part", "missing-key", "part", []string{"tamis: 1\ntitle: T\nfood: {name: x}\ndesign: {set_points: [50 °C], sources: {f: [«{thickness: 18 mm}]}}\n"}},
	{"an unknown kind of food", "unknown-kind", "did you mean lean fish?", []string{strings.Replace(head, "pollack}", "pollack, kind: «leanfish1}", 1) + foot}},
	{"an unknown threshold of the format", "unknown-key", "did you mean min-runs?", []string{head + foot + "thresholds: {«min-rans: 4}\n"}},
	{"a threshold of another kind", "bad-threshold", "like 5 min", []string{head + foot + "thresholds: {time-tol: «5 g}\n"}},
	{"a threshold without its unit", "bad-threshold", "like 5 min", []string{head + foot + "thresholds: {time-tol: «5}\n"}},
	{"an unknown threshold", "unknown-key", "did you mean min-runs?", []string{head + foot + "thresholds: {«min-run: 4}\n"}},
	// files
	{"no such file", "missing-file", "did you mean scores.csv?", []string{head + foot + "panel: {scores: «score.csv}\n", "scores.csv", "assessor,cook,firm\na,A,1\n"}},
	{"an absolute path", "outside-folder", "write passwd", []string{head + foot + "panel: {scores: «/etc/passwd}\n"}},
	{"an address", "bad-path", "write a.csv", []string{head + foot + "panel: {scores: «'http://example.org/a.csv'}\n"}},
	{"the trial itself as a table", "bad-path", "another file", []string{head + foot + "panel: {scores: «t.yaml}\n"}},
	{"the trial itself by another spelling", "bad-path", "another file", []string{head + foot + "panel: {scores: «./x/../t.yaml}\n"}},
	{"an empty path", "bad-path", "delete the key", []string{head + foot + "panel: {scores: «\"\"}\n"}},
	{"a table of cooks that is not there", "missing-file", "s.csv", []string{head + "cooks: {from: «c.csv}\ndeviations: [{cook: A, what: floated}]\npanel: {scores: s.csv}\n", "s.csv", "assessor,cook,firm\na,A,4\n"}},
	{"a path out of the folder", "outside-folder", "beside", []string{head + foot + "panel: {scores: «../scores.csv}\n"}},
	{"a path of another system", "bad-path", "logs/a.csv", []string{head + foot + "panel: {scores: «logs\\a.csv}\n"}},
	{"a folder instead of a file", "bad-path", "beside", []string{head + foot + "panel: {scores: «logs}\n", "logs/a.csv", "x\n"}},
	{"an encoding of old", "encoding", "probably '°'", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "assessor,cook,served_at\na,A,40 «\xb0C\n"}},
	{"an encoding of old in the trial", "encoding", "probably 'é'", []string{"tamis: 1\ntitle: Pur«\xe9e\nfood: {name: x}\n"}},
	{"an encoding of word processors", "encoding", "probably '…'", []string{"tamis: 1\ntitle: Well«\x85\nfood: {name: x}\n"}},
	{"a NUL that is written as an escape", "control-character", "delete", []string{"tamis: 1\ntitle: «\"T\\0\"\nfood: {name: x}\n" + foot}},
	{"a colour of the terminal as an escape", "control-character", "delete", []string{head + foot + "notes: «\"\\e[31mred\"\n"}},
	{"a title that has no end", "too-long", "write up to 1000", []string{"tamis: 1\ntitle: «" + strings.Repeat("x", 200_000) + "\nfood: {name: x}\n" + foot}},
	{"a caption that has no end", "too-long", "write up to 1000", []string{head + foot + "photos:\n  - {file: a.png, of: A, caption: «" + strings.Repeat("word ", 300) + "}\n", "a.png", "x"}},
	{"a drive of Windows", "outside-folder", "", []string{head + foot + "panel: {scores: «'C:\\s.csv'}\n"}},
	{"a share of Windows", "outside-folder", "", []string{head + foot + "panel: {scores: «'\\\\host\\s.csv'}\n"}},
	{"up and out with backslashes", "outside-folder", "write s.csv", []string{head + foot + "panel: {scores: «'..\\s.csv'}\n"}},
	{"an invisible line end", "control-character", "delete", []string{head + foot + "notes: a«\u2028b\n"}},
	{"utf-16", "encoding", "UTF-8", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "«\xff\xfea\x00,\x00"}},
	{"utf-32", "encoding", "UTF-8", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "«\xff\xfe\x00\x00a\x00\x00\x00"}},
	{"nothing but a mark of documents", "empty-file", "tamis: 1", []string{"«---\n"}},
	{"nothing but null", "empty-file", "tamis: 1", []string{"«~\n"}},
	{"a directive", "bad-start", "remove the line", []string{"«%FOO bar\n---\ntamis: 1\n"}},
	{"a question mark in braces", "bad-start", "leave the value blank", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, time: 1 h, firm: «?}\n"}},
	{"a control character", "control-character", "delete", []string{head + foot + "notes: a«\x01b\n"}},
	// tables
	{"a row too short", "ragged-row", "fill it up", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "assessor,cook,firm\n«a,A\n"}},
	{"a row too long", "ragged-row", "quotes", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "assessor,cook,firm\na,A,4,«5\n"}},
	{"a column twice", "duplicate-column", "rename", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "assessor,cook,firm,«firm\na,A,4,5\n"}},
	{"a column nearly right", "unknown-key", "did you mean firm?", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "assessor,cook,«frim\na,A,4\nb,A,4\n"}},
	{"headers of another case", "unknown-key unknown-key unknown-key", "did you mean assessor?", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "«Assessor,«Cook,«Firm\na,A,4\n"}},
	{"a column is missing", "missing-column", "add a column assessor", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "«taster x,cook,firm\na,A,4\n"}},
	{"a column that is needed nearly right", "unknown-key", "did you mean assessor?", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "«assesor,cook,firm\na,A,4\n"}},
	{"nothing tasted", "missing-column", "code, piece or cook", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "«assessor,firm\na,4\n"}},
	{"an open quote in a table", "open-quote", "close it", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "assessor,cook,notes\na,A,«\"x\n"}},
	{"a score outside the scale", "out-of-scale", "0 to 10", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "assessor;cook;firm\na;A;4,5\nb;A;«45\n"}},
	{"a score that is a word", "not-a-number", "blank", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "assessor,cook,firm\na,A,«n/a\n"}},
	{"a score of no cook", "unknown-cook", "only A", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "assessor,cook,firm\na,«Q7,4\n"}},
	{"scores without cooks", "unknown-cook", "none is listed", []string{head + "panel: {scores: s.csv}\n", "s.csv", "assessor,cook,firm\na,«Q7,4\n"}},
	{"a piece in the column of cooks", "unknown-cook", "a column piece", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "assessor,cook,firm\na,«A1,4\n"}},
	{"a block without its sides", "bad-sides", "sides: [60 mm, 40 mm, 30 mm]", []string{strings.Replace(head, "pollack}", "pollack, shape: «block, start: 4 °C}", 1) + foot}},
	{"a freezer above freezing", "out-of-range", "-20 °C", []string{strings.Replace(head, "pollack}", "pollack, frozen: {at: «20 °C, for: 8 d}}", 1) + foot}},
	{"a bath that reads nothing", "out-of-range", "0.1 °C high", []string{head + foot + "baths: {north: {reads: «40 °C high}}\n"}},
	{"a probe that reads nothing", "out-of-range", "0.1 °C high", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, time: 60 min, probe: {reads: «30 °F low}}\n"}},
	{"frozen for longer than since the catch", "frozen-before-caught", "freezer", []string{head + foot + "date: 2026-02-12\nsources:\n  f: {caught: «2026-02-06, frozen: {at: -20 °C, for: 8 d}}\n"}},
	{"the food frozen for longer than since the catch", "frozen-before-caught", "freezer", []string{"tamis: 1\ntitle: T\nfood: {name: pollack, frozen: {at: -20 °C, for: 8 d}}\ndate: 2026-02-12\nsources: {f: {caught: «2026-02-06}, g: {caught: 2026-02-05}}\n" + foot}},
	{"a probe in no piece", "unknown-piece", "A1", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, time: 60 min, probe: {piece: «A12}, pieces: [{id: A1}]}\n"}},
	{"a probe that is nowhere", "unknown-word", "centre", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, time: 60 min, probe: {at: «center}, pieces: [{id: A1}]}\n"}},
	{"a score of no piece", "unknown-piece", "A1", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "assessor,piece,firm\na,«A12,4\n"}},
	{"a code without a key", "no-key", "key: FILE.csv", []string{head + foot + "panel: {scores: «s.csv}\n", "s.csv", "assessor,code,firm\na,123,4\n"}},
	{"a code that is not in the key", "unknown-code", "did you mean 132?", []string{head + foot + "panel: {scores: s.csv, key: k.csv}\n", "s.csv", "assessor,code,firm\na,«123,4\n", "k.csv", "code,piece\n132,A1\n"}},
	{"a key to nothing", "unknown-piece", "A1", []string{head + foot + "panel: {key: k.csv}\n", "k.csv", "code,piece\n132,«A11\n"}},
	{"a code twice in another column", "duplicate-id", "of its own", []string{head + foot + "panel: {key: k.csv}\n", "k.csv", "piece;code\nA1;132\nA;«132\n"}},
	{"no sample on a line", "missing-value", "fill in code", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "assessor,firm,cook\nA,4,«\n"}},
	{"a score of no cook that is also a taster", "unknown-cook", "only A", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "firm;assessor;cook\n4;Q7; «Q7\n"}},
	{"thousands", "decimal-comma", "write 1234.5", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "assessor;cook;shear\na;A;«1.234,5\n"}},
	{"thousands in a quantity", "decimal-comma", "write 1234.5 g", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, time: 1 h, pieces: {from: p.csv}}\n", "p.csv", "id;before\nA1;«1.234,5 g\n"}},
	{"a code twice", "duplicate-id", "of its own", []string{head + foot + "panel: {key: k.csv}\n", "k.csv", "code,piece\n132,A1\n«132,A\n"}},
	{"a log that goes back", "time-goes-back", "sort", []string{strings.Replace(head+foot, "time: 60 min", "time: 60 min, log: l.csv", 1), "l.csv", "time (min),core (°C)\n0,4\n5,10\n«4,12\n"}},
	{"a log without units", "no-unit no-unit", "write 0 min or 0 h", []string{strings.Replace(head+foot, "time: 60 min", "time: 60 min, log: l.csv", 1), "l.csv", "time,core\n«0,4 °C\n0 min,«4\n"}},
	{"a log with a word under a header with a unit", "bad-quantity", "stands in the header", []string{strings.Replace(head+foot, "time: 60 min", "time: 60 min, log: l.csv", 1), "l.csv", "time (min),core (°C)\n0,«cold\n"}},
	{"an empty table", "empty-file", "header", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "«\n"}},
	{"cooks of a table", "no-unit unknown-key", "did you mean salt?", []string{head + "cooks: {from: c.csv}\n", "c.csv", "id,set_point,time,brine.salt,«brine.sald\nA,«50,1 h,,\n"}},
	{"pieces of a cook without an id", "missing-key", "id: 1", []string{head + "cooks:\n  - {set_point: 50 °C, time: 1 h, pieces: {from: «p.csv}}\n", "p.csv", "cook,id\n1,A1\n"}},
	{"a piece of no cook", "unknown-cook", "only A", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, time: 1 h, pieces: {from: p.csv}}\n", "p.csv", "cook,id\nA,A1\n«B7,B1\n"}},
	{"faults in several files", "no-unit out-of-scale unknown-key", "0 to 10", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, time: 1 h, pieces: [{id: A1, before: «4}]}\npanel: {scores: s.csv, «togeter: no}\n", "s.csv", "assessor,cook,firm\na,A,«12\n"}},
}

var testVocabulary = Vocabulary{FoodKinds: []string{"lean fish", "oily fish", "poultry"}, Findings: []string{"one-lot"}, Thresholds: []string{"min-runs", "time-tol", "gap"}}

// goName finds what only a programmer would write.
var goName = regexp.MustCompile(`yaml\.|!!|\b(struct|float64|int64|uint64|int|string|bool|interface|nil|strconv|unmarshal|map\[|trialfile|trial\.\w+|quantity\.|<nil>|%!)\b`)

func TestMalformed(t *testing.T) {
	t.Parallel()
	for _, tt := range malformed {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			files := []File{}
			var due []string
			for i := -1; i < len(tt.files); i += 2 {
				name, body := "t.yaml", tt.files[0]
				if i > 0 {
					name, body = tt.files[i], tt.files[i+1]
				}
				clean := strings.ReplaceAll(body, "«", "")
				for j := strings.Index(body, "«"); j >= 0; j = strings.Index(body, "«") {
					before := body[:j]
					line := strings.Count(before, "\n") + 1
					column := runes(before[strings.LastIndex(before, "\n")+1:]) + 1
					due = append(due, fmt.Sprintf("%s:%d:%d", name, line, column))
					body = before + body[j+len("«"):]
				}
				files = append(files, File{name, []byte(clean)})
			}
			for len(due) < len(strings.Fields(tt.slugs)) {
				due = append(due, due[0]) // several faults at one place
			}
			dir := write(t, files...)
			tr, msgs, err := Read(filepath.Join(dir, "t.yaml"), testVocabulary)
			if err != nil {
				t.Fatal(err)
			}
			if tr != nil {
				t.Fatal("it was read")
			}
			var got, slugs []string
			for _, m := range msgs {
				if m.Severity != diag.Error {
					continue
				}
				if len(slugs) == 0 && !strings.Contains(m.Hint, tt.hint) {
					t.Errorf("hint %q, want %q", m.Hint, tt.hint)
				}
				if m.Hint == "" {
					t.Errorf("no hint: %s", m)
				}
				rel, err := filepath.Rel(dir, m.Pos.File.String())
				if err != nil {
					t.Fatal(err)
				}
				got = append(got, diag.Pos{File: diag.FileNamed(rel), Line: max(m.Pos.Line, 1), Column: max(m.Pos.Column, 1)}.String())
				slugs = append(slugs, m.Slug)
			}
			sort.Strings(due)
			sort.Strings(got)
			want := strings.Fields(tt.slugs)
			sort.Strings(want)
			sort.Strings(slugs)
			var b bytes.Buffer
			if err := diag.Print(&b, msgs, diag.Options{}); err != nil {
				t.Fatal(err)
			}
			shown := strings.ReplaceAll(b.String(), dir, "")
			if strings.Join(got, " ") != strings.Join(due, " ") || strings.Join(slugs, " ") != strings.Join(want, " ") {
				t.Errorf("errors %v at %v, want %v at %v\n%s", slugs, got, want, due, shown)
			}
			if m := goName.FindString(shown); m != "" && !strings.Contains(tt.name, "tag") {
				t.Errorf("%q is not a user's word:\n%s", m, shown)
			}
		})
	}
}

func TestLinksOutOfTheFolder(t *testing.T) {
	t.Parallel()
	outside := write(t, File{"s.csv", []byte("assessor,cook,firm\na,A,1\n")})
	dir := write(t, File{"t.yaml", []byte(head + foot + "panel: {scores: s.csv}\n")})
	if err := os.Symlink(filepath.Join(outside, "s.csv"), filepath.Join(dir, "s.csv")); err != nil {
		t.Skip(err)
	}
	tr, msgs, err := Read(filepath.Join(dir, "t.yaml"), Vocabulary{})
	if err != nil || tr != nil || len(msgs) != 1 || msgs[0].Slug != "outside-folder" || msgs[0].Pos.Line != 7 || msgs[0].Pos.Column != 17 {
		t.Errorf("%v %v", msgs, err)
	}
	if err := os.Rename(filepath.Join(outside, "s.csv"), filepath.Join(dir, "real.csv")); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(filepath.Join(dir, "s.csv")); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("real.csv", filepath.Join(dir, "s.csv")); err != nil {
		t.Fatal(err)
	}
	if tr := mustRead(t, filepath.Join(dir, "t.yaml")); len(tr.Panel.V.Scores) != 1 {
		t.Error("a link inside the folder was not followed")
	}
}

// repeated repeats a text with numbers, separated by commas.
func repeated(format string, n int) string {
	parts := make([]string, n)
	for i := range parts {
		parts[i] = fmt.Sprintf(format, i)
	}
	return strings.Join(parts, ", ")
}

func TestHostile(t *testing.T) {
	t.Parallel()
	bomb := "tamis: 1\ntitle: T\nfood: {name: x}\nparts: &a [x, x, x, x, x, x, x, x, x, x]\nb: &b [*a, *a, *a, *a, *a, *a, *a, *a, *a, *a]\nc: &c [*b, *b, *b, *b, *b, *b, *b, *b, *b, *b]\nd: &d [*c, *c, *c, *c, *c, *c, *c, *c, *c, *c]\ne: &e [*d, *d, *d, *d, *d, *d, *d, *d, *d, *d]\nf: [*e, *e, *e, *e, *e, *e, *e, *e, *e, *e]\n"
	tests := []struct{ name, slug, body string }{
		{"alias bomb", "alias-bomb", bomb},
		{"deep flow", "too-deep", head + foot + "notes: " + strings.Repeat("[", 60) + strings.Repeat("]", 60) + "\n"},
		{"deeper flow", "too-deep", head + foot + "notes: " + strings.Repeat("[", 20_000) + "\n"},
		{"deep block", "too-deep", head + foot + "notes:\n  " + strings.Repeat("- ", 500) + "x\n"},
		{"too large", "too-large", head + foot + "notes: " + strings.Repeat("x", maxYAML) + "\n"},
		{"references to nothing on one line", "too-many", head + "cooks: [" + repeated("{id: A%d, set_point: 50 °C, time: 1 h}", 8000) + "]\ndeviations: [" + repeated("{cook: B%d, what: floated}", 8000) + "]\n"},
		{"faults on one line", "too-many", head + "cooks: [" + repeated("{id: A%d, set_point: 50, time: 1 h}", 8000) + "]\n"},
		{"too many faults", "too-many", head + "cooks:\n" + strings.Repeat("  - {id: A, set_point: 5, time: 6}\n", 2000)},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			start := time.Now()
			tr, msgs, err := Read(filepath.Join(write(t, File{"t.yaml", []byte(tt.body)}), "t.yaml"), Vocabulary{})
			if took := time.Since(start); took > 30*time.Second { // seconds on a busy machine; minutes where the work grows with the square
				t.Errorf("it took %v", took)
			}
			if err != nil || tr != nil {
				t.Fatalf("%v, read: %v", err, tr != nil)
			}
			found := false
			for _, m := range msgs {
				found = found || m.Slug == tt.slug
			}
			if !found || len(msgs) > maxMessages+1 {
				t.Errorf("%d messages, no %s: %.300v", len(msgs), tt.slug, msgs)
			}
		})
	}
}

func TestUnreadable(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	for _, p := range []string{filepath.Join(dir, "absent.yaml"), dir} {
		if tr, msgs, err := Read(p, Vocabulary{}); err == nil || tr != nil || len(msgs) > 0 {
			t.Errorf("%s: %v, %v", p, msgs, err)
		}
	}
}
