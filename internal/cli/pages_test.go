package cli

import (
	"encoding/json"
	"html"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tamis/internal/answer"
	"tamis/internal/fairness"
	"tamis/internal/report"
	"tamis/internal/trial"
)

// What a reader of a page sees of the program's own prose in °C: no pictures and
// tables, which have tests of their own, and no words of the author.
var (
	notProse = regexp.MustCompile(`(?s)<(style|script|svg|table|details|bdi|code)[ >].*?</(?:style|script|svg|table|details|bdi|code)>|<title>.*?</title>`)
	story    = regexp.MustCompile(`(?s)<section id="story".*?</section>|<dd dir="auto">.*?</dd>|<h[34][^>]*>(?:<a[^>]*>[^<]*</a>)?\s*Notes of the author</h[34]>.*?</section>`)
	// Numbers of sections, figures and tables are places, not results.
	places  = regexp.MustCompile(`(?s)<nav class="contents".*?</nav>|<a href="#[^"]*">(?:Figure |Table )?\(?[\d.]+\)?</a>`)
	authors = regexp.MustCompile(`(?s)<(p|h1|mark)[^>]* dir="auto"[^>]*>.*?</(?:p|h1|mark)>`)
	// Descriptions of pictures name the ends of their axes; links that save count rows.
	aside     = regexp.MustCompile(`(?s)<(p|figcaption|a)[^>]* (?:class="[^"]*quiet|download=)[^>]*>.*?</(?:p|figcaption|a)>`)
	inUS      = regexp.MustCompile(`<(?:span|p|h2|h3|figcaption|a)[^>]* ?class="[^"]*\bf( q)?"[^>]*>[^<]*`)
	pageTag   = regexp.MustCompile(`<[^>]*>`)
	blockEnd  = regexp.MustCompile(`</(?:p|li|h1|h2|h3|div|figcaption|section|label|a)>`)
	numbering = regexp.MustCompile(`tamis \d+\.\d+\.\d+|\d{4}-\d{2}-\d{2}|SHA-256`)
)

func proseOf(page []byte) string {
	s := string(page)
	for _, re := range []*regexp.Regexp{places, story, notProse, aside, authors, inUS} {
		s = re.ReplaceAllString(s, " ")
	}
	s = pageTag.ReplaceAllString(blockEnd.ReplaceAllString(s, "\n"), "")
	s = numbering.ReplaceAllString(strings.NewReplacer("\u00a0", " ", "−", "-").Replace(html.UnescapeString(s)), "")
	return s
}

// said is a number as a page prints it.
type said struct {
	text, unit string
	v          float64
	decimals   int
}

var saidNumber = regexp.MustCompile(`(^|[^\w.,-])(-?\d+(?:\.\d+)?(?:e-?\d+)?)(?:( h(?: \d+ min)?| min| d| mm| in 10| times in 10)\b|( °C| %))?`)

func numbersIn(prose string) (out []said) {
	for _, m := range saidNumber.FindAllStringSubmatch(prose, -1) {
		m[3] += m[4]
		n := said{text: strings.TrimSpace(m[2] + m[3]), unit: strings.TrimSpace(m[3])}
		n.v, _ = strconv.ParseFloat(m[2], 64)
		digits, exponent, _ := strings.Cut(m[2], "e")
		if _, frac, ok := strings.Cut(digits, "."); ok {
			n.decimals = len(frac)
		}
		if e, err := strconv.Atoi(exponent); err == nil {
			n.decimals -= e
		}
		if strings.HasPrefix(n.unit, "h") { // 3 h 30 min
			n.v *= 60
			if f := strings.Fields(n.unit); len(f) == 3 {
				more, _ := strconv.ParseFloat(f[1], 64)
				n.v += more
			}
			n.unit = "min"
		}
		out = append(out, n)
	}
	return out
}

// known are the numbers that a page may say, by their unit, in the notation of
// numbersIn: those of the JSON of fit, less what the answer itself says there,
// and those of the trial file. Under "" is every one.
type known map[string][]float64

// unitsOfKeys are the units of numbers in the JSON by their path, where prose
// says them with one.
var unitsOfKeys = []struct {
	path *regexp.Regexp
	unit string
}{
	{regexp.MustCompile(`(^|\.)set_points?$|\.best$|\.at$|^windows\..*\.(low|high)$`), "°C"},
	{regexp.MustCompile(`^windows\..*\.(top|chance|p)$`), "in 10"},
	{regexp.MustCompile(`minutes|\.hold$|_min$`), "min"},
}

// unitsOfKinds are those of quantities in sentences.
var unitsOfKinds = map[string]string{answer.Temperature: "°C", answer.SetPoint: "°C", answer.WindowLow: "°C", answer.WindowHigh: "°C",
	answer.Tolerance: "°C", answer.Difference: "°C", answer.Duration: "min", answer.Length: "mm", answer.Share: "%"}

func knownOf(t *testing.T, tr *trial.Trial, r *answer.Result) known {
	t.Helper()
	b, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	var tree map[string]any
	if err := json.Unmarshal(b, &tree); err != nil {
		t.Fatal(err)
	}
	delete(tree, "text")
	k := known{}
	add := func(unit string, v float64) {
		k[unit] = append(k[unit], v)
		if unit != "" {
			k[""] = append(k[""], v)
		}
	}
	var walk func(path string, v any)
	walk = func(path string, v any) {
		switch v := v.(type) {
		case float64:
			unit := ""
			for _, u := range unitsOfKeys {
				if u.path.MatchString(path) {
					unit = u.unit
				}
			}
			add(unit, v)
		case map[string]any:
			kind, _ := v["kind"].(string)
			if value, ok := v["value"].(float64); ok && unitsOfKinds[kind] != "" {
				add(unitsOfKinds[kind], value)
				return
			}
			for name, x := range v {
				walk(strings.TrimPrefix(path+"."+name, "."), x)
			}
		case []any:
			add("", float64(len(v))) // how many there are
			for _, x := range v {
				walk(path, x)
			}
		}
	}
	walk("", tree)
	outcomes := map[fairness.Outcome]float64{}
	for i := range r.Findings {
		outcomes[r.Findings[i].Outcome]++
	}
	for _, n := range outcomes {
		add("", n)
	}
	for _, w := range r.Windows {
		if v, ok := w.Tol.Get(); ok {
			add("°C", v)
		}
	}
	if r.RunSheet != nil {
		add("°C", r.RunSheet.Tolerance.Or(0))
	}
	add("", float64(len(tr.Cooks)))
	add("", float64(len(tr.AssessorIDs())))
	if tr.Food.Start.Known {
		add("°C", tr.Food.Start.V.Celsius())
	}
	if tr.Food.Thickness.Known {
		add("mm", tr.Food.Thickness.V.Millimetres())
	}
	for i := range tr.Cooks {
		c := &tr.Cooks[i]
		if c.SetPoint.Known {
			add("°C", c.SetPoint.V.Celsius())
		}
		if d, ok := c.BathTime(); ok {
			add("min", d.Minutes())
		}
		for p := range c.Pieces {
			if x := c.Pieces[p].Thickness; x.Known {
				add("mm", x.V.Millimetres())
			}
			if br := c.Treatments(p).Brine; br.Known {
				add("%", br.V.Salt.V.Fraction())
				add("min", br.V.For.V.Minutes())
			}
		}
	}
	return k
}

// holds reports whether a number of a page is one that is known, rounded.
func (k known) holds(n said) bool {
	switch n.unit {
	case "in 10", "times in 10": // rounded down, so that it never says more
		return slices.ContainsFunc(k["in 10"], func(p float64) bool { return math.Floor(10*p+1e-9) == n.v || p >= 1 && n.v == 9 })
	case "%": // shares, or the unit of a measure
		return k.near("%", n.v/100, 0.5*math.Pow10(-n.decimals-2)) || k.near("", n.v/100, 1e-9) || k.near("", n.v, 0.5*math.Pow10(-n.decimals))
	case "°C", "mm": // windows and thicknesses are rounded to half a unit, to their inside
		if 2*n.v == math.Round(2*n.v) && k.near(n.unit, n.v, 0.499) {
			return true
		}
		return k.near(n.unit, n.v, math.Pow10(-n.decimals))
	case "min": // throw-away times down to 5 min, holds up
		return k.near("min", n.v, 0.5) || math.Mod(n.v, 5) == 0 && k.near("min", n.v, 5)
	}
	return k.near("", n.v, 0.5*math.Pow10(-n.decimals))
}

func (k known) near(unit string, v, by float64) bool {
	return slices.ContainsFunc(k[unit], func(x float64) bool { return math.Abs(math.Abs(x)-math.Abs(v)) <= by+1e-9 })
}

// spread is an estimate with its interval, as prose prints it.
var spread = regexp.MustCompile(`(-?\d+(?:\.(\d+))?) \((-?\d+(?:\.(\d+))?) to (-?\d+(?:\.(\d+))?)\)`)

// Every number in the prose of a page equals one of the JSON of fit, or of the
// trial file, after rounding; nothing is not a number; nothing is said more
// exactly than its interval allows.
func TestPagesSayTheNumbers(t *testing.T) {
	t.Parallel()
	seen, spreads := 0, 0
	for _, file := range trialFiles {
		tr, r := analyse(t, file)
		k := knownOf(t, tr, r)
		kitchen, err := report.Kitchen(r, report.Options{})
		if err != nil {
			t.Fatal(err)
		}
		readers, err := report.Readers(r, report.Writeup{Trial: tr, Draft: true}, report.Options{})
		if err != nil {
			t.Fatal(err)
		}
		science, err := report.Science(r, report.Record{Trial: tr}, report.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for name, page := range map[string][]byte{"kitchen": kitchen, "readers": readers, "science": science} {
			prose := proseOf(page)
			if bad := regexp.MustCompile(`\bNaN\b|\bInf\b|<nil>|%!`).FindString(string(page)); bad != "" {
				t.Errorf("%s, %s: %q", file, name, bad)
			}
			for line := range strings.Lines(prose) {
				for _, n := range numbersIn(line) {
					seen++
					if !k.holds(n) {
						t.Errorf("%s, %s: %s is no number of the result: %s", file, name, n.text, strings.TrimSpace(line))
					}
				}
				for _, m := range spread.FindAllStringSubmatch(line, -1) {
					spreads++
					low, _ := strconv.ParseFloat(m[3], 64)
					high, _ := strconv.ParseFloat(m[5], 64)
					// Two decimals at most below the leading digit of the standard error.
					if d := len(m[2]); d != len(m[4]) || d != len(m[6]) || math.Pow10(-d) < (high-low)/4/100 {
						t.Errorf("%s, %s: %s is said too exactly", file, name, m[0])
					}
				}
			}
		}
	}
	// The test itself: numbers that are changed are found, but for those that by
	// chance are another number of the result.
	tr, r := analyse(t, trialFiles[0])
	k := knownOf(t, tr, r)
	page, err := report.Readers(r, report.Writeup{Trial: tr}, report.Options{})
	if err != nil {
		t.Fatal(err)
	}
	found, changed := 0, 0
	for _, n := range numbersIn(proseOf(page)) {
		if n.unit == "" || n.unit == "in 10" {
			continue
		}
		n.v = math.Round((1.31*n.v+2)*math.Pow10(n.decimals)) / math.Pow10(n.decimals)
		changed++
		if !k.holds(n) {
			found++
		}
	}
	if 2*found < changed || changed < 10 {
		t.Errorf("of %d changed numbers only %d were found", changed, found)
	}
	if seen < 300 || spreads < 8 {
		t.Errorf("only %d numbers and %d intervals were read", seen, spreads)
	}
}
