package licences

import (
	"os"
	"strings"
	"testing"

	"tamis/internal/figure/live"
)

func TestText(t *testing.T) {
	t.Parallel()
	s := Text()
	if !strings.Contains(s, "github.com/spf13/cobra") {
		t.Error("the licences of the modules are not there")
	}
	home, err := os.UserHomeDir()
	if err != nil {
		t.Fatal(err)
	}
	for _, folder := range []string{home + "/", "/pkg/mod/"} { // of whoever collected them
		if strings.Contains(s, folder) {
			t.Errorf("a folder of the builder is in it: %s", folder)
		}
	}
	_, built := live.Runtime()
	texts, ok := live.Licences()
	if ok != built {
		t.Errorf("runtime %v, its licences %v: one without the other", built, ok)
	}
	for _, name := range []string{"echarts 6", "zrender", "Apache License"} {
		if built && (!strings.Contains(s, texts) || !strings.Contains(texts, name)) {
			t.Errorf("%q is not among the licences of the runtime", name)
		}
	}
}
