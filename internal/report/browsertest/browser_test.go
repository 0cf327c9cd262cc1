package browsertest

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// browser is the running Chromium of most tests; each has a tab. second is
// another one, so that two pages can be held at once: of one browser only the
// tab that was opened last draws.
var browser, second = sync.OnceValues(start), sync.OnceValues(start)

// idle are the browsers that hold no page now.
var idle = func() chan func() (context.Context, error) {
	c := make(chan func() (context.Context, error), 2)
	c <- browser
	c <- second
	return c
}()

func start() (context.Context, error) {
	path, err := find()
	if err != nil {
		return nil, err
	}
	// The profile is left to the temporary folder of the test binary.
	profile, err := os.MkdirTemp("", "tamis-browser-")
	if err != nil {
		return nil, err
	}
	alloc, stop := chromedp.NewExecAllocator(context.Background(),
		chromedp.ExecPath(path), chromedp.NoFirstRun, chromedp.Headless, chromedp.DisableGPU, chromedp.NoSandbox,
		chromedp.UserDataDir(profile),
		chromedp.Flag("disable-dev-shm-usage", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true), chromedp.Flag("disable-extensions", true))
	ctx, cancel := chromedp.NewContext(alloc)
	ending.Lock()
	ends = append(ends, func() { cancel(); stop(); os.RemoveAll(profile) })
	ending.Unlock()
	return ctx, chromedp.Do(ctx)
}

var (
	ending sync.Mutex
	ends   []func()
)

func TestMain(m *testing.M) {
	if os.Getenv("TAMIS_BROWSER") == "off" {
		fmt.Fprintln(os.Stderr, "browsertest: skipped, TAMIS_BROWSER=off")
		os.Exit(0)
	}
	code := m.Run()
	for _, end := range ends {
		end()
	}
	os.Exit(code)
}

// find looks for Chromium.
func find() (string, error) {
	if p := os.Getenv("TAMIS_BROWSER"); p != "" {
		return exec.LookPath(p)
	}
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			return p, nil
		}
	}
	return "", fmt.Errorf("no Chromium found: install it (apt-get install chromium), name it in TAMIS_BROWSER, or set TAMIS_BROWSER=off to go without")
}

// tab is a page in a tab of its own, with everything that it asked for or
// complained about.
type tab struct {
	t        *testing.T
	ctx      context.Context
	noScript bool
	close    func()

	mu       sync.Mutex
	requests []string
	messages []string
}

// view is how a page is looked at.
type view struct {
	width, height int64
	dark          bool
	print         bool
	noScript      bool
}

func open(t *testing.T, file string, v view) *tab {
	t.Helper()
	return openIn(t, browser, file, v)
}

func openIn(t *testing.T, in func() (context.Context, error), file string, v view) *tab {
	t.Helper()
	root, err := in()
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := chromedp.NewContext(root)
	ctx, stop := context.WithTimeout(ctx, 4*time.Minute) // a busy machine takes its time
	b := &tab{t: t, ctx: ctx, noScript: v.noScript, close: func() { stop(); cancel() }}
	t.Cleanup(b.close)
	if err := chromedp.Listen(ctx, b.hear); err != nil {
		t.Fatal(err)
	}
	if v.width == 0 {
		v.width, v.height = 1000, 900
	}
	b.do(chromedp.EmulateViewport(v.width, v.height))
	b.look(v)
	if v.noScript {
		if _, err := chromedp.Call(ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
			t.Fatal(err)
		}
	}
	path, err := filepath.Abs(file)
	if err != nil {
		t.Fatal(err)
	}
	b.do(chromedp.Navigate("file://" + filepath.ToSlash(path)))
	return b
}

// size changes the window.
func (b *tab) size(width, height int64) {
	b.t.Helper()
	b.do(chromedp.EmulateViewport(width, height))
}

// look sets the medium and the colour scheme.
func (b *tab) look(v view) {
	b.t.Helper()
	p := emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: "light"}}}
	if v.dark {
		p.Features[0].Value = "dark"
	}
	if v.print {
		p.Media = "print"
	}
	if _, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, p); err != nil {
		b.t.Fatal(err)
	}
}

func golden(name string) string { return filepath.Join("..", "testdata", name+".html") }

func (b *tab) hear(ev any) {
	b.mu.Lock()
	defer b.mu.Unlock()
	switch ev := ev.(type) {
	case *network.EventRequestWillBeSent:
		b.requests = append(b.requests, ev.Request.URL)
	case *log.EventEntryAdded:
		b.messages = append(b.messages, ev.Entry.Text)
	case *runtime.EventConsoleAPICalled:
		b.messages = append(b.messages, "console."+string(ev.Type))
	case *runtime.EventExceptionThrown:
		b.messages = append(b.messages, ev.ExceptionDetails.Text)
	}
}

// heard returns what left the page's own file, and what was complained about.
func (b *tab) heard() (strays, messages []string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for i, u := range b.requests {
		if i > 0 && !strings.HasPrefix(u, "data:") {
			strays = append(strays, u)
		}
	}
	return strays, append([]string{}, b.messages...)
}

func (b *tab) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	if err := chromedp.Do(b.ctx, steps...); err != nil {
		b.t.Fatal(err)
	}
}

// ask evaluates a JavaScript expression in the tab. It works in a page whose
// own scripts are switched off.
func ask[T any](b *tab, js string) T {
	b.t.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](js))
	if err != nil {
		b.t.Fatalf("%v in %s", err, js)
	}
	return v
}
