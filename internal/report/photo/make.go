package photo

import (
	"bytes"
	"encoding/base64"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"
	"math"

	"golang.org/x/image/draw"
)

// quality of JPEG: at the size of a page its traces do not show.
const quality = 82

// Picture is a picture ready for a page.
type Picture struct {
	Type          string // image/jpeg or image/png
	Data          []byte
	Width, Height int
}

// URL is the picture as an address that holds it.
func (p *Picture) URL() string {
	return "data:" + p.Type + ";base64," + base64.StdEncoding.EncodeToString(p.Data)
}

// Fit is the factor that brings the widest of some pictures to at most width,
// and the highest to at most height, pixels. It is never above 1. One factor
// for several pictures keeps them at one scale.
func Fit(width, height int, ps ...*Photo) float64 {
	f := 1.0
	for _, p := range ps {
		f = math.Min(f, math.Min(float64(width)/float64(p.Width), float64(height)/float64(p.Height)))
	}
	return f
}

// Make shrinks the picture by a factor of at most 1, turns it upright and
// encodes it anew. A factor that is not above 0 counts as 1.
func (p *Photo) Make(factor float64) (*Picture, error) {
	if !(factor > 0 && factor <= 1) {
		factor = 1
	}
	b := p.img.Bounds()
	w, h := shrunk(b.Dx(), factor), shrunk(b.Dy(), factor)
	var small *image.NRGBA
	if w == b.Dx() && h == b.Dy() {
		small = plain(p.img)
	} else {
		small = image.NewNRGBA(image.Rect(0, 0, w, h))
		draw.CatmullRom.Scale(small, small.Rect, p.img, b, draw.Src, nil)
	}
	small = p.turn.upright(small)
	out := &Picture{Width: small.Rect.Dx(), Height: small.Rect.Dy()}
	opaque := small.Opaque()
	var asPNG, asJPEG bytes.Buffer
	if p.lossless || !opaque {
		enc := png.Encoder{CompressionLevel: png.BestCompression}
		if err := enc.Encode(&asPNG, fewColours(small)); err != nil {
			return nil, err
		}
	}
	out.Type, out.Data = "image/png", asPNG.Bytes()
	if !opaque {
		return out, nil
	}
	var to io.Writer = &asJPEG
	if asPNG.Len() > 0 { // a drawing is given up as soon as it is no smaller so
		to = &shorter{&asJPEG, asPNG.Len()}
	}
	switch err := jpeg.Encode(to, small, &jpeg.Options{Quality: quality}); {
	case errors.Is(err, errNoShorter):
	case err != nil:
		return nil, err
	default:
		out.Type, out.Data = "image/jpeg", asJPEG.Bytes()
	}
	return out, nil
}

// shorter takes fewer bytes than than, and answers errNoShorter to as many.
type shorter struct {
	to   *bytes.Buffer
	than int
}

var errNoShorter = errors.New("no shorter")

func (s *shorter) Write(b []byte) (int, error) {
	if s.to.Len()+len(b) >= s.than {
		return 0, errNoShorter
	}
	return s.to.Write(b)
}

// fewColours is a picture of at most 256 colours by its palette, which takes a
// drawing a third of the bytes; any other picture is returned as it is.
func fewColours(m *image.NRGBA) image.Image {
	var pal color.Palette
	index := map[color.NRGBA]uint8{}
	var last color.NRGBA // of the pixel before, with its place in the palette
	var at uint8
	out := image.NewPaletted(m.Rect, nil)
	for y := m.Rect.Min.Y; y < m.Rect.Max.Y; y++ {
		for x := m.Rect.Min.X; x < m.Rect.Max.X; x++ {
			if c := m.NRGBAAt(x, y); len(pal) == 0 || c != last {
				i, ok := index[c]
				if !ok {
					if len(pal) == 256 {
						return m
					}
					i = uint8(len(pal))
					pal, index[c] = append(pal, c), i
				}
				last, at = c, i
			}
			out.Pix[out.PixOffset(x, y)] = at
		}
	}
	out.Palette = pal
	return out
}

func shrunk(n int, factor float64) int { return max(1, int(math.Round(float64(n)*factor))) }
