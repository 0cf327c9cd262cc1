package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf16"
)

// utf16Of is a text as a spreadsheet writes it in UTF-16, little end first.
func utf16Of(s string) string {
	var b strings.Builder
	for _, u := range utf16.Encode([]rune(s)) {
		b.WriteByte(byte(u))
		b.WriteByte(byte(u >> 8))
	}
	return b.String()
}

// What a kitchen, a spreadsheet or a scanner makes of a score sheet: each is
// refused once, with its line and column, and nothing is written.
func TestSheetsOfAKitchen(t *testing.T) {
	t.Parallel()
	const head = "assessor,session,code,firmness,liking,sweet,clean\n"
	const good = "anna,first,274,4.5,7,3,yes\n"
	for _, c := range []struct{ name, sheet, at, says string }{
		{"a comma in a line of semicolons", "assessor;session;code;firmness;liking\nanna;first;274;4,5;7\nanna;first,618;6,5;5\n", "3:1", "a row with 4 of 5 cells"},
		{"tabs in one line", head + good + "anna\tfirst\t618\t6\t5\t3\tyes\n", "3:1", "a row with 1 of 7 cells"},
		{"bars", "assessor|session|code|firmness\nanna|first|274|5\n", "1:1", `parted by "|"`},
		{"spaces", "assessor session code firmness\nanna first 274 5\n", "1:1", "parted by spaces"},
		{"totals", head + good + "Total,,,10.5,12,6,\n", "3:1", "sums and means are computed by fit"},
		{"totals after a blank line", head + good + "\n\nSum:,,,45,12,6,\n", "5:1", "no score of anybody"},
		{"means", head + good + "mean,first,274,4.5,7,3,yes\n", "3:1", "delete it"},
		{"o for nought", head + good + "anna,second,4O7,6,5,3,yes\n", "3:13", "did you mean 407?"},
		{"l for one", head + good + "anna,first,6l8,6,5,3,yes\n", "3:12", "did you mean 618?"},
		{"a code with decimals", head + good + "anna,first,618.0,6,5,3,yes\n", "3:12", "did you mean 618?"},
		{"a code of full-width digits", head + good + "anna,first,６１８,6,5,3,yes\n", "3:12", "did you mean 618?"},
		{"a code in typographic quotes", head + good + "anna,first,“618”,6,5,3,yes\n", "3:12", "did you mean 618?"},
		{"a date of a score", head + good + "anna,first,618,5-Jun,5,3,yes\n", "3:16", "a spreadsheet makes dates"},
		{"a date the other way", head + good + "anna,first,618,Jun-05,5,3,yes\n", "3:16", "set the column to text"},
		{"a German date", head + good + "anna,first,618,05. Mai,5,3,yes\n", "3:16", "a spreadsheet makes dates"},
		{"half a box", head + good + "anna,first,618,6,5,3.5,yes\n", "3:20", "between two boxes"},
		{"a dash", head + good + "anna,first,618,-,5,3,yes\n", "3:16", "leave the value blank"},
		{"a long dash", head + good + "anna,first,618,6,—,3,yes\n", "3:18", "leave the value blank"},
		{"not available", head + good + "anna,first,618,6,n/a,3,yes\n", "3:18", "leave the value blank"},
		{"two numbers", head + good + "anna,first,618,6 or 7,5,3,yes\n", "3:16", "write one number"},
		{"a range", head + good + "anna,first,618,5-6,5,3,yes\n", "3:16", "write one number"},
		{"of ten", head + good + "anna,first,618,6/10,5,3,yes\n", "3:16", "write one number"},
		{"a half as a sign", head + good + "anna,first,618,6½,5,3,yes\n", "3:16", "write digits"},
		{"a doubt", head + good + "anna,first,618,6?,5,3,yes\n", "3:16", "write digits"},
		{"percent", head + good + "anna,first,618,60 %,5,3,yes\n", "3:16", "without %"},
		{"a unit", head + good + "anna,first,618,6 N,5,3,yes\n", "3:16", `"6 N"`},
		{"full-width digits", head + good + "anna,first,618,６,5,3,yes\n", "3:16", "write 6"},
		{"two points", head + good + "anna,first,618,6..5,5,3,yes\n", "3:16", `"6..5"`},
		{"a comma that parts thousands", head + good + "anna,first,618,\"1,000\",5,3,yes\n", "3:16", "write 1000 or 1.000"},
		{"yes in another language", head + good + "anna,first,618,6,5,3,ja\n", "3:22", "write yes or no"},
		{"a capital", head + good + "Anna,first,618,6,5,3,yes\n", "3:1", "did you mean anna?"},
		{"an accent", head + good + "anná,first,618,6,5,3,yes\n", "3:1", "did you mean anna?"},
		{"a joiner in a name", head + good + "an\u200dna,first,618,6,5,3,yes\n", "3:1", "character 3 of"},
		{"the ballot of another session", head + good + "ben,second,935,6,5,3,yes\n", "3:5", "write first"},
		{"the same person twice", head + good + "ben,first,274,6,5,3,yes\nanna,first,274,4.5,7,3,yes\n", "4:12", "stands twice"},
		{"two columns swapped", "assessor,session,code,liking,firmness\nanna,first,274,0.5,7\n", "2:16", "outside the scale of liking"},
		{"code and name swapped", head + "274,first,anna,4.5,7,3,yes\n", "2:1", `no assessor "274"`},
		{"a code twice in a header", "assessor,274.firmness,274.firmness\nanna,5,6\n", "1:23", "stands twice"},
		{"a code twice, written in two ways", "assessor,274.firmness,firmness 274\nanna,5,6\n", "1:23", "hold the same scores"},
		{"no header", "anna,first,274,4.5,7,3,yes\nanna,first,618,6,5,3,yes\n", "1:1", "the first line holds values"},
		{"the header again", head + good + head + "anna,first,618,6,5,3,yes\n", "3:1", "a second time"},
		{"a line end in a code", head + good + "anna,first,\"6\n18\",6,5,3,yes\n", "3:12", "is not a name"},
		{"a quote that stays open", head + "anna,first,274,4.5,7,3,\"yes\nanna,first,618,6,5,3,yes\n", "2:24", "never closed"},
		{"a cell too many", head + good + "anna,first,618,6,5,3,yes,9\n", "3:26", "a row with 8 cells"},
		{"a column without a name", "assessor,code,,firmness\nanna,274,x,5\n", "1:15", "a column without a name"},
		{"a long number", head + "anna,first,274," + strings.Repeat("9", 400) + ",7,3,yes\n", "2:16", "too large"},
		{"line ends of long ago", "assessor,code,firmness\ranna,274,5\ranna,999,6\r", "3:6", `"999" is not in the key`},
		{"a nought byte", "assessor,code,firmness\nanna,274,5\nanna,6\x0018,6\n", "3:7", "U+0000"},
		{"blank columns at the right", "assessor;code;firmness;;;;\nanna;274;4,5;;;;\nanna;999;4,5;;;;\n", "3:6", `"999" is not in the key`},
		{"a byte order mark and a slip", "\uFEFF" + head + good + "anna,first,619,6,5,3,yes\n", "3:12", `"619" is not in the key`},
		{"utf-16 without its mark", utf16Of("assessor,code,firmness\nanna,274,5\n"), "", "UTF-16"},
		{"utf-16 with it", "\xff\xfe" + utf16Of("assessor,code,firmness\nanna,274,5\n"), "", "UTF-16"},
		{"nothing but lines", "\n\n\n", "", "the table is empty"},
		{"nothing but a comment", "# scores\n", "", "the table is empty"},
		{"a score of what nobody tastes", "assessor,piece,firmness\nanna,A-1,5\nanna,raw-1,5\n", "3:6", "must not be eaten nor tasted"},
		{"five megabytes", head + strings.Repeat(good[:len(good)-1]+strings.Repeat(" ", 80)+"\n", 48000) + "x,first,618,6,5,3,yes\n", "48002:1", `no assessor "x"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			dir, content := smallTrial(t)
			trial := filepath.Join(dir, "trial.yaml")
			if strings.Contains(c.sheet, "raw-1") {
				chicken(t, dir)
			}
			sheet := filepath.Join(t.TempDir(), "sheet.csv")
			if err := os.WriteFile(sheet, []byte(c.sheet), 0o600); err != nil {
				t.Fatal(err)
			}
			before := content()
			code, out, errs := run(t.Context(), "scores", "--yes", sheet, trial)
			if code != ExitInvalid || out != "" {
				t.Errorf("code %d, output %q", code, out)
			}
			place := "sheet.csv: error:"
			if c.at != "" {
				place = "sheet.csv:" + c.at + ": error:"
			}
			flat := strings.Join(strings.Fields(errs), " ")
			if !strings.Contains(flat, place) || !strings.Contains(flat, c.says) || !strings.Contains(errs, "nothing was written") {
				t.Errorf("no %q at %s in\n%s", c.says, c.at, errs)
			}
			if n := strings.Count(errs, ": error:"); n != 1 {
				t.Errorf("%d errors for one slip:\n%s", n, errs)
			}
			if content() != before {
				t.Error("something was written")
			}
		})
	}
}

// chicken puts a trial of which one cook must not be eaten in the place of the
// small one.
func chicken(t *testing.T, dir string) {
	t.Helper()
	text := `tamis: 1
title: Chicken
food: {name: chicken breast, kind: poultry, form: whole, shape: slab, thickness: 20 mm, start: 4 °C}
measures: {firmness: {scale: 0 to 10}}
cooks:
  - {id: A, set_point: 75 °C, time: 2 h, pieces: [{id: A-1}]}
  - {id: raw, set_point: 50 °C, time: 30 min, pieces: [{id: raw-1}]}
`
	if err := os.WriteFile(filepath.Join(dir, "trial.yaml"), []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

// What is odd and clear is taken: spaces that nobody sees around a cell, a sign, a
// point at the end, and a folder in the place of a sheet is said to be none.
func TestOddSheetsThatAreClear(t *testing.T) {
	t.Parallel()
	for name, line := range map[string]string{
		"a space that does not break": "anna\u00a0,first,274,6\u00a0,5,3,yes\n", "a sign": "anna,first,274,+6,5,3,yes\n", "a point at the end": "anna,first,274,6.,5,3,yes\n",
		"spaces": " anna , first , 274 , 6 , 5 , 3 , yes \n", "a decimal comma": "anna,first,274,\"6,0\",5,3,yes\n", "left out though": "anna,first,274,6,5,3,YES\n",
	} {
		dir, _ := smallTrial(t)
		sheet := filepath.Join(t.TempDir(), "sheet.csv")
		if err := os.WriteFile(sheet, []byte("assessor,session,code,firmness,liking,sweet,clean\n"+line), 0o600); err != nil {
			t.Fatal(err)
		}
		must(t, "scores", "--yes", sheet, filepath.Join(dir, "trial.yaml"))
		b, err := os.ReadFile(filepath.Join(dir, "scores.csv"))
		if err != nil || !strings.Contains(string(b), "anna,first,1,274,6,5,3,yes\n") {
			t.Errorf("%s: %v\n%s", name, err, b)
		}
	}
	dir, content := smallTrial(t)
	before := content()
	if code, _, errs := run(t.Context(), "scores", "--yes", t.TempDir(), filepath.Join(dir, "trial.yaml")); code != ExitFailure || !strings.Contains(errs, "it is not a plain file") || content() != before {
		t.Errorf("code %d: %s", code, errs)
	} // With a reason not to use it, a score of what nobody should have tasted is taken.
	dir, _ = smallTrial(t)
	chicken(t, dir)
	sheet := filepath.Join(t.TempDir(), "sheet.csv")
	if err := os.WriteFile(sheet, []byte("assessor,piece,firmness,left_out\nanna,raw-1,5,tasted by mistake\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	must(t, "scores", "--yes", sheet, filepath.Join(dir, "trial.yaml"))
}
