package fairness

import (
	"flag"
	"os"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the catalogue page again")

// The committed page is what the checks say today.
func TestCataloguePage(t *testing.T) {
	t.Parallel()
	const path = "../../CHECKS.md"
	page := CataloguePage()
	if *update {
		if err := os.WriteFile(path, []byte(page), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	have, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if string(have) != page {
		t.Error("CHECKS.md is not current: go test ./internal/fairness -run CataloguePage -update")
	}
	for _, c := range catalogue {
		if strings.Count(page, "\n### "+c.Slug+"\n") != 1 {
			t.Errorf("%s does not stand on the page once", c.Slug)
		}
	}
	if strings.Contains(page, "{quote}") || strings.Contains(page, "!") {
		t.Error("a placeholder or an exclamation mark")
	}
}
