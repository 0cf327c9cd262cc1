package layers

import (
	"fmt"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"sort"
	"strconv"
	"strings"
	"testing"
)

const module = "tamis"

// order lists the house from top to bottom. A package may import what stands
// below it, and a package of its own folder. Folders not yet built may be named.
var order = []string{
	"cmd/tamis",
	"internal/layers",
	"internal/demo", // writes the invented demo trials; nothing imports it
	"internal/cli",
	"internal/book",
	"internal/report",
	"internal/answer",
	"internal/size",
	"internal/fairness",
	"internal/texture",
	"internal/design",
	"internal/safety",
	"internal/heat",
	"internal/food",
	"internal/figure",
	"internal/trialfile",
	"internal/scores", // a sheet against the scores of a trial
	"internal/trial",
	"internal/stats",
	"internal/schema", // JSON Schema of results
	"internal/prose",  // sentences as parts
	"internal/diag",
	"internal/quantity",
	"internal/csvcell", // cells that no spreadsheet runs
}

// only narrows what a package may import of the project, where the order alone
// would allow more.
var only = map[string][]string{
	"cmd/tamis":          {"internal/cli"},
	"internal/layers":    {},
	"internal/stats":     {},
	"internal/figure":    {},
	"internal/trial":     {"internal/diag", "internal/quantity"},
	"internal/trialfile": {"internal/trial", "internal/diag", "internal/quantity", "internal/csvcell"},
	"internal/scores":    {"internal/trial", "internal/diag"},
	"internal/schema":    {"internal/quantity"},
	"internal/prose":     {"internal/quantity"},
	"internal/diag":      {},
	"internal/quantity":  {},
	"internal/csvcell":   {},
}

// importers names the only packages that may import a given one.
var importers = map[string][]string{
	"internal/trialfile": {"internal/cli", "internal/book", "internal/demo"},
	"internal/demo":      {},
	"internal/cli":       {"cmd/tamis"},
}

// wrapped names, for each risky library, the one package that may import it.
var wrapped = map[string]string{
	"gopkg.in/yaml.v3":                   "internal/trialfile",
	"go.yaml.in/yaml":                    "internal/trialfile",
	"github.com/spf13/cobra":             "internal/cli",
	"github.com/spf13/pflag":             "internal/cli",
	"gonum.org/v1/plot":                  "internal/figure/svg",
	"github.com/go-echarts/go-echarts":   "internal/figure/live",
	"github.com/yuin/goldmark":           "internal/report/story",
	"github.com/microcosm-cc/bluemonday": "internal/report/story",
	"golang.org/x/image":                 "internal/report/photo",
	"github.com/arran4/golang-ical":      "internal/report/calendar",
}

// graph maps each package folder to what its files other than tests import.
type graph map[string][]string

func read(t *testing.T, root string) graph {
	t.Helper()
	g := graph{}
	err := filepath.WalkDir(root, func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, p)
		if err != nil {
			return err
		}
		rel = filepath.ToSlash(rel)
		if d.IsDir() {
			name := d.Name()
			if rel != "." && (strings.HasPrefix(name, ".") || name == "testdata" || name == "node_modules" || name == "bin") {
				return fs.SkipDir
			}
			return nil
		}
		if !strings.HasSuffix(p, ".go") || strings.HasSuffix(p, "_test.go") {
			return nil
		}
		f, err := parser.ParseFile(token.NewFileSet(), p, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		dir := path.Dir(rel)
		g[dir] = append(g[dir], []string{}...)
		for _, im := range f.Imports {
			name, err := strconv.Unquote(im.Path.Value)
			if err != nil {
				return err
			}
			g[dir] = append(g[dir], name)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// faults lists every breach of the rules in g, sorted.
func faults(g graph) []string {
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	for dir, imports := range g {
		room, rank := roomOf(dir)
		if rank < 0 {
			say("%s is in no room of the house: add it to order, where it belongs", dir)
			continue
		}
		for _, im := range imports {
			if !strings.HasPrefix(im, module+"/") {
				for lib, owner := range wrapped {
					if (im == lib || strings.HasPrefix(im, lib+"/")) && dir != owner {
						say("%s imports %s, which only %s may", dir, im, owner)
					}
				}
				continue
			}
			target := strings.TrimPrefix(im, module+"/")
			below, targetRank := roomOf(target)
			if below == room {
				continue
			}
			if targetRank < rank {
				say("%s imports %s, which stands above it", dir, target)
			}
			if allowed, ok := only[room]; ok && !contains(allowed, below) {
				say("%s imports %s, which %s must not know", dir, target, room)
			}
			if who, ok := importers[below]; ok && !contains(who, room) {
				say("%s imports %s, which only %s may", dir, target, strings.Join(who, " and "))
			}
		}
	}
	sort.Strings(out)
	return out
}

func roomOf(dir string) (room string, rank int) {
	for i, r := range order {
		if dir == r || strings.HasPrefix(dir, r+"/") {
			return r, i
		}
	}
	return "", -1
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

func TestImportsOnlyPointDown(t *testing.T) {
	t.Parallel()
	g := read(t, filepath.Join("..", ".."))
	if len(g) < 10 {
		t.Fatalf("read only %d packages: the walk is broken", len(g))
	}
	for _, f := range faults(g) {
		t.Error(f)
	}
}

// The rules themselves are tested: each breach below must be found.
func TestBreachesAreFound(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, dir, imports, want string
	}{
		{"upward", "internal/trial", "tamis/internal/answer", "stands above it"},
		{"stats know the project", "internal/stats/linear", "tamis/internal/quantity", "must not know"},
		{"second importer of YAML", "internal/cli", "gopkg.in/yaml.v3", "only internal/trialfile may"},
		{"second importer of cobra", "internal/report", "github.com/spf13/cobra", "only internal/cli may"},
		{"second importer of plots", "internal/report", "gonum.org/v1/plot/vg", "only internal/figure/svg may"},
		{"second importer of charts", "internal/report", "github.com/go-echarts/go-echarts/v2/charts", "only internal/figure/live may"},
		{"report reads files", "internal/report", "tamis/internal/trialfile", "only internal/cli"},
		{"unknown room", "internal/helpers", "fmt", "in no room"},
		{"figure knows trials", "internal/figure", "tamis/internal/trial", "must not know"},
	} {
		got := faults(graph{c.dir: {c.imports}})
		if len(got) == 0 || !strings.Contains(strings.Join(got, "\n"), c.want) {
			t.Errorf("%s: got %q, want a fault with %q", c.name, got, c.want)
		}
	}
	if got := faults(graph{"internal/report": {"tamis/internal/answer", "fmt"}}); len(got) != 0 {
		t.Errorf("a downward import is a fault: %q", got)
	}
}

func TestEveryPackageHasItsDoc(t *testing.T) {
	t.Parallel()
	for dir := range read(t, filepath.Join("..", "..")) {
		if strings.HasPrefix(dir, "cmd/") {
			continue
		}
		if _, err := os.Stat(filepath.Join("..", "..", filepath.FromSlash(dir), "doc.go")); err != nil {
			t.Errorf("%s has no doc.go", dir)
		}
	}
}
