package report

import (
	"regexp"
	"strings"
	"testing"

	"tamis/internal/answer"
	"tamis/internal/figure/live"
	"tamis/internal/report/reporttest"
	"tamis/internal/trial"
)

// A page without live charts is the same page without its scripts and their data:
// whatever holds of the one without scripts holds of the other.
func TestStaticIsLiveWithoutScripts(t *testing.T) {
	t.Parallel()
	if _, ok := live.Runtime(); !ok {
		t.Skip("NOT CHECKED: live charts, because the runtime was not built into this program: make runtime")
	}
	charts := regexp.MustCompile(`(?s)\n<script type="application/json" class="live-data">.*?</script>`)
	code := regexp.MustCompile(`(?s)\n<script>.*?</script>`)
	policy := regexp.MustCompile(`content="default-src[^"]*"`)
	for name, r := range map[string]*answer.Result{"pollack": reporttest.Pollack(), "trout": reporttest.Trout(), "hostile": reporttest.Hostile()} {
		for reader, render := range map[string]func(Options) ([]byte, error){
			"kitchen": func(o Options) ([]byte, error) { return Kitchen(r, o) },
			"readers": func(o Options) ([]byte, error) { return Readers(r, Writeup{Draft: true}, o) },
			"science": func(o Options) ([]byte, error) {
				return Science(r, Record{Trial: &trial.Trial{}, Command: "tamis report"}, o)
			},
		} {
			var pages [2]string
			for i, o := range []Options{{}, {Live: true}} {
				b, err := render(o)
				if err != nil {
					t.Fatal(name, reader, err)
				}
				pages[i] = string(b)
			}
			if n := len(charts.FindAllString(pages[1], -1)); n == 0 || charts.MatchString(pages[0]) {
				t.Errorf("%s for %s: %d live charts, and static %v", name, reader, n, charts.MatchString(pages[0]))
			}
			bare := func(s string) string {
				return code.ReplaceAllString(charts.ReplaceAllString(policy.ReplaceAllString(s, ""), ""), "")
			}
			if a, b := bare(pages[0]), bare(pages[1]); a != b {
				i := 0
				for i < len(a) && i < len(b) && a[i] == b[i] {
					i++
				}
				t.Errorf("%s for %s: they differ at %q and %q", name, reader, a[max(0, i-80):min(len(a), i+80)], b[max(0, i-80):min(len(b), i+80)])
			}
			if !strings.Contains(pages[1], live.Boot()) {
				t.Errorf("%s for %s does not start its charts", name, reader)
			}
		}
	}
}
