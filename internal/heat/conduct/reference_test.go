package conduct

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"testing"
)

// biot is a number in a file, or "inf".
type biot float64

func (b *biot) UnmarshalText(raw []byte) error {
	v, err := strconv.ParseFloat(string(raw), 64)
	*b = biot(v)
	return err
}

type shapeName struct{ Shape }

func (s *shapeName) UnmarshalText(raw []byte) error {
	for _, x := range []Shape{Slab, Cylinder, Sphere} {
		if x.String() == string(raw) {
			s.Shape = x
			return nil
		}
	}
	return ErrInput
}

type loadRow struct{ Seconds, Core, Bath, Surface, Mean float64 }

type tables struct {
	Source string
	Theta  []struct {
		Shape            shapeName
		Bi               biot
		Fo, Centre, Mean float64
	}
	Eigenvalues []struct {
		Shape shapeName
		Bi    biot
		Roots []float64
	}
	OneTerm []struct {
		Shape              shapeName
		Bi                 biot
		Zeta, Centre, Mean float64
	} `json:"one_term"`
	Block []struct {
		Seconds, Centre, Mean, Core float64
		SlabCore                    float64 `json:"slab_core"`
	} `json:"block_30_60_120"`
	Short []struct{ Seconds, Centre, Mean float64 } `json:"cylinder_50_100"`
	Ramp  struct {
		Reached float64 `json:"reached_54_5"`
		AtOnce  float64 `json:"reached_at_once"`
		Rows    []struct{ Seconds, Bath, Centre, Mean, Surface float64 }
	} `json:"ramp_25"`
	Load struct {
		End     float64 `json:"end_a"`
		Minimum float64 `json:"minimum_b"`
		A, B    []loadRow
	}
	Minutes struct {
		Rows []struct {
			Shape   shapeName
			MM      float64
			Minutes []float64
		}
	}
	Handy []struct {
		Shape                         shapeName
		MM, Bi, Zeta, Centre, Seconds float64
	}
	Transfer struct {
		Rows []struct {
			Transfer float64
			Minutes  []float64
		}
	}
	InRange struct {
		Rows []struct {
			MM             float64
			Bath55, Bath60 []float64
		}
	} `json:"in_range"`
}

var reference = sync.OnceValues(func() (*tables, error) {
	raw, err := os.ReadFile(filepath.Join("testdata", "conduction.json"))
	if err != nil {
		return nil, err
	}
	var r tables
	return &r, json.Unmarshal(raw, &r)
})

func load(t testing.TB) *tables {
	t.Helper()
	r, err := reference()
	if err != nil {
		t.Fatal(err)
	}
	if r.Source == "" || len(r.Theta) != 60 || len(r.OneTerm) != 36 {
		t.Fatal("the tables are not whole")
	}
	return r
}

func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.12g, want %.12g within %g", what, got, want, tol)
	}
}

// practical is the common set of the tables of times.
var practical = Solid{Diffusivity: 1.4e-7, Conductivity: 0.48, Transfer: 95}

func body(t testing.TB, shape Shape, mm float64, s Solid) *Series {
	t.Helper()
	b, err := NewSeries(shape, mm/2000, s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}
