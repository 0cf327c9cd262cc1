package svg

import (
	"regexp"
	"strings"
	"testing"

	"tamis/internal/figure"
	"tamis/internal/figure/figuretest"
)

// With a sheet a picture says the same: each class stands for the very look that
// is written out without one.
func TestSheet(t *testing.T) {
	t.Parallel()
	class := regexp.MustCompile(`class="(k[0-9a-z]+)"`)
	for _, f := range figuretest.Examples() {
		var sheet Sheet
		got, err := Inline(f, Options{Name: "n", Desc: "d", Sheet: &sheet})
		if err != nil {
			t.Fatal(err)
		}
		looks := map[string]string{}
		for look, name := range sheet.names {
			looks[name] = look
			if rule := "." + name + "{" + declarations(look) + "}"; !strings.Contains(sheet.CSS(), rule) {
				t.Errorf("%s: no rule %s", f.ID, rule)
			}
		}
		back := class.ReplaceAllStringFunc(got, func(s string) string { return looks[class.FindStringSubmatch(s)[1]] })
		want, err := Inline(f, Options{Name: "n", Desc: "d"})
		if err != nil {
			t.Fatal(err)
		}
		if want = strings.Replace(want, ` font-family="`+families+`"`, "", 1); back != want {
			t.Errorf("%s: with the looks in place of their classes\n%s\nwant\n%s", f.ID, back, want)
		}
		if len(got) >= len(want) {
			t.Errorf("%s: %d bytes with a sheet, %d without", f.ID, len(got), len(want))
		}
	}
}

// Two pictures of one sheet share their looks.
func TestSheetIsShared(t *testing.T) {
	t.Parallel()
	var sheet Sheet
	f := figuretest.Curve()
	for range 2 {
		if _, err := Inline(f, Options{Sheet: &sheet}); err != nil {
			t.Fatal(err)
		}
	}
	var once Sheet
	if _, err := Inline(f, Options{Sheet: &once}); err != nil {
		t.Fatal(err)
	}
	if once.CSS() != sheet.CSS() {
		t.Error("the second picture added looks")
	}
}

func TestDeclarations(t *testing.T) {
	t.Parallel()
	c := newCanvas(10, true)
	if got, want := declarations(`font-size="13" `+c.rimmed(solid(figure.Ink), 1.5)), "font-size:13px;fill:var(--fig-ink);stroke:var(--fig-paper);stroke-width:3;stroke-linejoin:round;paint-order:stroke"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

// A pen rounds places, not steps, and says a path that can be read back.
func TestPen(t *testing.T) {
	t.Parallel()
	var p pen
	p.move(0.04, 10)
	for i := 1; i <= 3; i++ {
		p.line(float64(i)*1.04, 10-float64(i)*0.26) // 1.04 9.74, 2.08 9.48, 3.12 9.22
	}
	p.line(3.1, 0)
	p.line(0, 0)
	p.line(-1, 0)
	p.close()
	if got, want := p.b.String(), "M0 10l1-.3 1.1-.2 1-.3v-9.2h-3.1-1Z"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	for v, want := range map[int]string{0: "0", 5: ".5", -5: "-.5", 10: "1", -123: "-12.3", 1000: "100"} {
		var q pen
		q.number(v, true)
		if q.b.String() != want {
			t.Errorf("%d tenths: %s, want %s", v, q.b.String(), want)
		}
	}
}
