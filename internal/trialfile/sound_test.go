package trialfile

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"tamis/internal/diag"
)

// Sound files with something to say, and sound files with nothing to say.
func TestReservations(t *testing.T) {
	t.Parallel()
	cook := func(rest string) string {
		return head + "cooks:\n  - {id: A, set_point: 50 °C, time: 60 min, " + rest + "}\n"
	}
	tests := []struct {
		name, slugs string // severity:slug of each message
		files       []string
	}{
		{"nothing to say", "", []string{head + foot}},
		{"a list of no cooks", "warning:nothing-cooked", []string{head + "cooks: []\n"}},
		{"blank cooks", "warning:nothing-cooked", []string{head + "cooks:\n"}},
		{"a table of no cooks", "warning:empty-table", []string{head + "cooks: {from: c.csv}\n", "c.csv", "id,set_point,time\n"}},
		{"a sheet without a row", "warning:empty-table", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "assessor,cook,firm\n"}},
		{"a sheet without a row, before the tasting", "note:empty-table", []string{head + foot + "status: planned\npanel: {scores: s.csv}\n", "s.csv", "assessor,cook,firm\n"}},
		{"a log without a row", "warning:empty-table", []string{strings.Replace(head+foot, "time: 60 min", "time: 60 min, log: l.csv", 1), "l.csv", "time (min),core (°C)\n"}},
		{"a separator that is declared", "note:table-format", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "sep=;\nassessor;cook;firm\na;A;4\n"}},
		{"a separator that is declared, in quotes", "", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "\"sep=,\"\nassessor,cook,firm\na,A,4\n"}},
		{"a brine of what", "note:brine-base", []string{cook("brine: {salt: 5 %, for: 20 min}")}},
		{"a brine of what on a piece", "note:brine-base", []string{cook("pieces: [{id: A1, brine: {salt: 5 %, for: 20 min}}]")}},
		{"a brine of what, many times", "note:brine-base", []string{head + "cooks: {from: c.csv}\n", "c.csv", "id,set_point,time,brine.salt\nA,50 °C,1 h,5 %\nB,52 °C,1 h,5 %\n"}},
		{"a dry brine without of", "", []string{cook("brine: {dry salt: 1 %, for: 20 min}")}},
		{"a brine of nothing", "warning:brine-strength", []string{cook("brine: {}")}},
		{"a brine without its salt", "warning:brine-strength", []string{cook("brine: {tub: t1, for: 20 min}")}},
		{"more salt than dissolves", "warning:brine-strength", []string{cook("brine: {salt: 60 %, of: water}")}},
		{"a day but for a minute", "warning:past-midnight", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, started: 10:05, out: 10:04}\n"}},
		{"a day but for a minute, as timed", "", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, started: 10:05, out: 10:04, time: 23 h 59 min}\n"}},
		{"a night", "", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, started: 18:05, out: 08:04}\n"}},
		{"served before it was out", "warning:past-midnight", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, started: 10:05, out: 11:05, served: 11:00}\n"}},
		{"a piece served before it was out", "warning:past-midnight", []string{cook("started: 10:05, out: 11:05, pieces: [{id: A1, served: 11:00}]")}},
		{"chilled over night", "", []string{cook("started: 10:05, out: 11:05, chilled: yes, served: 11:00")}},
		{"two cooks at one place in the order", "warning:order-twice", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, time: 1 h, session: s1, order: 1}\n  - {id: B, set_point: 52 °C, time: 1 h, session: s1, order: 1}\n"}},
		{"side by side in two baths", "", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, time: 1 h, session: s1, bath: n, order: 1}\n  - {id: B, set_point: 52 °C, time: 1 h, session: s1, bath: s, order: 1}\n"}},
		{"weighed, and no loss from it", "warning:no-number", []string{strings.Replace(head, "shear: ", "cook_loss: {unit: \"%\"}, shear: ", 1) + strings.Replace(foot, "{id: A1}", "{id: A1, before: 100 g, after: 90 g}", 1)}},
		{"weighed, and a loss from it", "", []string{strings.Replace(head, "shear: ", "cook_loss: {unit: \"%\", from: weights}, shear: ", 1) + strings.Replace(foot, "{id: A1}", "{id: A1, before: 100 g, after: 90 g}", 1)}},
		{"not weighed yet", "", []string{strings.Replace(head, "shear: ", "cook_loss: {unit: \"%\"}, shear: ", 1) + foot}},
		{"a middle that is no number", "warning:no-middle", []string{strings.Replace(head, "shear: ", "flake: {just_right: 1 to 4}, shear: ", 1) + foot}},
		{"a middle that is a number", "", []string{strings.Replace(head, "shear: ", "flake: {just_right: -2 to 2}, shear: ", 1) + foot}},
		{"two aims that exclude each other", "warning:contradiction", []string{head + foot + "aim: [{measure: firm, at_most: 5}, {measure: firm, at_least: 6}]\n"}},
		{"two aims that meet", "", []string{head + foot + "aim: [{measure: firm, at_most: 6}, {measure: firm, at_least: 5}]\n"}},
		{"a target and a limit that exclude each other", "warning:contradiction", []string{head + foot + "aim: [{measure: firm, at_most: 3}, {measure: firm, target: 5 to 6}]\n"}},
		{"thresholds of all kinds", "", []string{head + foot + "thresholds: {min-runs: 4, time-tol: 5 min}\n"}},
		{"no cooks and no design", "warning:nothing-cooked", []string{head}},
		{"a sheet that is still to come", "note:missing-file note:missing-file", []string{head + foot + "status: planned\npanel: {scores: s.csv, key: k.csv}\n"}},
		{"an unknown finding", "warning:unknown-finding", []string{head + foot + "accept: [{finding: one-lott, because: only one delivery}]\n"}},
		{"a known finding", "", []string{head + foot + "accept: [{finding: one-lot, because: only one delivery, where: [A1]}]\n"}},
		{"a column of remarks", "warning:unused-column", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "assessor,cook,firm,weather forecast\na,A,4,rain\n"}},
		{"a picture that is none", "warning:no-picture", []string{head + foot + "photos: [{file: a.jpg, of: A1}]\n", "a.jpg", "<svg/>"}},
		{"a picture", "", []string{head + foot + "photos: [{file: a.jpg, of: A1}]\n", "a.jpg", "\xff\xd8\xff\xe0 and so on"}},
		{"the same sample twice", "warning:scored-twice", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "assessor,cook,firm\na,A,4\na,A,5\n"}},
		{"the same sample in two repeats", "", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "assessor,cook,repeat,firm\na,A,1,4\na,A,2,5\n"}},
		{"the same sample at two places", "", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "assessor,cook,position,firm\na,A,1,4\na,A,2,5\n"}},
		{"heavier with a brine", "", []string{cook("pieces: [{id: A1, before: 100 g, after: 101 g, brine: {salt: 5 %, of: brine}}]")}},
		{"heavier than brined", "warning:gained-mass", []string{cook("brine: {salt: 5 %, of: brine}, pieces: [{id: A1, before: 100 g, brined: 101 g, after: 102 g}]")}},
		{"across midnight", "", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, started: 23:30, out: 00:30, served: 00:40, time: 60 min}\n"}},
		{"two times that differ", "warning:contradiction", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, started: 10:00, out: 11:30, time: 60 min}\n"}},
		{"an oven without a time", "", []string{head + "medium: oven\ncooks:\n  - {id: A, set_point: 350 °F}\n"}},
		{"a source in another case", "warning:almost-the-same", []string{head + "sources: {fish-1: {lot: L1}}\ncooks:\n  - {id: A, set_point: 50 °C, time: 1 h, pieces: [{source: Fish-1}, {source: fish-2}]}\n"}},
		{"what a table looked like", "note:table-format", []string{head + foot + "panel: {scores: s.csv}\n", "s.csv", "assessor;cook;firm\r\na;A;4,5\r\n"}},
		{"a control by its temperature", "", []string{head + foot + "compare: {against: 122 °F}\n"}},
		{"lists and groups of one", "", []string{head + foot + "serve: public\naim: {measure: firm, best: highest}\n"}},
		{"blank keys", "", []string{head + foot + "question:\nby: ~\ndate:\n"}},
		{"an alias", "", []string{head + "cooks:\n  - {id: A, set_point: 50 °C, time: 1 h, brine: &b {salt: 5 %, of: brine}}\n  - {id: B, set_point: 52 °C, time: 1 h, brine: *b}\n"}},
		{"windows", "", []string{"\xef\xbb\xbf" + strings.ReplaceAll(head+foot, "\n", "\r\n")}},
	}
	schema := compiled(t)
	for _, tt := range tests {
		files := []File{{"t.yaml", []byte(tt.files[0])}}
		for i := 1; i < len(tt.files); i += 2 {
			files = append(files, File{tt.files[i], []byte(tt.files[i+1])})
		}
		tr, msgs, err := Read(filepath.Join(write(t, files...), "t.yaml"), testVocabulary)
		if err != nil || tr == nil {
			t.Errorf("%s: not read: %v, %v", tt.name, err, msgs)
			continue
		}
		var got []string
		for _, m := range msgs {
			got = append(got, m.Severity.String()+":"+m.Slug)
		}
		if v, ok := parsed(t, strings.TrimPrefix(tt.files[0], "\xef\xbb\xbf")); !ok {
			t.Errorf("%s: not parsed", tt.name)
		} else if err := schema.Validate(v); err != nil {
			t.Errorf("%s: the schema refuses it: %v", tt.name, err)
		}
		if strings.Join(got, " ") != tt.slugs {
			t.Errorf("%s: %v, want %s: %v", tt.name, got, tt.slugs, msgs)
		}
	}
}

// The trials of this repository read without an error and come back equal.
func TestRoundTripOfTheTrialsHere(t *testing.T) {
	t.Parallel()
	var files []string
	for _, pattern := range []string{"../../trials/*/*.yaml", "../../testdata/*/*.yaml"} {
		found, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, found...)
	}
	if len(files) == 0 {
		t.Fatal("no trials found")
	}
	for _, f := range files {
		tr := mustRead(t, f)
		if d := cmp.Diff(tr, again(t, tr, Style{}), same); d != "" {
			t.Errorf("%s: %s", f, d)
		}
	}
}

// Reading the same file twice says the same things in the same order.
func TestDeterministic(t *testing.T) {
	t.Parallel()
	body := head + "cooks:\n  - {id: A, set_pint: 5, tim: 6}\n  - {id: A, pieces: {from: p.csv}, set_point: 50}\n  - {id: B, pieces: {from: p.csv}, set_point: 50 °C}\n"
	dir := write(t, File{"t.yaml", []byte(body)}, File{"p.csv", []byte("cook,id\nC,1\nD,2\nE,3\nB,1\n")})
	var first diag.List
	for i := range 20 {
		_, msgs, err := Read(filepath.Join(dir, "t.yaml"), testVocabulary)
		if err != nil {
			t.Fatal(err)
		}
		if i == 0 {
			first = msgs
		} else if d := cmp.Diff(first, msgs, cmpopts.EquateComparable(diag.File{})); d != "" {
			t.Fatal(d)
		}
	}
	if first.Count(diag.Error) < 6 {
		t.Errorf("too little to compare: %v", first)
	}
}
