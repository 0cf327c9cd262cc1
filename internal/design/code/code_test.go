package code

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"
)

func lot(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 1)) }

func TestTelling(t *testing.T) {
	t.Parallel()
	for _, c := range []string{"", "7", "12", "1234", "012", "007", "a12", "1 2", "111", "666", "999", "123", "789", "321", "987", "210", "100", "900", "112", "911", "１２３"} {
		if !Telling(c, nil) {
			t.Errorf("%q passes", c)
		}
	}
	for _, c := range []string{"135", "748", "121", "902", "124", "110"[:2] + "7"} {
		if Telling(c, nil) {
			t.Errorf("%q is refused", c)
		}
	}
	for _, c := range []string{"520", "152", "752", "126"} {
		if !Telling(c, []string{"52", "126"}) {
			t.Errorf("%q passes beside 52 °C, 126 °F", c)
		}
	}
	if Telling("537", []string{"5", ""}) {
		t.Error("one digit tells")
	}
}

func TestDraw(t *testing.T) {
	t.Parallel()
	for seed := range uint64(40) {
		got, err := Draw(60, []string{"48", "52"}, []string{"735"}, lot(seed))
		if err != nil || len(got) != 60 {
			t.Fatal(len(got), err)
		}
		seen := map[string]bool{"735": true}
		for _, c := range got {
			if seen[c] || Telling(c, []string{"48", "52"}) {
				t.Fatalf("seed %d: %s", seed, c)
			}
			seen[c] = true
		}
		again, _ := Draw(60, []string{"48", "52"}, []string{"735"}, lot(seed))
		if !slices.Equal(got, again) {
			t.Errorf("seed %d gives two results", seed)
		}
	}
	// Every code that may be drawn is drawn, about equally often.
	n := map[string]int{}
	const draws = 30_000
	for seed := range uint64(draws / 100) {
		got, err := Draw(100, nil, nil, lot(seed))
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range got {
			n[c]++
		}
	}
	var chi float64
	free := 0
	for v := range 1000 {
		if c := strconv.Itoa(v); !Telling(c, nil) {
			free++
		}
	}
	for _, k := range n {
		e := float64(draws) / float64(free)
		chi += (float64(k) - e) * (float64(k) - e) / e
	}
	// Drawing 100 of f without putting back makes χ² (f-100)/f as large as that of
	// independent draws: mean near f-100, SD √(2f) ≈ 42, so within 5 SD.
	if len(n) != free || math.Abs(chi-float64(free-100)) > 210 {
		t.Errorf("%d of %d codes drawn, χ² %.0f", len(n), free, chi)
	}
}

func TestDrawRefuses(t *testing.T) {
	t.Parallel()
	for _, n := range []int{-1, 901, 1 << 40} {
		if _, err := Draw(n, nil, nil, lot(1)); !errors.Is(err, ErrTooMany) {
			t.Errorf("%d codes: %v", n, err)
		}
	}
	if _, err := Draw(1, nil, nil, nil); !errors.Is(err, ErrTooMany) {
		t.Error(err)
	}
	if got, err := Draw(0, nil, nil, lot(1)); err != nil || len(got) != 0 {
		t.Error(got, err)
	}
	if got, err := Draw(850, nil, nil, lot(1)); err != nil || len(got) != 850 {
		t.Error(len(got), err)
	}
}
