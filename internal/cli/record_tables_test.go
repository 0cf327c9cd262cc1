package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const tablesTrial = `tamis: 1
title: Record
food: {name: carrot, kind: vegetable} # a comment
measures: {firmness: {scale: 0 to 10}, snap: {unit: N}, cook_loss: {unit: "%", from: weights}}
cooks: {from: cooks.csv}
`

const tablesCooks = "\uFEFF# by hand\r\nid;set_point;time;started;pieces.from;notes\r\nA;84 °C;40 min;;pieces.csv;\"big; \"\"old\"\" bath\"\r\n\r\nB;88 °C;40 min;;pieces.csv;\r\n"

// recordIn writes files into a new folder and returns it.
func recordIn(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// Cooks and pieces in tables of their own are written there, each in the form of
// its table, and a second time nothing is.
func TestRecordIsWrittenIntoTables(t *testing.T) {
	t.Parallel()
	pieces := "cook,id,before (g),after (g),snap\nA,A1,\"100,5\",,12\nA,A2,101,96,\nB,B1,99,,\n"
	dir := recordIn(t, map[string]string{"t.yaml": tablesTrial, "cooks.csv": tablesCooks, "pieces.csv": pieces,
		"s.csv": "piece,in,out,after (g),snap,served_at,notes\nA1,10:00,10:40,96.5,12,50 °C,\"weeps, a little\"\nA2,10:00,10:44,,11.5,,\nB1,11:00,11:40,95,,,\n"})
	want := map[string]string{
		"t.yaml":     tablesTrial,
		"cooks.csv":  "\uFEFF# by hand\r\nid;set_point;time;started;pieces.from;notes;out\r\nA;84 °C;40 min;10:00;pieces.csv;\"big; \"\"old\"\" bath\";\r\n\r\nB;88 °C;40 min;11:00;pieces.csv;;11:40\r\n",
		"pieces.csv": "cook,id,before (g),after (g),snap,out,served_at,notes\nA,A1,\"100,5\",\"96,5\",12,10:40,50 °C,\"weeps, a little\"\nA,A2,101,96,\"11,5\",10:44,,\nB,B1,99,95,,,,\n",
	}
	for i, says := range []string{"cooks.csv and ", "Nothing to write"} {
		code, out, errs := run(t.Context(), "record", "--yes", filepath.Join(dir, "s.csv"), filepath.Join(dir, "t.yaml"))
		if code != ExitDone || !strings.Contains(out, says) {
			t.Fatalf("time %d: code %d\n%s\n%s", i+1, code, out, errs)
		}
		for name, text := range want {
			if b, err := os.ReadFile(filepath.Join(dir, name)); err != nil || string(b) != text {
				t.Errorf("time %d: %s: %v\n%q\nwant\n%q", i+1, name, err, b, text)
			}
		}
	}
}

// Where one of the files cannot be written, none is.
func TestRecordIsWrittenWholeOrNot(t *testing.T) {
	t.Parallel()
	pieces := "cook,id,before\nA,A1,100 g\nB,B1,99 g\n"
	dir := recordIn(t, map[string]string{"t.yaml": strings.Replace(tablesTrial, "cooks.csv", "cooks/cooks.csv", 1),
		"pieces.csv": pieces, "s.csv": "piece,in,after\nA1,10:00,96 g\n"})
	if err := os.Mkdir(filepath.Join(dir, "cooks"), 0o700); err != nil {
		t.Fatal(err)
	}
	cooks := filepath.Join(dir, "cooks", "cooks.csv")
	if err := os.WriteFile(cooks, []byte(tablesCooks), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(filepath.Join(dir, "cooks"), 0o500); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.Chmod(filepath.Join(dir, "cooks"), 0o700) })
	if f, err := os.Create(filepath.Join(dir, "cooks", "probe")); err == nil {
		_ = f.Close()
		t.Skip("this user may write anywhere")
	}
	code, out, errs := run(t.Context(), "record", "--yes", filepath.Join(dir, "s.csv"), filepath.Join(dir, "t.yaml"))
	if code == ExitDone || !strings.Contains(errs, "nothing was written") {
		t.Errorf("code %d\n%s\n%s", code, out, errs)
	}
	for path, text := range map[string]string{filepath.Join(dir, "pieces.csv"): pieces, cooks: tablesCooks} {
		if b, err := os.ReadFile(path); err != nil || string(b) != text {
			t.Errorf("%s was written: %v\n%s", path, err, b)
		}
	}
}
