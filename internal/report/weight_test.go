package report

import (
	"os"
	"path/filepath"
	"regexp"
	"testing"
)

// heaviest is what a page without live charts may weigh, in bytes, photographs
// apart. Pages with live charts are weighed in browsertest.
const heaviest = 320_000

var photographs = regexp.MustCompile(`data:image/(jpeg|png)[^"]*`)

// Every page of the demo trials, as it lies in the repository, is light enough to
// be sent by mail and opened on a telephone.
func TestWeightOfDemoPages(t *testing.T) {
	t.Parallel()
	pages, err := filepath.Glob(filepath.Join("..", "..", "reports", "*.html"))
	if err != nil || len(pages) < 8 {
		t.Fatal(err, pages)
	}
	for _, file := range pages {
		page, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		n := len(photographs.ReplaceAll(page, nil))
		if n > heaviest {
			t.Errorf("%s weighs %d bytes, more than %d", filepath.Base(file), n, heaviest)
		}
	}
}
