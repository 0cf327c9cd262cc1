package browsertest

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"

	"tamis/internal/answer"
	"tamis/internal/figure/live"
	"tamis/internal/report"
	"tamis/internal/report/photo"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

// demo is a demo trial, read and analysed once for all its pages.
type demo struct {
	name   string
	trial  *trial.Trial
	result *answer.Result
	shots  []report.Shot
}

var demos = sync.OnceValues(func() (list []*demo, err error) {
	for _, name := range []string{"pollack", "chicken", "carrot", "trout"} {
		folder := filepath.Join("..", "..", "..", "trials", name)
		tr, _, err := trialfile.Read(filepath.Join(folder, name+".yaml"), trialfile.Vocabulary{})
		if err != nil {
			return nil, err
		}
		d := &demo{name: name, trial: tr, result: answer.Of(tr, answer.Options{})}
		for _, p := range tr.Photos {
			one, err := photo.Open(folder, p.File)
			if err != nil {
				return nil, err
			}
			d.shots = append(d.shots, report.Shot{Of: p, Photo: one})
		}
		list = append(list, d)
	}
	return list, nil
})

// page is the page of a demo for one reader.
func (d *demo) page(t *testing.T, reader string, o report.Options) []byte {
	t.Helper()
	var page []byte
	var err error
	switch reader {
	case "kitchen":
		page, err = report.Kitchen(d.result, o)
	case "science":
		page, err = report.Science(d.result, report.Record{Trial: d.trial, Heat: answer.HeatOf(d.trial, answer.HeatOptions{}), Command: "tamis report"}, o)
	case "readers":
		page, err = report.Readers(d.result, report.Writeup{Trial: d.trial, Photos: d.shots, Draft: true}, o)
	}
	if err != nil {
		t.Fatal(err)
	}
	return page
}

var readersOfPages = []string{"kitchen", "science", "readers"}

// What a page may weigh in bytes, photographs apart: without live charts, and
// with them.
const heaviest, heaviestLive = 320_000, 1_100_000

var photographs = regexp.MustCompile(`data:image/(jpeg|png)[^"]*`)

// Every page of every demo trial. It is held as a program writes it that has the
// runtime of the live charts; one without charts is the same page without its
// scripts (TestStaticIsLiveWithoutScripts of report), which hold looks at too.
func TestDemos(t *testing.T) {
	list, err := demos()
	if err != nil {
		t.Fatal(err)
	}
	_, built := live.Runtime()
	if !built {
		t.Log("NOT CHECKED: live charts, because the runtime was not built into this program: make runtime")
	}
	for _, d := range list {
		for _, reader := range readersOfPages {
			name := reader + "-" + d.name
			t.Run(name, func(t *testing.T) {
				t.Parallel()
				page := d.page(t, reader, report.Options{})
				if n := len(photographs.ReplaceAll(page, nil)); n > heaviest {
					t.Errorf("%s weighs %d bytes, more than %d", name, n, heaviest)
				}
				if built {
					page = d.page(t, reader, report.Options{Live: true})
					if n := len(photographs.ReplaceAll(page, nil)); n > heaviestLive || n < len(live.Boot()) {
						t.Errorf("%s with live charts weighs %d bytes, more than %d", name, n, heaviestLive)
					}
				}
				hold(t, name, page)
			})
		}
	}
}

// write puts a static page into a file.
func (d *demo) write(t *testing.T, reader string) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), reader+".html")
	if err := os.WriteFile(file, d.page(t, reader, report.Options{}), 0o666); err != nil {
		t.Fatal(err)
	}
	return file
}

// firstScreen is an expression: the words that are wholly on the screen before
// anything is scrolled.
const firstScreen = `(() => {
	const walk = document.createTreeWalker(document.querySelector('main'), NodeFilter.SHOW_TEXT), out = [], range = document.createRange();
	for (let n; n = walk.nextNode();) {
		if (!n.parentElement.checkVisibility() || n.parentElement.closest('script, .quiet')) continue;
		range.selectNodeContents(n);
		const r = range.getBoundingClientRect();
		if (r.width && r.bottom <= innerHeight) out.push(n.data);
	}
	return out.join('').replace(/\s+/g, ' ');
})()`

// The first screen of each page of the trial that shows nothing: whoever reads no
// further has met that it shows nothing, that each was cooked once, and who must
// not eat it; no words on that screen rank the set points.
func TestTroutFirstScreens(t *testing.T) {
	list, err := demos()
	if err != nil {
		t.Fatal(err)
	}
	d := list[len(list)-1]
	for _, reader := range readersOfPages {
		b := open(t, d.write(t, reader), view{width: 360, height: 640})
		for _, size := range [][2]int64{{360, 640}, {1280, 800}} {
			b.size(size[0], size[1])
			s := strings.ToLower(ask[string](b, firstScreen))
			for what, any := range map[string][]string{
				"that it was one cook each":  {"one cook each", "cooked once"},
				"that it is open":            {"does not show which set point is best", "for now", "no window can be given", "in this trial"},
				"that it is not pasteurised": {"not pasteurised"},
				"who must not eat it":        {"young children"},
			} {
				found := false
				for _, words := range any {
					found = found || strings.Contains(s, words)
				}
				if !found {
					t.Errorf("%s at %d × %d does not say %s: %s", reader, size[0], size[1], what, s)
				}
			}
			for _, not := range []string{"twice as", "proves", "tends to", "better than", "is best at", "optimum"} {
				if strings.Contains(strings.ReplaceAll(s, "is 52 °c better than 48?", ""), not) {
					t.Errorf("%s at %d × %d says %q: %s", reader, size[0], size[1], not, s)
				}
			}
		}
		b.close()
	}
}
