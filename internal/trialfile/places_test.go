package trialfile

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tamis/internal/diag"
)

// Each text holds the word "here" once; the place of it in the file is counted in
// the file itself.
func TestTextPlaces(t *testing.T) {
	t.Parallel()
	for name, text := range map[string]string{
		"plain":            "conclusion: At 46 °C it is here, and raw.\n",
		"plain, two lines": "conclusion: At 46 °C it is raw,\n  and over here it is done.\n",
		"double quotes":    "conclusion:   \"At 46 °C: here.\"\n",
		"single quotes":    "conclusion: 'It''s raw, and here.'\n",
		"escape":           "conclusion: \"At 46\\u00a0°C it is here.\"\n",
		"literal":          "conclusion: |\n  First line, 46 °C.\n\n  Second  line: here.\n",
		"folded":           "conclusion: >-\n  First line\n  goes on, 46 °C,\n  and stops here.\n",
		"folded, indented": "conclusion: >\n     One.\n\n     Two and\n     here.\n",
		"quoted, wrapped":  "conclusion: \"At 46 °C\n  it is\n  here.\"\n",
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			file := "tamis: 1\ntitle: Über alles\nfood: {name: trout}\nmeasures: {firmness: {scale: 0 to 10}}\n" + text + "cooks: [{id: A, set_point: 46 °C, time: 30 min}]\n"
			path := filepath.Join(t.TempDir(), "t.yaml")
			if err := os.WriteFile(path, []byte(file), 0o600); err != nil {
				t.Fatal(err)
			}
			tr, messages, err := Read(path, Vocabulary{})
			if err != nil || tr == nil {
				t.Fatal(err, messages)
			}
			at := strings.Index(tr.Conclusion.V, "here")
			got := tr.Origin.PlaceIn(tr.Conclusion, at)
			got.File = diag.File{}
			for i, line := range strings.Split(file, "\n") {
				if before, _, ok := strings.Cut(line, "here"); ok {
					if want := (diag.At(diag.File{}, i+1, len([]rune(before))+1)); got != want {
						t.Errorf("%v, want %v", got, want)
					}
				}
			}
		})
	}
}
