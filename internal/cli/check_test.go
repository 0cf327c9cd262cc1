package cli

import (
	"encoding/json"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Many files at once are the same as one after the other, in the order given,
// files that cannot be read among them.
func TestCheckAll(t *testing.T) {
	t.Parallel()
	var paths []string
	for range 3 {
		for _, name := range []string{"trout", "nowhere", "carrot", "chicken"} {
			paths = append(paths, filepath.Join("../../trials", name, name+".yaml"))
		}
	}
	got := checkAll(paths, nil)
	if len(got) != len(paths) {
		t.Fatalf("%d outcomes of %d files", len(got), len(paths))
	}
	for i, path := range paths {
		want := checkOne(path, nil)
		if (want.err != nil) != (i%4 == 1) || want.err == nil && (want.File != path || !want.Sound) {
			t.Fatalf("%s: %v, %+v", path, want.err, want.checked)
		}
		if want.err != nil {
			if got[i].err == nil || got[i].err.Error() != want.err.Error() {
				t.Errorf("%d, %s: %v, alone %v", i, path, got[i].err, want.err)
			}
			continue
		}
		if d := cmp.Diff(jsonOf(t, want.checked), jsonOf(t, got[i].checked)); d != "" {
			t.Errorf("%d, %s: (-alone +together)\n%s", i, path, d)
		}
	}
	if got := checkAll(nil, nil); len(got) != 0 {
		t.Errorf("%d outcomes of no file", len(got))
	}
}

func jsonOf(t *testing.T, v any) string {
	t.Helper()
	b, err := json.MarshalIndent(v, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}
