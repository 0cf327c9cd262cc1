package calendar

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	ics "github.com/arran4/golang-ical"

	"tamis/internal/design/schedule"
	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

func day(texts ...string) *schedule.Schedule {
	s := &schedule.Schedule{Title: "Cod, 46 to 62 °C; \"dry\"\\plain", Version: "1.0", Lead: []prose.Sentence{prose.Say("Serve at once, and warn: guests.")}}
	d := schedule.Day{Sessions: []string{"first"}, Date: "2026-03-10", On: trial.Date{Year: 2026, Month: 3, Day: 10}}
	for i, t := range texts {
		d.Steps = append(d.Steps, schedule.Step{From: schedule.Moment(3600 * (i - 2)), To: schedule.Moment(3600*(i-2) + 60*(i%3)), What: schedule.Plating, Hand: 1, Cook: "C1", Text: prose.Say(t)})
	}
	d.Steps = append(d.Steps, schedule.Step{From: 66600, To: 67200, What: schedule.Tasting, Text: prose.Say("serve")},
		schedule.Step{From: 66000, To: 66060, What: schedule.Heating, Text: prose.Say("goes on by itself")})
	s.Days = []schedule.Day{d}
	return s
}

var (
	propertyLine = regexp.MustCompile(`^[A-Z-]+(;[A-Z-]+=[^:]*)?:`)
	floating     = regexp.MustCompile(`^\d{8}T\d{6}$`)
	utc          = regexp.MustCompile(`^\d{8}T\d{6}Z$`)
)

// broken checks a file by the rules of RFC 5545 that it has to keep.
func broken(b []byte) string {
	if !utf8.Valid(b) || bytes.HasPrefix(b, []byte("\ufeff")) {
		return "it is not plain UTF-8"
	}
	text := string(b)
	if strings.Count(text, "\n") != strings.Count(text, "\r\n") || strings.Count(text, "\r") != strings.Count(text, "\r\n") || !strings.HasSuffix(text, "\r\n") {
		return "a line does not end in CRLF (3.1)"
	}
	raw := strings.Split(strings.TrimSuffix(text, "\r\n"), "\r\n")
	var lines []string
	for _, l := range raw {
		if len(l) > 75 {
			return fmt.Sprintf("a line of %d octets (3.1): %s", len(l), l)
		}
		if !utf8.ValidString(l) {
			return "a fold inside a character"
		}
		if rest, ok := strings.CutPrefix(l, " "); ok && len(lines) > 0 {
			lines[len(lines)-1] += rest
			continue
		}
		lines = append(lines, l)
	}
	var open []string
	has := map[string]int{}
	uids := map[string]bool{}
	for _, l := range lines {
		if !propertyLine.MatchString(l) {
			return "no content line: " + l
		}
		name, value, _ := strings.Cut(l, ":")
		for _, r := range value {
			if r < ' ' && r != '\t' {
				return "a control character in " + name
			}
		}
		switch name {
		case "BEGIN":
			open = append(open, value)
			if value == "VEVENT" {
				has = map[string]int{}
			}
			continue
		case "END":
			if len(open) == 0 || open[len(open)-1] != value {
				return "END:" + value + " out of place"
			}
			open = open[:len(open)-1]
			if value == "VEVENT" {
				for _, must := range []string{"UID", "DTSTAMP", "DTSTART", "SUMMARY"} {
					if has[must] != 1 {
						return fmt.Sprintf("%d times %s (3.6.1)", has[must], must)
					}
				}
				if has["DTEND"] > 1 {
					return "two ends"
				}
			}
			if value == "VALARM" && (has["ALARM ACTION"] == 0 || has["ALARM TRIGGER"] == 0 || has["ALARM DESCRIPTION"] == 0) {
				return "an alarm without action, trigger or description (3.6.6)"
			}
			continue
		}
		if len(open) == 3 {
			has["ALARM "+name]++
			continue
		}
		has[name]++
		switch name {
		case "UID":
			if uids[value] {
				return "a UID twice"
			}
			uids[value] = true
		case "DTSTAMP":
			if !utc.MatchString(value) {
				return "DTSTAMP is not in UTC (3.8.7.2)"
			}
		case "DTSTART", "DTEND":
			if !floating.MatchString(value) {
				return name + " is not a floating time (3.3.5)"
			}
		case "SUMMARY", "DESCRIPTION":
			for i := 0; i < len(value); i++ {
				switch value[i] {
				case ',', ';':
					return "a comma or semicolon without a backslash (3.3.11)"
				case '\\':
					if i++; i == len(value) || !strings.ContainsRune(`\,;nN`, rune(value[i])) {
						return "a backslash before something else (3.3.11)"
					}
				}
			}
		}
	}
	if len(open) != 0 || lines[0] != "BEGIN:VCALENDAR" || has["PRODID"]+has["VERSION"] == 0 && !strings.Contains(text, "PRODID:") {
		return "no calendar around it (3.4)"
	}
	return ""
}

func TestRulesAndBack(t *testing.T) {
	t.Parallel()
	texts := []string{"fill bath north, set it to 52 °C; wait", `a \ and a "quote"`, strings.Repeat("long ", 60), strings.Repeat("ünbrökenwörd", 30), "two\nlines\r\nof it\x07\x00", "🍲" + strings.Repeat("🐟", 50), "\\n is no line", ""}
	s := day(texts...)
	b, err := Of(s, quantity.Metric)
	if err != nil {
		t.Fatal(err)
	}
	if why := broken(b); why != "" {
		t.Fatalf("%s\n%s", why, b)
	}
	cal, err := ics.ParseCalendar(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	events := cal.Events()
	if len(events) != len(texts)+1 {
		t.Fatalf("%d events of %d steps", len(events), len(texts)+1)
	}
	for i, text := range texts {
		got := events[i].GetProperty(ics.ComponentPropertySummary).Value
		if want := upper(plain(text)); got != want && !strings.Contains(text, `\`) { // the library reads \\n as a line
			t.Errorf("%q comes back as %q", want, got)
		}
	}
	again, err := Of(s, quantity.Metric)
	if err != nil || !bytes.Equal(b, again) {
		t.Errorf("other bytes the second time: %v", err)
	}
	if !bytes.Contains(b, []byte("DTSTART:20260309T220000")) {
		t.Error("two hours before midnight are not on the day before")
	}
	if last := events[len(events)-1].GetProperty(ics.ComponentPropertyDescription).Value; !strings.Contains(last, "Serve at once, and warn: guests.") {
		t.Errorf("the caution is not with the tasting: %q", last)
	}
}

// Words from anywhere keep the rules.
func FuzzWords(f *testing.F) {
	for _, s := range []string{"plain", "a,b;c\\d\ne", strings.Repeat("x", 200), "é\r\n\tü", "\xff\xfe", " lead and trail ", strings.Repeat(" ", 100) + "x", "<b>" + strings.Repeat("y<>", 40)} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if !utf8.ValidString(s) {
			s = strings.ToValidUTF8(s, "")
		}
		b, err := Of(day(s), quantity.US)
		if err != nil {
			t.Fatal(err)
		}
		if why := broken(b); why != "" {
			t.Fatalf("%s\n%q", why, b)
		}
	})
}

// The checker finds what it is there to find.
func TestTheRulesFind(t *testing.T) {
	t.Parallel()
	good, err := Of(day("serve, now"), quantity.Metric)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range [][2]string{{"\r\n", "\n"}, {`Serve\, now`, "Serve, now"}, {"DTSTAMP:20260310T000000Z", "DTSTAMP:20260310T000000"}, {"DTSTART:", "DTSTART;TZID=Europe/Oslo:2"},
		{"UID:", "X-ID:"}, {"END:VEVENT\r\nEND:VC", "END:VC"}, {"SUMMARY:", "SUMMARY:" + strings.Repeat("x", 80)}, {"TRIGGER:-PT2M\r\n", ""}} {
		if bad := strings.ReplaceAll(string(good), c[0], c[1]); bad == string(good) || broken([]byte(bad)) == "" {
			t.Errorf("%q in the place of %q is not found", c[1], c[0])
		}
	}
	r := rand.New(rand.NewPCG(1, 2))
	for range 200 { // folds anywhere in text from a kitchen
		var b strings.Builder
		for range r.IntN(300) {
			b.WriteRune([]rune("abc ,;\\ °éß🐟\"'<>:")[r.IntN(17)])
		}
		got, err := Of(day(b.String()), quantity.Metric)
		if err != nil {
			t.Fatal(err)
		}
		if why := broken(got); why != "" {
			t.Fatalf("%s: %q", why, b.String())
		}
	}
}

func TestNothingToWrite(t *testing.T) {
	t.Parallel()
	if _, err := Of(nil, quantity.Metric); !errors.Is(err, ErrEmpty) {
		t.Errorf("nil: %v", err)
	}
	s := day("x")
	s.Days[0].On = trial.Date{}
	if _, err := Of(s, quantity.Metric); !errors.Is(err, ErrNoDate) {
		t.Errorf("no date: %v", err)
	}
}
