package main

import (
	"bytes"
	"os"
	"os/exec"
	"strings"
	"testing"
)

// What is linked has its licence in modules.txt, word for word.
func TestCollectedTextsAreCurrent(t *testing.T) {
	t.Parallel()
	if _, err := exec.LookPath("go"); err != nil {
		t.Skip("no go command")
	}
	want, err := collect("tamis/cmd/tamis")
	if err != nil {
		t.Fatal(err)
	}
	have, err := os.ReadFile("../modules.txt")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(have, want) {
		t.Error("modules.txt is not what is linked: make licences")
	}
	for _, name := range []string{"The Go library: LICENSE", "gonum.org/v1/plot", "github.com/go-echarts/go-echarts/v2", "SIL OPEN FONT LICENSE"} {
		if !strings.Contains(string(want), name) {
			t.Errorf("%q is not among the licences", name)
		}
	}
}

func TestNoLicenceIsAnError(t *testing.T) {
	t.Parallel()
	var b bytes.Buffer
	if err := add(&b, "empty", t.TempDir()); err == nil {
		t.Error("a module without a licence passed")
	}
	if _, err := collect("tamis/cmd/nothing"); err == nil {
		t.Error("a package that is not there passed")
	}
}
