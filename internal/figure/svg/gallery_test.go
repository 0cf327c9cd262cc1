package svg

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tamis/internal/figure"
	"tamis/internal/figure/figuretest"
)

var galleryDir = flag.String("gallery", "", "write a page with all example figures to this folder, to be looked at")

// TestGallery writes the example figures as a page and as files, for eyes:
//
//	go test ./internal/figure/svg -run Gallery -gallery DIR
func TestGallery(t *testing.T) {
	dir := t.TempDir()
	if *galleryDir != "" {
		dir = *galleryDir
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<!doctype html><meta charset=utf-8><meta name=viewport content="width=device-width,initial-scale=1"><style>
:root{color-scheme:light dark;%s}
@media (prefers-color-scheme:dark){:root{%s}}
@media print{:root{%s}}
body{margin:16px auto;max-width:720px;padding:0 16px;font:16px/1.5 system-ui,sans-serif;background:var(--fig-paper);color:var(--fig-ink)}
.f{display:none}.fig{display:block;width:100%%;height:auto}.narrow{display:none}
@media screen and (max-width:560px){.wide{display:none}.narrow{display:block}}
figure{margin:0 0 2rem;break-inside:avoid}h2{font-size:1.1rem;margin:1rem 0 .5rem}figcaption{color:var(--fig-muted)}
</style>`, Variables(Light), Variables(Dark), Variables(Light))
	for _, f := range figuretest.Examples() {
		fmt.Fprintf(&b, "<figure><h2 id=%s-t>%s</h2>", f.ID, escape(f.Title.Metric))
		for _, s := range []struct {
			size Size
			name string
		}{{Wide, "wide"}, {Narrow, "narrow"}} {
			svg, err := Inline(f, Options{Size: s.size, Name: f.ID + "-t", Desc: f.ID + "-t"})
			if err != nil {
				t.Fatal(err)
			}
			fmt.Fprintf(&b, "<div class=%s>%s</div>", s.name, svg)
		}
		fmt.Fprintf(&b, "<figcaption>%s</figcaption></figure>\n", escape(f.Caption.Metric))
		file, err := Standalone(f, figure.Metric)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, f.ID+".svg"), file, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(filepath.Join(dir, "index.html"), []byte(b.String()), 0o666); err != nil {
		t.Fatal(err)
	}
}
