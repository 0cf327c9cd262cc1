package trialfile

import (
	"path/filepath"
	"reflect"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

// TestReadAtOnce: trials that are read beside each other and one after the other,
// in memory that others had before, are what they are alone.
func TestReadAtOnce(t *testing.T) {
	t.Parallel()
	paths, err := filepath.Glob("../../trials/*/*.yaml")
	if err != nil || len(paths) < 4 {
		t.Fatal(paths, err)
	}
	type read struct {
		t    *trial.Trial
		msgs diag.List
	}
	of := func(path string) read {
		tr, msgs, err := Read(path, testVocabulary)
		if err != nil {
			t.Error(path, err)
		}
		return read{tr, msgs}
	}
	exactly := cmp.Options{cmp.Exporter(func(reflect.Type) bool { return true }), cmpopts.EquateComparable(diag.File{})}
	want := map[string]read{}
	for _, p := range paths {
		want[p] = of(p)
	}
	var all sync.WaitGroup
	for i := range 24 {
		all.Go(func() {
			p := paths[i%len(paths)]
			if d := cmp.Diff(want[p], of(p), exactly); d != "" {
				t.Errorf("%s: %s", p, d)
			}
		})
	}
	all.Wait()
	for _, p := range paths { // what was read first was not written over
		if d := cmp.Diff(want[p], of(p), exactly); d != "" {
			t.Errorf("%s: %s", p, d)
		}
	}
}
