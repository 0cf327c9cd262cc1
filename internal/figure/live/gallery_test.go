package live

import (
	"flag"
	"fmt"
	"html"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tamis/internal/figure/figuretest"
	"tamis/internal/figure/svg"
)

var galleryDir = flag.String("gallery", "", "write a page with all example charts to this folder, to be looked at")

// TestGallery writes the example figures, each chart over its static picture:
//
//	go test ./internal/figure/live -run Gallery -gallery DIR
func TestGallery(t *testing.T) {
	dir := t.TempDir()
	if *galleryDir != "" {
		dir = *galleryDir
	}
	runtime, _ := Runtime()
	var b strings.Builder
	fmt.Fprintf(&b, `<!doctype html><meta charset=utf-8><meta name=viewport content="width=device-width,initial-scale=1"><title>charts</title><style>
:root{color-scheme:light dark;%s}
@media (prefers-color-scheme:dark){:root{%s}}
body{margin:16px auto;max-width:720px;padding:0 16px;font:16px/1.5 system-ui,sans-serif;background:var(--fig-paper);color:var(--fig-ink)}
.fig{display:block;width:100%%;height:auto}.live{display:none}.on .live{display:block}figure{margin:0 0 2rem}h2{font-size:1.1rem}
#unit-c:checked~figure .f,#unit-f:checked~figure .c{display:none}
</style><input type=radio name=unit id=unit-c checked><input type=radio name=unit id=unit-f>`, svg.Variables(svg.Light), svg.Variables(svg.Dark))
	for _, f := range figuretest.Examples() {
		pic, err := svg.Inline(f, svg.Options{Name: f.ID + "-t", Desc: f.ID + "-t"})
		if err != nil {
			t.Fatal(err)
		}
		data, err := Block(f, svg.Wide)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&b, `<figure id="%s"><h2 id="%s-t">%s</h2><div class=still>%s</div><script type="application/json" class="live-data">%s</script><details open></details></figure>`+"\n",
			f.ID, f.ID, html.EscapeString(f.Title.Metric), pic, data)
	}
	fmt.Fprintf(&b, "<script>%s</script><script>%s</script>", runtime, Boot())
	if err := os.WriteFile(filepath.Join(dir, "index.html"), []byte(b.String()), 0o666); err != nil {
		t.Fatal(err)
	}
}
