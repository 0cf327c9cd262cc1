package csvcell_test

import (
	"testing"

	"tamis/internal/csvcell"
)

// The characters are those of the OWASP page on CSV injection.
func TestInert(t *testing.T) {
	t.Parallel()
	for in, want := range map[string]string{
		"": "", "pollack": "pollack", "8.5": "8.5", "-3.2": "-3.2", "+4": "+4", "-1e-3": "-1e-3", "it's": "it's", "'quoted'": "'quoted'", "5-6": "5-6",
		"=1+1": "'=1+1", "+1+1": "'+1+1", "-2+3": "'-2+3", "@SUM(A1)": "'@SUM(A1)", "|calc": "'|calc", "%0A": "'%0A", "  =1": "'  =1",
		"\t=1": "'\t=1", "\r=1": "'\r=1", "\nx": "'\nx", "＝1+1": "'＝1+1", "-": "'-", "-20 °C": "'-20 °C",
	} {
		if got := csvcell.Inert(in); got != want {
			t.Errorf("Inert(%q) = %q, want %q", in, got, want)
		}
		if got := csvcell.Plain(csvcell.Inert(in)); got != in {
			t.Errorf("%q comes back as %q", in, got)
		}
	}
	row := []string{"=1", "2"}
	if got := csvcell.InertRow(row); got[0] != "'=1" || got[1] != "2" || row[0] != "=1" {
		t.Errorf("the row became %q and %q", got, row)
	}
}

func FuzzRoundTrip(f *testing.F) {
	for _, s := range []string{"", "'", "'=1", "=1", "''=1", "-1", "\t", "＋"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if got := csvcell.Plain(csvcell.Inert(s)); got != s && csvcell.Plain(s) == s {
			t.Errorf("%q comes back as %q", s, got)
		}
	})
}
