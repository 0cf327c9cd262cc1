package report

import (
	"bytes"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tamis/internal/answer"
	"tamis/internal/design/schedule"
	"tamis/internal/report/reporttest"
	"tamis/internal/scores"
	"tamis/internal/trial"
)

func sheetsOf(t *testing.T, x *trial.Trial) map[string]string {
	t.Helper()
	list, err := Sheets(x, answer.SheetsOf(x), OnClock{}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	for _, s := range list {
		out[s.Name] = string(s.HTML)
	}
	if len(out) != 5 {
		t.Fatalf("%d sheets", len(out))
	}
	return out
}

var markup = regexp.MustCompile(`(?s)<style>.*?</style>|<[^>]*>`)

// words of a page as a reader sees them.
func shown(page string) string {
	return strings.Join(strings.Fields(markup.ReplaceAllString(page, " ")), " ")
}

// A ballot names codes in serving order, and neither set point nor cook, piece
// or title; each assessor has an own one, in the order in which it is typed.
func TestBallotsTellNothing(t *testing.T) {
	t.Parallel()
	x := reporttest.Planned()
	page := shown(sheetsOf(t, x)["ballots.html"])
	kitchen, ballots, found := strings.Cut(page, "I have read this")
	if !found || !strings.Contains(kitchen, "No ballot for") {
		t.Fatalf("the ballots begin otherwise: %.200s", page)
	}
	for _, telling := range []string{"44 °C", "48 °C", "44 to 48", "Q-1", "Q-2", "-p1", "fish-1", "north", "dry-brined"} {
		if strings.Contains(ballots, telling) {
			t.Errorf("the ballots tell %q", telling)
		}
	}
	at := 0
	for _, b := range scores.Ballots(x) {
		for _, s := range b.Rows {
			if s.Cook == "Q-4" {
				continue
			}
			next := strings.Index(page[at:], s.Code.V+" Firmness")
			if next < 0 {
				t.Fatalf("the code %s of %s does not come in its order", s.Code.V, b.Assessor)
			}
			at += next + 1
		}
	}
	for _, want := range []string{"not fully cooked", "Not for young children", "allergic", "free will", "falls apart", "rubbery", "just right", "yes", "0 to 100", "Notes"} {
		if !strings.Contains(page, want) {
			t.Errorf("no %q on the ballots", want)
		}
	}
}

// What must not be eaten has no ballot and no portion, and every sheet says so.
func TestRefusedHasNoBallot(t *testing.T) {
	t.Parallel()
	x := reporttest.Planned()
	pages := sheetsOf(t, x)
	for name, want := range map[string]string{
		"run.html": "Only weigh it, shear it", "record.html": "do not eat, do not taste", "ballots.html": "No ballot for Q-4 (845, 789)",
		"labels.html": "DO NOT EAT OR TASTE", "shopping.html": "Do not eat it and do not taste it",
	} {
		if !strings.Contains(shown(pages[name]), want) {
			t.Errorf("%s lacks %q: %s", name, want, shown(pages[name]))
		}
	}
	ballots := shown(pages["ballots.html"])
	for _, code := range []string{"845", "789"} {
		if strings.Contains(ballots, code+" Firmness") {
			t.Errorf("%s is on a ballot", code)
		}
	}
	if !strings.Contains(ballots, "must not be eaten or tasted: 845, 789") {
		t.Errorf("a ballot is silent on what is not served")
	}
	if n := strings.Count(shown(pages["labels.html"]), "do not serve"); n != 4 {
		t.Errorf("the serving list refuses %d portions, want 4", n)
	}
	// With nothing else left, nobody gets a page.
	for i := range x.Cooks {
		x.Cooks[i].Time = x.Cooks[3].Time
	}
	if page := shown(sheetsOf(t, x)["ballots.html"]); !strings.Contains(page, "nothing of this trial may be tasted") || strings.Contains(page, "free will") {
		t.Errorf("ballots of what must not be tasted: %s", page)
	}
}

// Nothing that must not be eaten stands under "serve": it is weighed, and the
// serving list of a trial of which nothing may be eaten is gone.
func TestRefusedIsWeighedNotServed(t *testing.T) {
	t.Parallel()
	x := reporttest.Planned()
	x.Measures, x.Panel = x.Measures[5:], trial.Opt[trial.Panel]{} // shear and cook loss: nobody tastes
	s, conflicts := schedule.Of(x, schedule.Options{ServeAt: trial.Some(trial.Clock{Minute: 19*60 + 30}), Hands: 2})
	if len(conflicts) > 0 {
		t.Fatal(conflicts[0].Text)
	}
	list, err := Sheets(x, answer.SheetsOf(x), OnClock{Schedule: s, Conflicts: conflicts}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	run := shown(string(list[0].HTML))
	weighed := regexp.MustCompile(`Weigh and shear, do not taste, at \d+:\d+( : |: )Q-4`)
	if !weighed.MatchString(run) {
		t.Errorf("the run sheet does not say when Q-4 is weighed: %.600s", run)
	}
	if served := regexp.MustCompile(`Serve at \d+:\d+[^A-Z]*(Q-\d, )*Q-4`); served.MatchString(run) {
		t.Errorf("Q-4 is served: %s", served.FindString(run))
	}
	for i := range x.Cooks {
		x.Cooks[i].Time = x.Cooks[3].Time
	}
	pages := sheetsOf(t, x)
	for name, page := range pages {
		if page = shown(page); strings.Contains(page, "Serve at") || strings.Contains(page, "Who gets what") || !strings.Contains(page, "Do not eat") && !strings.Contains(page, "must not be eaten") {
			t.Errorf("%s of a trial of which nothing may be eaten: %.500s", name, page)
		}
	}
	if !strings.Contains(shown(pages["run.html"]), "Weighed") {
		t.Error("the run sheet asks when it is served")
	}
}

// The verdict and the time to throw away what is left stand on every sheet of
// the kitchen; a clock time only where the start is known.
func TestVerdictOnEverySheet(t *testing.T) {
	t.Parallel()
	for name, page := range sheetsOf(t, reporttest.Planned()) {
		page = shown(page)
		if name == "ballots.html" {
			continue
		}
		for _, want := range []string{"Not pasteurised", "Not for young children", "Throw away what is left", "after it went in"} {
			if !strings.Contains(page, want) {
				t.Errorf("%s lacks %q", name, want)
			}
		}
		if !regexp.MustCompile(`by 1[0-9]:[0-9]{2}`).MatchString(page) {
			t.Errorf("%s has no clock time to throw the first cook away", name)
		}
	}
}

// The times of the schedule stand on the run sheet, and the time to throw away
// what is left on every sheet of the kitchen; what was started keeps its own.
func TestClockTimesOnSheets(t *testing.T) {
	t.Parallel()
	x := reporttest.Planned()
	x.Cooks = x.Cooks[:3] // without the one that must not be eaten
	s, conflicts := schedule.Of(x, schedule.Options{ServeAt: trial.Some(trial.Clock{Minute: 19*60 + 30}), Hands: 2})
	if s == nil || len(conflicts) > 0 {
		t.Fatalf("no schedule: %v", conflicts)
	}
	list, err := Sheets(x, answer.SheetsOf(x), OnClock{Schedule: s}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	pages := map[string]string{}
	for _, p := range list {
		pages[p.Name] = string(p.HTML)
	}
	steps, cooks := 0, 0
	for _, d := range s.Days {
		for _, c := range d.Cooks {
			if c.Cook == "Q-1" {
				continue
			}
			cooks++
			_, row, found := strings.Cut(pages["run.html"], `<th scope="row" class="key"><bdi>`+c.Cook+`</bdi>`)
			if row, _, _ = strings.Cut(row, "</tbody>"); !found {
				t.Fatalf("%s is not on the run sheet", c.Cook)
			}
			at := 0
			for _, want := range []schedule.Moment{c.In, c.Out, c.Plated} {
				next := strings.Index(row[at:], `<span class="key at">`+want.Clock()+`</span>`)
				if next < 0 {
					t.Fatalf("%s: %s does not stand in its place: %s", c.Cook, want, row)
				}
				at += next + 1
			}
			for name, page := range pages {
				if name != "ballots.html" && !strings.Contains(shown(page), "by "+c.Discard.String()) {
					t.Errorf("%s does not say that %s is thrown away by %s", name, c.Cook, c.Discard)
				}
			}
		}
		for _, step := range d.Steps {
			if step.Cook == "Q-2" && step.Hand > 0 {
				steps++
				want := strings.TrimSpace(step.From.Clock() + " " + strconv.Itoa(step.Hand) + " " + capital(step.Text[0].Text)) // up to the first quantity, which stands in both units
				if !strings.Contains(shown(pages["run.html"]), want) {
					t.Errorf("no %q on the run sheet", want)
				}
			}
		}
	}
	if cooks != 2 || steps < 3 {
		t.Errorf("looked at %d cooks and %d steps", cooks, steps)
	}
	if _, row, _ := strings.Cut(pages["run.html"], `<th scope="row" class="key"><bdi>Q-1</bdi>`); strings.Contains(row[:strings.Index(row, "</tbody>")], "key at") {
		t.Error("a cook that was started has times of a plan")
	}
	if strings.Contains(shown(pages["run.html"]), "ook Q-1 into") {
		t.Error("a cook that was started is put into its bath once more")
	}

	// Where there is no schedule its reason stands there, and the boxes are empty.
	none, why := schedule.Of(reporttest.Planned(), schedule.Options{ServeAt: trial.Some(trial.Clock{Minute: 1170})})
	if none != nil || len(why) == 0 {
		t.Fatal("what must not be eaten was scheduled")
	}
	if list, err = Sheets(reporttest.Planned(), answer.SheetsOf(reporttest.Planned()), OnClock{Conflicts: why}, Options{}); err != nil {
		t.Fatal(err)
	}
	if page := string(list[0].HTML); !strings.Contains(shown(page), "No clock times for second: cook Q-4") || strings.Contains(page, "key at") {
		t.Errorf("no reason on the run sheet: %s", shown(page))
	}
}

// Texts of a file are texts on the page, whatever stands in them.
func TestHostileSheets(t *testing.T) {
	t.Parallel()
	for name, page := range sheetsOf(t, reporttest.HostilePlan()) {
		if strings.Contains(page, "<script") || strings.Contains(page, "<img") || strings.Count(page, "</style>") != 1 || strings.ContainsAny(page, "\u202e\x00") {
			t.Errorf("%s lets markup through", name)
		}
		if !strings.Contains(page, "&lt;script&gt;alert(1)") || !strings.Contains(page, "{{.}}") {
			t.Errorf("%s lost the text", name)
		}
	}
}

// Same trial, same bytes, and the trial is not altered.
func TestSheetsAreStable(t *testing.T) {
	t.Parallel()
	x := reporttest.Planned()
	first, err := Sheets(x, answer.SheetsOf(x), OnClock{}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	again, err := Sheets(reporttest.Planned(), answer.SheetsOf(x), OnClock{}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i := range first {
		if !bytes.Equal(first[i].HTML, again[i].HTML) {
			t.Errorf("%s differs", first[i].Name)
		}
	}
}

// A trial that says nearly nothing still prints.
func TestSheetsOfLittle(t *testing.T) {
	t.Parallel()
	bare := &trial.Trial{Cooks: []trial.Cook{{ID: "A"}}, Measures: []trial.Measure{{Name: "bite", Kind: trial.ScaleScore, Scale: trial.Range{Low: 0, High: 10}}}}
	for _, x := range []*trial.Trial{{}, bare, {Cooks: []trial.Cook{{ID: "A", Pieces: []trial.Piece{{ID: "A1"}}}}}} {
		pages := sheetsOf(t, x)
		if len(x.Measures) == 0 && strings.Contains(pages["ballots.html"], "free will") {
			t.Error("a ballot without a question")
		}
	}
}

// Each drawn area has as many dark cells as it says, and those of the one before.
func TestAreas(t *testing.T) {
	t.Parallel()
	cell := regexp.MustCompile(`M(\d+ \d+)h10v10h-10z`)
	var before []string
	for _, a := range areas() {
		var cells []string
		for _, m := range cell.FindAllStringSubmatch(string(a.SVG), -1) {
			if slices.Contains(cells, m[1]) {
				t.Errorf("%d %%: the cell %s stands twice", a.Percent, m[1])
			}
			cells = append(cells, m[1])
		}
		if len(cells) != a.Percent || !slices.Equal(before, cells[:len(before)]) {
			t.Errorf("%d %% has %d dark cells", a.Percent, len(cells))
		}
		before = cells
	}
}
